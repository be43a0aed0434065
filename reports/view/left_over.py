"""What is left beside the work laid out: water that is not as it should be, and after a repair the other fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from engine.foundation.texts import said, say
from engine.knowledge.model import Check, Repair
from engine.quantities.quantity import figure
from engine.session.deciding import BOTH_SHARE, both_share
from engine.treatment.doses import PUTS_RIGHT, Side, computed_by
from reports.phrases import joined
from reports.view.amounts import amount_to_put_right
from reports.view.case import JobCase
from reports.view.known import KnownReadings
from reports.view.model import Action
from reports.view.opening import first_amount
from reports.view.work import known_numbers

_PUT_RIGHT_BY: dict[tuple[str, Side], str] = {**PUTS_RIGHT, ("alkalinity", "high"): "acid_for_alkalinity"}
"""What puts a test right, whether one dose does it or, as with alkalinity, several rounds."""


def left_over(case: JobCase, laid_out: Sequence[Action]) -> tuple[str, ...]:
    """A line for each test of the water that is not right, and once it is solved for each other fault that is left."""
    out = _out_of_range(case, laid_out)
    others = [repair for repair in _other_faults(case) if not set(computed_by(repair)) & _doses_of(out)]
    return (*out.values(), *(_still_to_do(case, repair) for repair in others))


def _doses_of(out: Mapping[tuple[str, Side], str]) -> set[str]:
    return {_PUT_RIGHT_BY[place] for place in out if place in _PUT_RIGHT_BY}


def _other_faults(case: JobCase) -> Iterator[Repair]:
    """Repairs of what was likely there together with the fault that was mended, and shows as it did, or was not read.

    Danger apart, a job is solved once one repair helped, whatever else was found.
    """
    if not case.judges or not case.conclusion.solved:
        return
    done = [case.knowledge.repairs[name] for name in case.job.verified if name in case.knowledge.repairs]
    for share in case.judged.remedies():
        repair = case.knowledge.repairs[share.remedy.repair]
        both = min((both_share(case.judged, repair, other) for other in done), default=0.0)
        if case.job.repaired.get(repair.id) != "done" and both >= BOTH_SHARE and not _shows_otherwise(case, repair):
            yield repair


def _shows_otherwise(case: JobCase, repair: Repair) -> bool:
    """Whether something that its causes show was read again and is another answer now."""
    shown = {check for cause in repair.cures for check in case.knowledge.causes[cause].shows}
    return any(_now(case, check) is not None and _now(case, check) != _found(case, check) for check in shown)


def _now(case: JobCase, name: str) -> str | None:
    check = case.check(name)
    return _answer(case, check, case.as_left.get(name)) if check is not None else None


def _found(case: JobCase, name: str) -> str | None:
    check, answered = case.check(name), case.judged.job.answers.get(name)
    return _answer(case, check, answered.reading.value) if check is not None and answered is not None else None


def _answer(case: JobCase, check: Check, value: str | float | None) -> str | None:
    """The answer, or the band of a number, by its id."""
    if value is None or isinstance(value, str):
        return value
    band = next((b for b in check.bands if b.under is None or value < b.under.value(case.unit)), None)
    return band.id if band is not None else None


def _still_to_do(case: JobCase, repair: Repair) -> str:
    amount = first_amount(case, repair)
    work = case.say(repair.wording).rstrip(".")
    told = say("view_advice.left.takes", work=work, amount=amount.text) if amount is not None else work
    return say("view_advice.left.to_do", work=told)


def _out_of_range(case: JobCase, laid_out: Sequence[Action]) -> dict[tuple[str, Side], str]:
    """A line for each test of the water that is not as it should be, with its dose, in the order of their work.

    Unless the work laid out has just that dose, or what is likely says not to go by that test yet. Once it is solved
    what was read last holds, and what a repair that was done has put right is told only where it was read again.
    """
    known, texts = _known_now(case), said(f"view_advice.water.{case.reader}")
    now_due = [case.knowledge.repairs[action.repair] for action in laid_out if action.when != "otherwise"]
    worked_out = {name for repair in now_due for name in computed_by(repair)}
    done = [case.knowledge.repairs[n] for n, r in case.job.repaired.items() if r == "done" and case.repair(n)]
    put_in = {name for repair in done for name in computed_by(repair)} if case.conclusion.solved else set()
    lines: dict[tuple[str, Side], str] = {}
    for check in case.knowledge.checks.values():
        now, between = known.numbers.get(check.id), known.should_be(check)
        # A range is told with both its ends, so either of them is within it.
        if now is None or between is None or between[0] <= now <= between[1] or check.id in case.doubted:
            continue
        side: Side = "low" if now < between[0] else "high"
        by = _PUT_RIGHT_BY.get((check.id, side))
        if by in put_in and check.id not in case.as_left:
            continue
        if f"{check.id}_{side}" in texts and by not in worked_out:
            lines[check.id, side] = _line(case, check, side, known)
    order = list(PUTS_RIGHT)
    places = sorted(lines, key=lambda each: order.index(each) if each in order else len(order))
    return {place: lines[place] for place in places}


def _known_now(case: JobCase) -> KnownReadings:
    """The numbers that hold: once it is solved those that were read last."""
    known = known_numbers(case)
    left = {name: value for name, value in case.as_left.items() if not isinstance(value, str)}
    return KnownReadings({**known.numbers, **left}, known.knowledge, known.unit, known.units)


def _line(case: JobCase, check: Check, side: Side, known: KnownReadings) -> str:
    now, between, unit = known.numbers[check.id], known.should_be(check), check.unit or ""
    assert between is not None
    # `pH` goes before its figure, and once is enough.
    low, high = (figure(value) if unit == "pH" else known.show(value, unit) for value in between)
    key, dose = f"view_advice.water.{case.reader}.{check.id}_{side}", _dose_told(check.id, side, known)
    return say(key, now=known.show(now, unit), low=low, high=high, dose=dose)


def _dose_told(check: str, side: Side, known: KnownReadings) -> str:
    """The dose that puts a test right, or what is missing for it; empty where there is none."""
    amount = amount_to_put_right(check, side, known)
    if amount is None:
        return ""
    if amount.missing and not any(map(str.isdigit, amount.text)):
        return say("view_advice.water_lacks", missing=joined(amount.missing))
    return amount.text
