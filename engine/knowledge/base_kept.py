"""What lay below a shop's folder when it was last looked at, and what has changed there since under its own changes."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.knowledge.changes import Entries
from engine.knowledge.overlay_file import OverlayFile

BASE_FILE = "_base/entries.json"
"""Inside a shop's folder; no part of its knowledge."""
_MOST_BYTES = 50_000_000

Base = Mapping[str, Mapping[str, Mapping[str, Any]]]
"""By kind and id, the fields of every entry."""


@dataclass(frozen=True)
class BothChanged:
    """A field that the shop changed, and that has changed below it too; an empty field is the whole entry.

    `base` is what it was below, `theirs` what it is there now, `yours` what the shop says; None for nothing.
    """

    kind: str
    id: str
    field: str
    base: Any
    theirs: Any
    yours: Any


def base_of(below: Entries) -> bytes:
    """What is kept of the entries below, to be held against later ones."""
    kept: dict[str, dict[str, Any]] = {}
    for (kind, name), written in below.items():
        kept.setdefault(kind, {})[name] = dict(written.data)
    return (json.dumps(kept, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def kept_in(folder: Path) -> Base | None:
    """What a shop's folder kept of what lies below; None where nothing was kept.

    Raises OSError where it cannot be read, ValueError where it is not what was written.
    """
    try:
        data = json.loads(read_at_most(folder / BASE_FILE, _MOST_BYTES))
    except FileNotFoundError:
        return None
    if not isinstance(data, dict) or not all(
        isinstance(entry, dict) for entries in data.values() for entry in dict(entries).values()
    ):
        raise ValueError("no entries")
    return data


def both_changed(base: Base, theirs: Entries, own: Entries, overlay: OverlayFile | None) -> Iterator[BothChanged]:
    """What has changed below in the very fields that a shop changed, and in the entries that it does without.

    Args: what was kept, the entries below as they are, the shop's own entries as it writes them, its `overlay.yaml`.
    """
    for (kind, name), written in own.items():
        former, present = base.get(kind, {}).get(name), theirs.get((kind, name))
        if former is None and present is None:
            continue
        if former is None or present is None:
            yield BothChanged(kind, name, "", former, None if present is None else present.data, written.data)
            continue
        for field, yours in written.data.items():
            if field != kind and former.get(field) != present.data.get(field):
                yield BothChanged(kind, name, field, former.get(field), present.data.get(field), yours)
    for kind, names in overlay.remove.items() if overlay is not None else ():
        for name in names:
            former, present = base.get(kind, {}).get(name), theirs.get((kind, name))
            if (kind, name) not in own and former != (None if present is None else present.data):
                yield BothChanged(kind, name, "", former, None if present is None else present.data, None)
