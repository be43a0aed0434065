"""The stamp that a translated safety text carries: of which English it is the translation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import sha256

from engine.foundation.yaml_reader import Path

STAMP = "of"
"""The field of a translated entry that holds its stamp."""
STAMPED: Mapping[str, tuple[str, ...]] = {
    "caution": ("customer", "technician", "in_short"),
    "danger": ("customer", "technician", "steps"),
    "repair": ("before_steps", "steps", "done_when"),
}
"""By kind of entry, the fields whose English wording must not change unseen: whoever follows them can be hurt."""
_LETTERS = str.maketrans("0123456789", "ghijklmnop")


def stamp_of(texts: Iterable[tuple[Path, str]]) -> str:
    """The stamp of English texts, each with the way to it: eight letters from a to p.

    It is another one where a word, a sign or the order is another one; where lines break in the file does not matter.
    It has no digits, since YAML would read some of such stamps as numbers.
    """
    lines = [f"{'.'.join(map(str, path))}: {' '.join(text.split())}" for path, text in texts]
    return sha256("\n".join(lines).encode()).hexdigest()[:8].translate(_LETTERS)
