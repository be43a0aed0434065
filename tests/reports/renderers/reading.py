"""Forms read back as a person or a program would: the text of each, with its line breaks and markup taken off."""

from __future__ import annotations

import json
import re
import subprocess
from html.parser import HTMLParser
from typing import Any

_VOID = {"meta", "img", "input", "col", "path", "circle", "rect", "line"}
_HEIGHT = re.compile(rb"/MediaBox\s*\[0 0 [\d.]+ ([\d.]+)\]")
_FOOT = 35
"""Points from the lower edge of a page, in which its foot stands."""


class Page(HTMLParser):
    """A page of HTML: its tags in order, their attributes, and the text that it shows (or keeps for its title)."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text = ""
        self.title = ""
        self.style = ""
        self.boxes: list[str] = []
        self._open: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if (tag, "type", "checkbox") in self.attributes[-len(attrs) :]:
            self.boxes.append("/".join(self._open))
        if tag not in _VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self._open:
            self.style += data
        elif "title" in self._open and "svg" not in self._open:
            self.title += data
        else:
            self.text += data

    @property
    def headings(self) -> list[int]:
        return [int(tag[1]) for tag in self.tags if re.fullmatch("h[1-6]", tag)]

    @property
    def attribute_names(self) -> set[str]:
        return {name for _, name, _ in self.attributes}


def page(html: str) -> Page:
    return Page(html)


def squeezed(text: str) -> str:
    """Letters alone, large as small: what a line break, a space or a heading in capitals does not change."""
    return "".join(text.replace("\u200b", "").split()).casefold()


def in_text(text: str) -> str:
    """A plain form without the edges of its boxes."""
    # A line has both edges or none: what somebody wrote may end in such a bar, too.
    return "\n".join(re.sub(r"^\| (.*) \|$", r"\1", line) for line in text.splitlines())


def in_markdown(text: str) -> str:
    """Markdown as a reader shows it: no marks of its own, and what was escaped as itself."""
    bare = re.sub(r"(?m)^> ?", "", text)
    bare = re.sub(r"(?<!\\)[*]", "", bare)
    return re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", bare)


def in_pdf(pdf: bytes) -> str:
    """The text of a PDF in the order it was set, without the feet of its pages, by poppler."""
    size = _HEIGHT.search(pdf)
    assert size, "no page has a size"
    body = ("-r", "72", "-x", "0", "-y", "0", "-W", "612", "-H", str(int(float(size[1])) - _FOOT))
    command = ["pdftotext", "-raw", "-enc", "UTF-8", *body, "-", "-"]
    return subprocess.run(command, input=pdf, capture_output=True, check=True, timeout=120).stdout.decode("utf-8")


def in_json(data: Any) -> str:
    """Every text and number of plain data, one a line."""
    if isinstance(data, dict):
        return "\n".join(in_json(part) for part in data.values())
    if isinstance(data, list):
        return "\n".join(in_json(part) for part in data)
    return data if isinstance(data, str) else json.dumps(data)
