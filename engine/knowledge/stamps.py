"""The stamp that a translated text carries: of which English it is the translation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import sha256

from engine.foundation.yaml_reader import Path

STAMP = "of"
"""The field of a translated entry that holds its stamp."""
STAMPED: Mapping[str, tuple[str, ...]] = {
    "caution": ("customer", "technician", "in_short"),
    "danger": ("customer", "technician", "steps"),
    "repair": ("never", "opens_with", "before_steps", "steps", "done_when"),
    "check": ("customer", "technician", "how", "answers", "band_words"),
    "finding": ("customer", "technician", "band_words"),
    "cause": ("customer", "technician"),
    "part": ("customer", "technician", "before_ordering"),
    "role": ("customer", "technician"),
    "unit": ("customer", "technician", "reports"),
    "tree": ("opens",),
}
"""By kind of entry, the fields whose English wording must not change unseen."""
SAFETY = ("caution", "danger", "repair")
"""Whoever follows these can be hurt by what is out of date: that is a mistake there, elsewhere a doubt."""
_NOT_SAID = "names"
"""Short words by which people call a thing are others in each language."""
_LETTERS = str.maketrans("0123456789", "ghijklmnop")


def stamp_of(texts: Iterable[tuple[Path, str]]) -> str:
    """The stamp of English texts, each with the way to it: eight letters from a to p.

    It is another one where a word, a sign or the order is another one; where lines break in the file does not matter.
    It has no digits, since YAML would read some of such stamps as numbers.
    """
    told = [(path, text) for path, text in texts if _NOT_SAID not in path]
    lines = [f"{'.'.join(map(str, path))}: {' '.join(text.split())}" for path, text in told]
    return sha256("\n".join(lines).encode()).hexdigest()[:8].translate(_LETTERS)
