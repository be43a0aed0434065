"""What differs between two states of the knowledge, edit by edit, and the newer state with one edit taken back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from engine.knowledge.model import Knowledge, frozen
from engine.proving.numbers import HERE, LIKELIER, SHARE, SHOWS, USUAL, Number, numbers_of, with_number
from engine.proving.touch import bare

KINDS = ("tree", "cause", "check", "finding", "repair", "role", "unit", "part", "caution", "act", "danger")
_LINES = {SHOWS: 2, LIKELIER: 2, HERE: 3, USUAL: 1}
"""Of these the answers of one line change together: so many steps lead to the line."""
_NUMBERED: Mapping[str, tuple[str, ...]] = {
    "tree": ("singles", "pairs", "any_pair", "here"),
    "cause": ("shows", "likelier"),
    "check": ("usual", "minutes", "known"),
    "finding": ("usual",),
    "repair": ("cures", "minutes"),
    "role": ("minutes", "limit"),
    "unit": ("values", "reports"),
}
"""The fields that hold numbers, which are told one by one; and what is only words."""
_WORDS = ("id", "wording", "names", "source", "how", "told_by")


@dataclass(frozen=True)
class Edit:
    """One edit. `path` leads to it inside its entry: to a number, a line of answers, or a field; empty for an entry.

    `numbers` are those that moved, each with its former and its present value, None where it was or is not there.
    """

    kind: str
    entry: str
    path: tuple[str, ...]
    numbers: tuple[tuple[Number, float | None, float | None], ...] = ()

    @property
    def added(self) -> bool:
        """Whether it was not there before."""
        return bool(self.numbers) and all(old is None for _, old, _ in self.numbers)


def edits(old: Knowledge, new: Knowledge) -> tuple[Edit, ...]:
    """What differs, in the order of the newer knowledge; words are left out, as they move nothing."""
    return (*_number_edits(old, new), *_field_edits(old, new), *_entry_edits(old, new))


def _number_edits(old: Knowledge, new: Knowledge) -> Iterator[Edit]:
    before, after = numbers_of(old), numbers_of(new)
    groups: dict[tuple[str, str, tuple[str, ...]], list[tuple[Number, float | None, float | None]]] = {}
    for number in dict.fromkeys((*after, *before)):
        was, now = before.get(number), after.get(number)
        if was == now or not _in_both(old, new, number.kind, number.entry):
            continue
        steps = _LINES.get(number.path[0], len(number.path))
        groups.setdefault((number.kind, number.entry, number.path[:steps]), []).append((number, was, now))
    for (kind, entry, path), moved in groups.items():
        yield Edit(kind, entry, path, tuple(moved))


def _field_edits(old: Knowledge, new: Knowledge) -> Iterator[Edit]:
    for kind in KINDS:
        for entry, record in _entries(new, kind).items():
            former = _entries(old, kind).get(entry)
            if former is None:
                continue
            for field in fields(record):
                left_out = (*_WORDS, *_NUMBERED.get(kind, ()))
                if field.name not in left_out and bare(getattr(record, field.name)) != bare(
                    getattr(former, field.name)
                ):
                    yield Edit(kind, entry, (field.name,))
    if bare(old.limits) != bare(new.limits):
        yield Edit("limit", "", ())


def _entry_edits(old: Knowledge, new: Knowledge) -> Iterator[Edit]:
    for kind in KINDS:
        before, after = _entries(old, kind), _entries(new, kind)
        yield from (
            Edit(kind, entry, ()) for entry in dict.fromkeys((*after, *before)) if (entry in after) != (entry in before)
        )


def _entries(knowledge: Knowledge, kind: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] = getattr(knowledge, f"{kind}s")
    return found


def _in_both(old: Knowledge, new: Knowledge, kind: str, entry: str) -> bool:
    return entry in _entries(old, kind) and entry in _entries(new, kind)


def without(old: Knowledge, new: Knowledge, edit: Edit) -> Knowledge | None:
    """The newer knowledge with one edit taken back; None where that edit cannot be taken back alone.

    A tree, cause or repair that came or went hangs together with others, and so does whatever came, as others name it;
    a cause that came is taken back by its share.
    """
    if edit.kind == "limit":
        return replace(new, limits=old.limits)
    if edit.path and edit.path[0] in _LINES:
        return _with_former_line(old, new, edit)
    if edit.numbers:
        (number, was, _), *_ = edit.numbers
        return _without_share(new, number) if was is None and number.path[0] == SHARE else with_number(new, number, was)
    if edit.path:
        record, former = _entries(new, edit.kind)[edit.entry], _entries(old, edit.kind)[edit.entry]
        changed = replace(record, **{edit.path[0]: getattr(former, edit.path[0])})
        return _with_entry(new, edit.kind, edit.entry, changed)
    if edit.kind in ("check", "finding", "caution", "act") and edit.entry in _entries(old, edit.kind):
        return _with_entry(new, edit.kind, edit.entry, _entries(old, edit.kind).get(edit.entry))
    return None


def _with_former_line(old: Knowledge, new: Knowledge, edit: Edit) -> Knowledge:
    """The answers of one line as they were, all of them together."""
    record, former = _entries(new, edit.kind)[edit.entry], _entries(old, edit.kind)[edit.entry]
    field, *way = edit.path
    return _with_entry(
        new,
        edit.kind,
        edit.entry,
        replace(record, **{field: _with_part(getattr(record, field), getattr(former, field), way)}),
    )


def _with_part(now: Mapping[str, Any], former: Mapping[str, Any], way: list[str]) -> Mapping[str, Any]:
    """A mapping with the part at the end of a way as it was in a former one."""
    if not way:
        return former
    inside = _with_part(now.get(way[0], {}), former.get(way[0], {}), way[1:])
    changed = {**now, way[0]: inside}
    return frozen({name: part for name, part in changed.items() if part or name != way[0]})


def _without_share(knowledge: Knowledge, number: Number) -> Knowledge:
    """The knowledge in which a tree does not count a cause, and none of its pairs either."""
    tree, cause = knowledge.trees[number.entry], number.path[1]
    changed = replace(
        tree,
        singles=frozen({name: share for name, share in tree.singles.items() if name != cause}),
        pairs=frozen({pair: share for pair, share in tree.pairs.items() if cause not in pair}),
    )
    return replace(knowledge, trees=frozen({**knowledge.trees, tree.id: changed}))


def _with_entry(knowledge: Knowledge, kind: str, entry: str, record: Any) -> Knowledge:
    """The knowledge with one entry as told, or without it where that is None."""
    entries = {name: each for name, each in _entries(knowledge, kind).items() if record is not None or name != entry}
    if record is not None:
        entries[entry] = record
    changed: Knowledge = replace(knowledge, **{f"{kind}s": frozen(entries)})  # type: ignore[arg-type]
    return changed
