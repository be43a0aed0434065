"""The record of a job: what was recorded by hand, the visits by the events' times, the parts of the repairs done."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta

from engine.chlorinator.limits import RangeError
from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.knowledge.properties import PartAmount
from engine.quantities.quantity import figure
from engine.session.folding import replay
from engine.session.journal import RECORDED, Event
from engine.session.record import recorded_by_hand
from engine.session.session import Session
from engine.treatment.acid import Neutraliser, PhDose
from engine.treatment.chlorine import ChlorineDose
from engine.treatment.doses import PartDose, part_dose
from engine.treatment.minerals import MineralDose, SaltDose
from engine.treatment.readings import PoolReadings
from engine.treatment.soda_ash import PhLift
from reports.view.bill import Bill, Record, UsedPart, Visit
from reports.view.case import JobCase, case_of
from reports.view.work import done_lines

_APART = timedelta(hours=2)
"""So long without an event, and the next one is of another visit: judgement."""


def bill_of(session: Session, date: str) -> Bill:
    """A job as it is billed, without all else that its sheets say. Args: the job, and the day of its sheet."""
    case = case_of(session, date, None)
    return Bill(cleaned(case.job.id), date, job_record(case), worked=bool(done_lines(case)))


def job_record(case: JobCase) -> Record:
    """Whose job it is, its visits and times, and every part that a done repair took; what was said by hand wins.

    Nothing of it is worked out from what came after a repair, so that its parts stay as they were.
    """
    by_hand = recorded_by_hand(case.standing)
    visits = tuple(visit for visit in _visits(case) if visit.minutes)
    worked = sum(visit.minutes for visit in visits) if visits and case.job.role == "field" else None
    return Record(
        customer=cleaned(by_hand.texts.get("customer", "")),
        telephone=cleaned(by_hand.texts.get("telephone", "")),
        site=cleaned(by_hand.texts.get("site", "")),
        serial=cleaned(by_hand.texts.get("serial", "")),
        visits=visits,
        labour=by_hand.minutes.get("labour", worked),
        travel=by_hand.minutes.get("travel"),
        photos=tuple(cleaned(name) for name in by_hand.photos),
        parts=tuple(_parts(case, by_hand.parts)),
    )


def _visits(case: JobCase) -> Iterator[Visit]:
    """The times between which something was done, without what was recorded at a desk afterwards."""
    begun: datetime | None = None
    last: datetime | None = None
    for event in case.session.events:
        at = _time(event)
        if at is None or event.kind == RECORDED:
            continue
        if begun is None or last is None:
            begun = last = at
        elif at - last > _APART:
            yield _visit(begun, last)
            begun = last = at
        else:
            last = max(at, last)
    if begun is not None and last is not None:
        yield _visit(begun, last)


def _visit(begun: datetime, ended: datetime) -> Visit:
    return Visit(_stamp(begun), _stamp(ended), round((ended - begun).total_seconds() / 60))


def _stamp(at: datetime) -> str:
    return at.strftime("%Y-%m-%dT%H:%M:%SZ")


def _time(event: Event) -> datetime | None:
    try:
        at = datetime.fromisoformat(event.at)
        return (at if at.tzinfo else at.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _parts(case: JobCase, by_hand: Mapping[str, tuple[float | None, str]]) -> Iterator[UsedPart]:
    used = dict[str, tuple[float | None, str]]()
    for place, event in enumerate(case.standing):
        repair = case.repair(event.about)
        if event.kind != "repaired" or event.value != "done" or repair is None:
            continue
        job = replay(case.standing[:place], case.knowledge)
        numbers = {name: float(r.value) for name, r in job.readings.items() if not isinstance(r.value, str)}
        readings = PoolReadings(numbers, case.knowledge, case.unit)
        for need in repair.parts:
            if need.part in case.knowledge.parts and case.knowledge.parts[need.part].use != "tool":
                used[need.part] = _more(used.get(need.part), _quantity(part_dose(need, repair, readings)))
    used.update(by_hand)
    for part, (quantity, unit) in used.items():
        if quantity != 0 and part in case.knowledge.parts:
            yield _used(case, part, quantity, unit)


def _more(before: tuple[float | None, str] | None, now: tuple[float | None, str]) -> tuple[float | None, str]:
    """What two repairs took of one part; not known where one of them does not say how much."""
    if before is None:
        return now
    if before[0] is None or now[0] is None or before[1] != now[1]:
        return (None, "")
    return (before[0] + now[0], now[1])


def _quantity(dose: PartDose) -> tuple[float | None, str]:
    """How much was taken, in numbers; None where that hangs on what nobody knows."""
    try:
        match dose:
            case PartAmount():
                return (dose.value, dose.unit)
            case SaltDose() | MineralDose() if dose.volume_m3:
                return (round(dose.kg(dose.volume_m3), 2), "kg")
            case ChlorineDose() if dose.volume_m3:
                return (round(dose.litres(dose.volume_m3), 2), "L")
            case PhDose() if dose.volume_m3:
                return (round(dose.dose(dose.volume_m3).hcl_31_ml / 1000, 2), "L")
            case PhLift() if dose.volume_m3:
                return (round(dose.dose(dose.volume_m3).grams / 1000, 2), "kg")
            case Neutraliser():
                return (round(dose.grams), "g")
            case _:
                return (None, "")
    except RangeError:
        return (None, "")


def _used(case: JobCase, part: str, quantity: float | None, unit: str) -> UsedPart:
    entry = case.knowledge.parts[part]
    told = say("recording.amount_open")
    if quantity is not None:
        told = case.show(quantity, unit) if unit else figure(quantity)
    return UsedPart(part, case.say(entry.wording), quantity, unit, told, entry.price)
