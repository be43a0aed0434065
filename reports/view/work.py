"""What to do in order, with which parts, and what was done already."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from engine.foundation.texts import say
from engine.knowledge.model import Check, Part, PartNeed, Repair
from engine.quantities.unit_systems import shown_in
from engine.session.decisions import ON_THE_BENCH, OWN_WORK
from engine.treatment.doses import days_of_water
from engine.treatment.order_of_work import LaidOut
from reports.phrases import day_it_shows, done_when, lowered, when_it_shows, who_may
from reports.view.amounts import hand_amount, part_amount, work_amounts
from reports.view.case import JobCase
from reports.view.decisions import decided_words
from reports.view.known import KnownReadings
from reports.view.model import Action, Amount, DoneLine, PartLine

_WORTH_NAMING = 0.01


def known_numbers(case: JobCase) -> KnownReadings:
    """What amounts may be computed from."""
    return KnownReadings(case.numbers, case.knowledge, case.unit, case.units)


def shows(case: JobCase, repair: Repair) -> str:
    """When the result of a repair shows, in words; swaps of water take the days that they take."""
    return when_it_shows(repair.result_shows, case.date, days_of_water(repair, known_numbers(case)))


def day_shown(case: JobCase, repair: Repair) -> str:
    """The date on which the result of a repair shows, ISO 8601; empty where it shows at once or no day is known."""
    return day_it_shows(repair.result_shows, case.date, days_of_water(repair, known_numbers(case)))


def actions(case: JobCase, laid_out: Sequence[LaidOut]) -> tuple[Action, ...]:
    """The repairs laid out, in words, in the order of work; an amount stands with the first that it goes with."""
    told: set[Amount] = set()
    found = []
    for item in laid_out:
        action = _action(case, item)
        found.append(replace(action, amounts=tuple(amount for amount in action.amounts if amount not in told)))
        told |= set(action.amounts)
    return tuple(found)


def part_lines(case: JobCase, laid_out: Sequence[Action], by_hand: bool) -> tuple[PartLine, ...]:
    """Every part of the work laid out, once each, and what keeps the pool going meanwhile.

    Args:
        laid_out: the actions on the sheet, first one first.
        by_hand: whether the sheet tells to dose chlorine by hand.
    """
    lines: dict[str, PartLine] = {}
    for action in laid_out:
        repair = case.knowledge.repairs[action.repair]
        for need in repair.parts:
            amount = part_amount(need, repair, known_numbers(case))
            if need.part in case.knowledge.parts and need.part not in lines:
                lines[need.part] = _part(case, need, amount, action, action.when == "otherwise")
    for item, amount in _meanwhile_parts(case, by_hand):
        part = item.id
        if part not in lines or lines[part].later:
            work = say(f"view.work.meanwhile.{case.reader}")
            shop = "lend_now" if item.use == "spool" else _sold(case)
            shop = "sell_when_known" if amount.missing else shop
            place = ("van" if case.job.has_part(item) else "order") if case.voice == "field" else shop
            source = say(f"view.work.sources.{place}")
            ordering = shown_in(item.before_ordering, case.units)
            lines[part] = PartLine(part, case.say(item.wording), amount, work, False, source, ordering)
    return tuple(lines.values())


def done_lines(case: JobCase) -> tuple[DoneLine, ...]:
    """Repairs that were done, in this job or before it, and whether they helped."""
    before = {event.about for event in case.standing if event.kind == "already_tried"}
    lines = []
    for name, outcome in case.job.repaired.items():
        repair = case.repair(name)
        if repair is None or outcome != "done":
            continue
        verified = case.job.verified.get(name, "unverified")
        when = say(f"view.work.tried.{case.reader}") if name in before else say("view.work.done")
        lines.append(DoneLine(name, case.say(repair.wording), when, say(f"view.work.outcomes.{verified}")))
    return tuple(lines)


def not_read_again(case: JobCase) -> tuple[Check, ...]:
    """What instruments, the unit or the running plant would show of the repairs done, and nobody has read since."""
    since: set[str] = set()
    owed: dict[str, None] = {}
    for event in case.standing:
        repair = case.repair(event.about)
        if event.kind == "repaired" and event.value == "done" and repair is not None:
            since.clear()
            owed |= dict.fromkeys(repair.ask_again)
        elif event.kind in ("answered", "corrected"):
            since.add(event.about)
    checks = [check for name in owed if name not in since and (check := case.check(name)) is not None]
    return tuple(check for check in checks if _is_read(case, check))


def _is_read(case: JobCase, check: Check) -> bool:
    shown = any(check.id in unit.shows_numbers for unit in case.knowledge.units.values())
    if shown:
        return check.id in case.unit.shows_numbers
    return check.needs in ("kit", "meter") or check.plant == "running"


def _doers(case: JobCase, repair: Repair) -> Sequence[str]:
    """Who may do a work; on a technician's sheet they alone where it is theirs, or done on their visit."""
    done_here = "owner" in repair.who and repair.decision["field"] == "repair_here"
    theirs = case.reader == "technician" and ("technician" in repair.who or done_here)
    return ("technician",) if theirs else repair.who


def _action(case: JobCase, item: LaidOut) -> Action:
    repair = case.knowledge.repairs[item.repair]
    marginals = case.judged.marginals()
    causes = [cause for cause in repair.cures if marginals.get(cause, 0.0) >= _WORTH_NAMING]
    return Action(
        repair=repair.id,
        title=case.say(repair.wording),
        by=case.decided.title if item.when == "first" else decided_words(item.decision, case.reader).title,
        decision=item.decision,
        who=tuple(who_may(who, case.reader) for who in _doers(case, repair)),
        minutes=round(repair.minutes),
        plant=repair.plant,
        when=item.when,
        lead=case.say(repair.before_steps),
        steps=repair.steps.for_role(case.voice, case.units),
        done_when=done_when(repair, case.voice, case.units),
        probability=item.probability,
        helps=tuple(case.say(case.knowledge.causes[cause].wording) for cause in causes),
        takes=tuple(_taken(case, repair, need) for need in repair.parts if need.part in case.knowledge.parts),
        amounts=work_amounts(repair, known_numbers(case), indexed=case.voice == "field"),
        result_shows=shows(case, repair),
        keeps_unit_off=any(case.knowledge.acts[act].keeps_unit_off for act in repair.work.acts.for_role(case.voice)),
    )


def _taken(case: JobCase, repair: Repair, need: PartNeed) -> str:
    part = case.say(case.knowledge.parts[need.part].wording)
    amount = part_amount(need, repair, known_numbers(case)).text
    return say("view.work.taken", part=lowered(part), amount=amount)


def _part(case: JobCase, need: PartNeed, amount: Amount, action: Action, later: bool) -> PartLine:
    part = case.knowledge.parts[need.part]
    source = say(f"view.work.sources.{_source(case, need, action, later, case.job.has_part(part))}")
    ordering = shown_in(part.before_ordering, case.units)
    return PartLine(part.id, case.say(part.wording), amount, action.title, later, source, ordering)


def _source(case: JobCase, need: PartNeed, action: Action, later: bool, in_van: bool) -> str:
    """Where a part comes from, and when it is sold, by the keys of its words."""
    if case.voice == "field":
        return "van" if in_van else "order"
    if later:
        return "only_later"
    if action.decision == "quote":
        return "once_agreed"
    if action.decision in OWN_WORK or action.decision == "bring_sample":
        # What is missing for the amount is found out first; a wrong dose is worse than a late one.
        return "sell_when_known" if need.amount.computed is not None and _unknown(case, need, action) else _sold(case)
    if action.decision in ON_THE_BENCH:
        return "for_the_bench" if "owner" in case.knowledge.repairs[action.repair].who else "have_ready"
    return "technician_brings" if in_van else "order_by_plate"


def _sold(case: JobCase) -> str:
    """How a part is sold: nobody on the phone can take it along."""
    return "put_aside" if case.voice == "phone" else "sell_now"


def _unknown(case: JobCase, need: PartNeed, action: Action) -> bool:
    return bool(part_amount(need, case.knowledge.repairs[action.repair], known_numbers(case)).missing)


def _meanwhile_parts(case: JobCase, by_hand: bool) -> list[tuple[Part, Amount]]:
    spool, chlorine = case.knowledge.part_for("spool"), case.knowledge.part_for("hand_chlorine")
    found = []
    if spool is not None and case.conclusion.decision == "bring_cell":
        found.append((spool, Amount("1")))
    if chlorine is not None and by_hand:
        # A technician reads the dose on the same page; the clerk's screen has no other place for it.
        field = case.voice == "field"
        found.append((chlorine, Amount(say("view.work.as_told")) if field else hand_amount(known_numbers(case))))
    return found
