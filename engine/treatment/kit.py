"""What a visit takes along: parts and where they are, kinds of instruments, gear, and the checks still worth making."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engine.knowledge.hazards import told_for
from engine.knowledge.model import NEEDS, Check, Need
from engine.knowledge.properties import OCCASIONS, Occasion
from engine.session.decisions import VISITS
from engine.session.outcome import JobOutcome

_ORDERED = ("dear", "very_dear")
"""Price classes that no small shop keeps on the shelf: judgement."""
_WORTH_TESTING = 0.05
_MOST_CHECKS = 6


@dataclass(frozen=True)
class Kit:
    """What is packed: parts by id with where they are now (`van`, `shelf`, `order`), and the checks still to make.

    `needs` are the needs of the work and of those checks; `gear` the cautions that the work carries, and
    `occasions` those for which it carries every one: each of these may ask for things of its own.
    """

    parts: tuple[tuple[str, str], ...]
    needs: tuple[Need, ...]
    gear: tuple[str, ...]
    occasions: tuple[Occasion, ...]
    checks: tuple[Check, ...]


def kit_for(outcome: JobOutcome, laid_out: Sequence[str]) -> Kit | None:
    """What a technician packs for the visit that was decided on; None where nobody visits.

    Args:
        outcome: the job and what it came to.
        laid_out: the repairs on the sheet, first one first.
    """
    if outcome.conclusion.solved or outcome.conclusion.decision not in VISITS:
        return None
    repairs = [outcome.knowledge.repairs[name] for name in laid_out]
    checks = [check for name in _open_checks(outcome) if (check := outcome.check(name)) is not None]
    needs = {repair.needs for repair in repairs} | {check.needs for check in checks}
    owed = [caution for repair in repairs for caution in repair.work.cautions.technician]
    owed += [caution for check in checks for caution in check.work.cautions.technician]
    works = [*(repair.work for repair in repairs), *(check.work for check in checks)]
    lines = [caution for work in works for caution in work.in_a_line.technician]
    needed = dict.fromkeys(need.part for repair in repairs for need in repair.parts)
    parts = [(part, _place(outcome, part)) for part in needed if part in outcome.knowledge.parts]
    named = tuple(need for need in NEEDS if need in needs and need != "nothing")
    return Kit(tuple(parts), named, tuple(dict.fromkeys(owed)), _occasions(outcome, [*owed, *lines]), tuple(checks))


def _occasions(outcome: JobOutcome, owed: Iterable[str]) -> tuple[Occasion, ...]:
    """The occasions for which work carries every caution that is told."""
    carried, known = set(owed), outcome.knowledge.acts
    return tuple(
        each for each in OCCASIONS if (told := told_for(known, "technician", each)) and carried.issuperset(told)
    )


def _place(outcome: JobOutcome, name: str) -> str:
    """Where a part is before the visit: `van`, `shelf` or `order`."""
    part = outcome.knowledge.parts[name]
    if outcome.job.has_part(part):
        return "van"
    return "order" if part.price in _ORDERED else "shelf"


def _open_checks(outcome: JobOutcome) -> Iterable[str]:
    """Checks not answered yet that take instruments or tools and that speak of a likely cause, likeliest first."""
    if not outcome.judges:
        return ()
    answered = set(outcome.judged.job.readings)
    found: dict[str, None] = {}
    for cause, probability in outcome.judged.marginals().items():
        if probability < _WORTH_TESTING or cause not in outcome.knowledge.causes:
            continue
        for name in outcome.knowledge.causes[cause].shows:
            finding = outcome.knowledge.findings.get(name)
            for check in finding.inputs if finding is not None else (name,):
                if check not in answered and _takes_something(outcome, check):
                    found[check] = None
    return [*found][:_MOST_CHECKS]


def _takes_something(outcome: JobOutcome, name: str) -> bool:
    check = outcome.check(name)
    return check is not None and check.needs != "nothing"
