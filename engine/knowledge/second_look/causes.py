"""Doubts about causes: what nobody could tell apart, what is said for certain, what says nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any

from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed, observables
from engine.knowledge.schema import CauseForm
from engine.knowledge.second_look.doubt import Doubt, to_tell

FACTORS = (0.02, 20)
"""Factors on the odds beyond these are hardly measured by anybody: judgement."""
_ALIKE = 0.02
"""Shares that lie closer than this are the same."""

_Rows = Mapping[str, Mapping[str, float]]


def twin_causes(folder: Folder) -> Iterator[Doubt]:
    """Two causes of one tree differ in something that they show or that makes them likelier: else no answer could ever
    tell one from the other.

    Right: `cell_scaled` shows `cell_plates: {white_scale: usually}`, `cell_worn` shows `cell_plates: {worn: usually}`.
    Wrong: both show `cell_current: {low: usually}` and nothing else.
    """
    told_of: set[tuple[str, str]] = set()
    for tree in folder.trees.values():
        here = [cause for cause in tree.form.of_100_calls if cause in folder.causes]
        for first, second in combinations(here, 2):
            if (first, second) in told_of:
                continue
            one, other = folder.causes[first], folder.causes[second]
            rows = [
                {**placed.form.shows, **tree.form.here.get(name, {})}
                for name, placed in ((first, one), (second, other))
            ]
            if _same(rows[0], rows[1]) and _same(one.form.likelier, other.form.likelier):
                told_of.add((first, second))
                saying = to_tell("second_look.causes.twin", cause=second, other=first, tree=tree.form.tree)
                yield Doubt(other, ("cause",), saying, first)


def certain_signs(folder: Folder) -> Iterator[Doubt]:
    """No cause says `always` or `never` of a sign: one misread gauge could never be made good.

    Right: `shows: {cell_plates: {white_scale: nearly always}}`.
    Wrong: `shows: {cell_plates: {white_scale: always}}`.
    """
    for placed, path, about, answers in _shown(folder):
        for answer, share in answers.items():
            if share in (0, 1):
                word = "always" if share else "never"
                saying = to_tell("second_look.causes.certain", answer=answer, word=word)
                yield Doubt(placed, (*path, answer), saying, about)


def signs_say_something(folder: Folder) -> Iterator[Doubt]:
    """What a cause shows of a check differs from what is usual there.

    Right: `shows: {cell_plates: {white_scale: usually}}` where 12 of 100 are usual.
    Wrong: `shows: {cell_plates: {white_scale: 0.12}}`.
    """
    for placed in folder.causes.values():
        for check, answers in placed.form.shows.items():
            known = observables(folder).get(check)
            usual = {} if known is None else known.form.usual
            if answers and all(abs(share - usual.get(answer, -1e3) / 100) < 0.005 for answer, share in answers.items()):
                yield Doubt(
                    placed, ("shows", check), to_tell("second_look.causes.as_usual", check=check), check, at_key=True
                )


def factors_are_moderate(folder: Folder) -> Iterator[Doubt]:
    """What comes before a fault makes it 20 times likelier at most, and 50 times less likely.

    Right: `likelier: {hardness: {hard: 3 times}}`.
    Wrong: `likelier: {hardness: {hard: 300 times}}`.
    """
    low, high = FACTORS
    for placed in folder.causes.values():
        for check, answers in placed.form.likelier.items():
            for answer, factor in answers.items():
                if not low <= factor <= high:
                    saying = to_tell(
                        "second_look.causes.factor", answer=answer, factor=f"{factor:g}", low=low, high=high
                    )
                    yield Doubt(placed, ("likelier", check, answer), saying, check)


def nothing_speaks_twice(folder: Folder) -> Iterator[Doubt]:
    """A finding replaces at least one of its readings where a cause shows it and such a reading: else both would count.

    Right: `finding: salt_gap` with `from: [unit_salt, tested_salt]` and `replaces: [unit_salt]`.
    Wrong: the same without `replaces`, and a cause that shows both `salt_gap` and `unit_salt`.

    A reading that is replaced falls silent for every cause once the finding is known: only one of which the finding
    tells all is. Where it tells other causes something by itself, it comes out of the cause instead.
    """
    for name, finding in folder.findings.items():
        form = finding.form
        both = [
            (cause, check)
            for check in form.from_
            for cause, placed in folder.causes.items()
            if {name, check} <= placed.form.shows.keys()
        ]
        if both and not form.replaces:
            saying = to_tell("second_look.causes.twice", finding=name, check=both[0][1], cause=both[0][0])
            yield Doubt(finding, ("from",), saying, at_key=True)


def causes_share_no_name(folder: Folder) -> Iterator[Doubt]:
    """No two causes are called alike, to a customer or among technicians.

    Right: `technician: Plates scaled` and `technician: Plates worn`.
    Wrong: `technician: Cell bad` twice.
    """
    for reader in ("customer", "technician"):
        seen: dict[str, str] = {}
        for cause, placed in folder.causes.items():
            other = seen.setdefault(_plain(placed, reader), cause)
            if other != cause:
                yield Doubt(
                    placed, (reader,), to_tell("second_look.causes.same_words", other=other), f"{reader} {other}"
                )


def _shown(folder: Folder) -> Iterator[tuple[Placed[Any], Path, str, Mapping[str, float]]]:
    """What causes show: the entry, the way to it there, what it is about, its shares."""
    for placed in folder.causes.values():
        for check, answers in placed.form.shows.items():
            yield placed, ("shows", check), check, answers
    for tree in folder.trees.values():
        for cause, shows in tree.form.here.items():
            for check, answers in shows.items():
                yield tree, ("here", cause, check), f"{cause} {check}", answers


def _plain(placed: Placed[CauseForm], reader: str) -> str:
    return " ".join(str(getattr(placed.form, reader)).lower().split()).rstrip(".")


def _same(one: _Rows, other: _Rows) -> bool:
    """Whether two sets of rows say the same of the same checks."""
    return one.keys() == other.keys() and all(
        one[check].keys() == other[check].keys()
        and all(abs(share - other[check][answer]) <= _ALIKE for answer, share in one[check].items())
        for check in one
    )
