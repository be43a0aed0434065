"""What a browser is asked about a page: script that the tests run in it, and that the page itself cannot have."""

from __future__ import annotations

OUTSIDE = """() => {
  const width = document.documentElement.clientWidth;
  return [...document.body.querySelectorAll('*')].filter(it => {
    const box = it.getBoundingClientRect();
    const head = it.closest('thead');
    if (it.closest('svg') && it.tagName !== 'svg' || head && head.offsetWidth <= 1) return false;
    return box.width > 1 && (box.right > width + 0.5 || box.left < -0.5);
  }).map(it => it.tagName + ' ' + it.textContent.slice(0, 40)).concat(
    document.documentElement.scrollWidth > width ? ['page ' + document.documentElement.scrollWidth] : []);
}"""
"""Elements that stick out of the page to the left or the right, and the page itself where it scrolls sideways.

Left out: what stands in a drawing, which cuts itself off, and the head of a stacked table, which only a reader hears.
"""

CUT_OFF = """() => [...document.body.querySelectorAll('*')].filter(it => {
  const svg = it.closest('svg');
  if (/^(title|desc)$/.test(it.tagName)) return false;
  if (svg) {
    const [box, whole] = [it.getBoundingClientRect(), svg.getBoundingClientRect()];
    return box.right > whole.right + 1 || box.left < whole.left - 1 || box.bottom > whole.bottom + 1;
  }
  const hidden = getComputedStyle(it).overflowX === 'hidden';
  return hidden && it.scrollWidth > it.clientWidth + 1 && it.clientWidth > 1;
}).map(it => it.tagName + ' ' + it.textContent.slice(0, 40))"""
"""Elements that hide a part of what stands in them, and what stands in a drawing beyond its edge."""

OUTLINE = "() => [...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map(it => Number(it.tagName[1]))"
"""The levels of the headings in order."""

FOCUSED = """() => {
  const it = document.activeElement;
  if (!it || it === document.body) return null;
  const label = it.labels && it.labels[0];
  const shown = it.matches(':focus-visible') && getComputedStyle(it).outlineStyle !== 'none';
  return [it.tagName, it.type || '', ((label || it).textContent || '').trim(), shown];
}"""
"""What the keyboard is at: its element, its kind, its name, whether the focus is to be seen."""

CONTRASTS = """() => {
  const numbers = colour => (colour.match(/[\\d.]+/g) || []).map(Number);
  // WCAG 2.1, definition of relative luminance, with its threshold of 0.03928 for sRGB (from memory).
  const luminance = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map(v => v / 255).map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  // WCAG 2.1, definition of contrast ratio.
  const ratio = (one, other) => {
    const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (light + 0.05) / (dark + 0.05);
  };
  const opaque = colour => colour.length >= 3 && (colour.length < 4 || colour[3] > 0.99);
  const ground = it => {
    for (let at = it; at; at = at.parentElement) {
      const colour = numbers(getComputedStyle(at).backgroundColor);
      if (opaque(colour)) return colour;
    }
    return [255, 255, 255];
  };
  // A word in a drawing stands on the last shape painted under its middle, or on the page.
  const under = it => {
    const box = it.getBoundingClientRect();
    const [x, y] = [box.left + box.width / 2, box.top + box.height / 2];
    for (const other of document.elementsFromPoint(x, y)) {
      if (other === it || it.contains(other) || other.contains(it) && other.namespaceURI.endsWith('svg')) continue;
      if (other.namespaceURI.endsWith('svg')) {
        const fill = getComputedStyle(other).fill;
        if (fill !== 'none' && opaque(numbers(fill)) && !/text|tspan/.test(other.tagName)) return numbers(fill);
      } else return ground(other);
    }
    return ground(it.closest('svg').parentElement);
  };
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  for (let node = texts.nextNode(); node; node = texts.nextNode()) {
    const it = node.parentElement;
    if (!node.data.trim() || ['TITLE', 'DESC', 'STYLE'].includes(it.tagName.toUpperCase())) continue;
    const drawn = it.namespaceURI.endsWith('svg');
    if (drawn) it.scrollIntoView({ block: 'center' });
    const ink = numbers(drawn ? getComputedStyle(it).fill : getComputedStyle(it).color);
    found.push([node.data.trim().slice(0, 40), ratio(ink, drawn ? under(it) : ground(it))]);
  }
  return found;
}"""
"""Every piece of text with its contrast to what it stands on."""
