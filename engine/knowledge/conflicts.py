"""What a shop changed and what has changed below it since, settled one by one: its files written so, its base kept."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from copy import deepcopy
from typing import Any, Literal

from engine.knowledge.base_kept import Base, BothChanged
from engine.knowledge.changes import Entries
from engine.knowledge.overlay_file import OVERLAY_FILE
from engine.knowledge.upgrade.text_edits import YamlText

Side = Literal["yours", "theirs", "base", "later"]
"""What is to hold: what the shop says, what stands below now, what stood there before; or nobody decided yet."""


def sides_of(one: BothChanged) -> tuple[Side, ...]:
    """How a conflict can be settled: of a whole entry there is no way back to what it was, only yours or theirs."""
    return ("yours", "theirs", "base", "later") if one.field else ("yours", "theirs", "later")


def settled(
    contents: Mapping[str, bytes], own: Entries, folder: str, decided: Iterable[tuple[BothChanged, Side]]
) -> dict[str, bytes | None]:
    """The files of the shop's folder that change, by their names; None for one of which nothing is left.

    Args:
        contents: the folder's files.
        own: its entries as it writes them.
        folder: its name, as the entries' documents have it before their files' names.
        decided: what was decided of each conflict.
    """
    texts: dict[str, YamlText] = {}
    emptied: set[str] = set()
    for one, side in decided:
        if side in ("yours", "later"):
            continue
        stated = own.get((one.kind, one.id))
        name = OVERLAY_FILE if stated is None else stated.document.file.removeprefix(f"{folder}/")
        text = texts.setdefault(name, YamlText.read(name, contents[name]))
        if stated is None:
            _take_out_of_list(text, one)
            continue
        entry = next(node for entry_id, node in text.entries(one.kind) if entry_id == one.id)
        if one.field and side == "base":
            was = "" if one.base is None else " " + json.dumps(one.base, ensure_ascii=False)
            text.put(entry, one.field, f"{one.field}:{was}")
        elif one.field and _left_of(text, entry, one.field):
            _take_out_field(text, entry, one.field)
        elif _take_out_entry(text, entry):
            emptied.add(name)
    changed = {name: text.edited_as(contents[name]) for name, text in texts.items()}
    return {name: None if name in emptied else content for name, content in changed.items()}


def base_after(base: Base, theirs: Entries, decided: Iterable[tuple[BothChanged, Side]]) -> bytes:
    """What is kept of the entries below from now on: as they are, but of what is put off as they were."""
    kept: dict[str, dict[str, Any]] = {}
    for (kind, name), written in theirs.items():
        kept.setdefault(kind, {})[name] = dict(written.data)
    for one, side in decided:
        if side != "later":
            continue
        entries = kept.setdefault(one.kind, {})
        former = deepcopy(dict(base.get(one.kind, {}).get(one.id, {}))) or None
        if one.field and one.id in entries:
            if former is None or one.field not in former:
                entries[one.id].pop(one.field, None)
            else:
                entries[one.id][one.field] = former[one.field]
        elif former is None:
            entries.pop(one.id, None)
        else:
            entries[one.id] = former
    return (json.dumps(kept, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def _left_of(text: YamlText, entry: Any, field: str) -> bool:
    """Whether more than its id is left of an entry without this field, and without those that are gone already."""
    gone = [edit for edit in text.edits if edit[2] == ""]
    left = [
        key
        for key, _ in entry.value
        if key.value != field and not any(start <= key.start_mark.index < end for start, end, _ in gone)
    ]
    return len(left) > 1


def _take_out_field(text: YamlText, entry: Any, field: str) -> None:
    found = text.part(entry, field)
    if found is not None:
        text.take_out_field(entry, *found)


def _take_out_entry(text: YamlText, entry: Any) -> bool:
    """Take a whole entry out; whether nothing is left of its file."""
    listed = entry is not text.root
    start = text.text.rfind("\n", 0, entry.start_mark.index) + 1 if listed else 0
    end = text.end(entry) if listed else len(text.text)
    line_end = text.text.find("\n", end)
    end = len(text.text) if line_end < 0 else line_end + 1
    text.edits = [edit for edit in text.edits if not start <= edit[0] < end]
    text.edits.append((start, end, ""))
    nodes = text.root.value if listed else []
    return all(any(at <= node.start_mark.index < to and not new for at, to, new in text.edits) for node in nodes)


def _take_out_of_list(text: YamlText, one: BothChanged) -> None:
    """Take an id out of what `overlay.yaml` does without."""
    found = text.part(text.root, "remove", one.kind)
    if found is not None:
        kept = [node.value for node in found[1].value if node.value != one.id]
        text.replace(found[1], json.dumps(kept))
