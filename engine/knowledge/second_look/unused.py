"""Doubts about entries that nothing uses."""

from __future__ import annotations

from collections.abc import Iterator

from engine.knowledge.catalogue import Folder
from engine.knowledge.second_look.doubt import Doubt, to_tell
from engine.knowledge.usage import used_ids


def everything_serves(folder: Folder) -> Iterator[Doubt]:
    """Each check, finding, repair, part, caution and act is named by some other entry.

    Right: `part: union_oring`, and a repair has `parts: {union_oring: 1}`.
    Wrong: `part: union_oring`, and no repair takes it.
    """
    used = used_ids(folder)
    for kind, ids in used.items():
        for name, placed in folder.of_kind(kind).items():
            if name not in ids and kind != "cause":
                yield Doubt(placed, (kind,), to_tell(f"second_look.unused.{kind}", id=name))
