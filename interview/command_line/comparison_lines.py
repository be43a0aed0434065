"""Lines and data of what an edit moved: each call with what was and is, and the numbers that moved it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from engine.foundation.texts import say
from engine.proving.comparing import CallOutcome, Culprit, Moved, asked_otherwise
from engine.proving.edits import Edit
from engine.proving.numbers import Number
from interview.command_line.proof_lines import NumbersShown, named

_CHECKS_SHOWN = 4
_NUMBERS_SHOWN = 3


def moved_lines(one: Moved, numbers: NumbersShown) -> Iterator[str]:
    """One call that moved: its name, what was and is, and why."""
    if one.before is None:
        yield say("comparing.new_call", call=one.call.name, causes=named(one.after.named))
        return
    yield say(f"comparing.turned.{one.turned}", call=one.call.name)
    for line in (*_changes(one.before, one.after), *_why(one.culprit, numbers), *_asked(one.before, one.after)):
        yield f"      {line}"


def _changes(before: CallOutcome, after: CallOutcome) -> Iterator[str]:
    shares = {"was_share": f"{before.share:.0%}", "now_share": f"{after.share:.0%}"}
    yield say("comparing.believed", was=named(before.named), now=named(after.named), **shares)
    for aspect in ("act", "decision", "repair"):
        was, now = getattr(before, aspect), getattr(after, aspect)
        if was != now:
            yield say(f"comparing.moved.{aspect}", was=was or say("comparing.none"), now=now or say("comparing.none"))
    if before.parts != after.parts:
        was, now = (" + ".join(parts) or say("comparing.none") for parts in (before.parts, after.parts))
        yield say("comparing.moved.parts", was=was, now=now)
    for reader in before.papers:
        lost = sorted(set(before.papers[reader]) - set(after.papers.get(reader, ())))
        gained = sorted(set(after.papers.get(reader, ())) - set(before.papers[reader]))
        if lost:
            yield say("comparing.lost", reader=reader, cautions=", ".join(lost))
        if gained:
            yield say("comparing.gained", reader=reader, cautions=", ".join(gained))


def _asked(before: CallOutcome, after: CallOutcome) -> Iterator[str]:
    for how in ("no_more", "anew"):
        checks = [check for check, which in asked_otherwise(before, after) if which == how]
        if checks:
            more = len(checks) - _CHECKS_SHOWN
            shown = ", ".join(checks[:_CHECKS_SHOWN]) + (say("comparing.and_more", count=more) if more > 0 else "")
            yield say(f"comparing.asked.{how}", checks=shown, asked=len(after.asked))
    if after.limit and not before.limit:
        yield say("comparing.limit")


def _why(culprit: Culprit | None, numbers: NumbersShown) -> Iterator[str]:
    if culprit is None:
        yield say("comparing.no_culprit")
        return
    told = [edit_line(edit, numbers) for edit in culprit.edits]
    if len(told) == 1:
        yield say("comparing.because", edit=told[0])
        return
    yield say("comparing.only_together" if culprit.needs_both else "comparing.either_alone")
    yield from (f"  {line}" for line in told)


def edit_line(edit: Edit, numbers: NumbersShown) -> str:
    """An edit in a line: its numbers with what they were and are, or what else changed."""
    name = ".".join((edit.entry, *edit.path))
    if not edit.numbers:
        return say("comparing.other_edit", kind=edit.kind, name=name)
    told = [_number(*moved) for moved in edit.numbers[:_NUMBERS_SHOWN]]
    place = numbers.place(edit.numbers[0][0])
    where = {"place": place} if place else {"place": say("comparing.nowhere")}
    if len(edit.numbers) == 1 and edit.path == edit.numbers[0][0].path:
        return say("comparing.number_edit", name=name, moved=_plain(*edit.numbers[0]), **where)
    return say("comparing.number_edit", name=name, moved=", ".join(told), **where)


def _number(number: Number, old: float | None, new: float | None) -> str:
    return f"{number.path[-1]} {_plain(number, old, new)}"


def _plain(number: Number, old: float | None, new: float | None) -> str:
    was, now = (say("comparing.none") if v is None else f"{v * number.scale:.4g}" for v in (old, new))
    return f"{was} -> {now}"


def moved_json(one: Moved, numbers: NumbersShown) -> dict[str, Any]:
    """The same for scripts."""
    culprit = one.culprit
    return {
        "call": one.call.name,
        "turned": one.turned,
        "aspects": list(one.aspects),
        "before": None if one.before is None else _outcome_json(one.before),
        "after": _outcome_json(one.after),
        "cautions_lost": list(one.lost),
        "because": None
        if culprit is None
        else {"needs_both": culprit.needs_both, "edits": [edit_json(edit, numbers) for edit in culprit.edits]},
    }


def _outcome_json(outcome: CallOutcome) -> dict[str, Any]:
    papers = {reader: list(cautions) for reader, cautions in outcome.papers.items()}
    listed = {name: list(getattr(outcome, name)) for name in ("named", "parts", "asked")}
    return {**vars(outcome), **listed, "papers": papers}


def edit_json(edit: Edit, numbers: NumbersShown) -> dict[str, Any]:
    """One edit for scripts, its numbers as they stand in the files."""
    return {
        "kind": edit.kind,
        "entry": edit.entry,
        "path": list(edit.path),
        "numbers": [
            {
                "number": number.shown(),
                "was": None if old is None else old * number.scale,
                "now": None if new is None else new * number.scale,
                "place": numbers.place(number),
            }
            for number, old, new in edit.numbers
        ],
    }


def head_lines(moved: Sequence[Moved], edits: int, calls: int, untouched: int) -> Iterator[str]:
    """How much an edit moved in all."""
    wrong, right = (sum(one.turned == turned for one in moved) for turned in ("wrong", "right"))
    yield say("comparing.edits", count=edits)
    yield say("comparing.moved_of", moved=len(moved), calls=calls, wrong=wrong, right=right, untouched=untouched)
