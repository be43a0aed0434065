"""What must not be lost: every caution that the sheet calls for, what the job touches on, and whose rules win."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge import cautions
from engine.knowledge.model import DANGER_CHECK, SIGNALS, Check, Repair, Tree
from engine.knowledge.properties import CURRENT, Meaning, Occasion, PartUse, Reading
from engine.session.decisions import SHOCK
from reports.view.amounts import hand_dose, nothing_needed
from reports.view.case import JobCase
from reports.view.known import KnownReadings
from reports.view.model import Action, CautionLine

_SHOCK_SHARE = 0.10
_CHLORINE: tuple[Reading, ...] = ("free_chlorine", "owners_free_chlorine")
_BLEACHED_SHARE = 0.02
"""From this probability on, a nil test is thinned and read again before chlorine is added: judgement."""


@dataclass(frozen=True)
class Concerns:
    """What the job touches on, beyond its fault.

    shock: someone could be hurt by current in or near the water. mains, acid, gas: work or products of that kind are on
    the sheet. by_hand: chlorine is to be dosed by hand meanwhile. too_much: there may be far too much chlorine.
    doubtful_test: the test that showed the fault is itself in doubt. still_water: the pump stands still. thinned_first:
    a diluted sample is read before that dose by hand, as the low test may be a bleached one.
    """

    shock: bool
    mains: bool
    acid: bool
    gas: bool
    by_hand: bool
    too_much: bool
    doubtful_test: bool
    still_water: bool
    thinned_first: bool


def concerns(case: JobCase, laid_out: Sequence[Action], known: KnownReadings) -> Concerns:
    """Work out what a job touches on, from its decision, the work laid out and what was answered."""
    knowledge = case.knowledge
    repairs = [knowledge.repairs[name] for name in (*(action.repair for action in laid_out), *case.job.repaired)]
    carried = {caution for repair in repairs for caution in repair.cautions}
    chosen, tree = case.repair(case.conclusion.repair), knowledge.trees.get(case.job.complaint or "")
    shock = _shock(case)
    mains = (
        shock
        or (tree is not None and tree.mains)
        or not carried.isdisjoint(cautions.told_for(knowledge.cautions, "mains"))
        or any(repair.needs == "mains" or "electrician" in repair.who for repair in repairs)
    )
    too_much = (chosen is not None and chosen.stops_dosing) or _opened_by_too_much(case, tree)
    still, doubtful = _still_water(case), chosen is not None and chosen.tests_anew
    by_hand = case.judges and not (shock or too_much or still or doubtful) and not nothing_needed(hand_dose(known))
    acid = carried >= set(cautions.told_for(knowledge.cautions, "acid")) or any(
        takes(case, repair, "cleaning_acid") for repair in repairs
    )
    gas = (
        acid
        or by_hand
        or knowledge.checks[DANGER_CHECK].meaning(case.job.danger) == "chlorine_smell"
        or not carried.isdisjoint(cautions.told_for(knowledge.cautions, "gas", "venting"))
    )
    thinned = by_hand and _maybe_bleached(case, laid_out)
    return Concerns(shock, mains, acid, gas, by_hand, too_much, doubtful, still, thinned)


def caution_lines(
    case: JobCase, laid_out: Sequence[Action], advised: Sequence[str], about: Concerns
) -> tuple[CautionLine, ...]:
    """Every caution of the work laid out or done and of the checks advised, gravest first, each once.

    A check that was done warned when it was done; what the sheet tells to do is another matter. Danger is always told.
    An id that this knowledge does not hold is passed by: the knowledge, not this module, has the words.
    """
    return gravest_first(case, _caution_ids(case, laid_out, advised, about))


def gravest_first(case: JobCase, names: Iterable[str]) -> tuple[CautionLine, ...]:
    """The cautions of these ids, each once, by their signal words; an id that this knowledge lacks is passed by."""
    found = [caution for name in names if (caution := case.caution(name)) is not None]
    ordered = sorted(dict.fromkeys(found), key=lambda caution: SIGNALS.index(caution.signal))
    return tuple(CautionLine(caution.id, caution.signal, case.say(caution.wording)) for caution in ordered)


def concern_cautions(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """The ids of the cautions that what a job touches on calls for, beside those of its work."""
    occasions: list[Occasion] = []
    if about.shock:
        occasions.append("danger")
    if about.mains:
        occasions += cautions.SUPPLY_WORK
    if about.acid:
        occasions += cautions.ACID_WORK
    if about.by_hand:
        occasions += cautions.CHLORINE_BY_HAND
    if about.thinned_first:
        occasions.append("low_test")
    if about.too_much:
        occasions += cautions.TOO_MUCH
    return cautions.told_for(case.knowledge.cautions, *occasions)


def takes(case: JobCase, repair: Repair, use: PartUse) -> bool:
    """Whether a repair takes a part that serves as this."""
    parts = (case.knowledge.parts.get(need.part) for need in repair.parts)
    return any(part is not None and part.use == use for part in parts)


def local_code(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """Whose rules win over this sheet, for each kind of work on it that the law has a say in."""
    told = {"mains": about.mains, "acid": about.acid, "gas": about.gas, "else": True}
    return tuple(say(f"view_advice.rules.{rule}.{case.reader}") for rule, is_told in told.items() if is_told)


def _caution_ids(case: JobCase, laid_out: Sequence[Action], advised: Sequence[str], about: Concerns) -> Iterator[str]:
    job, knowledge = case.job, case.knowledge
    yield from case.conclusion.cautions
    put_off = [name for name in job.waiting if name in knowledge.repairs]
    for repair in dict.fromkeys((*(action.repair for action in laid_out), *job.repaired, *put_off)):
        yield from knowledge.repairs[repair].cautions
    yield from _of_checks(case, (DANGER_CHECK, *job.waiting, *advised))
    if any(event.kind == "made_safe" for event in case.standing):
        yield from cautions.told_for(knowledge.cautions, "isolating")
    if any(event.kind == "switched_on" for event in case.standing):
        yield from cautions.told_for(knowledge.cautions, "switching_on")
    yield from concern_cautions(case, about)


def _of_checks(case: JobCase, names: Iterable[str]) -> Iterator[str]:
    for name in dict.fromkeys(names):
        check = case.check(name)
        if check is not None:
            yield from check.cautions


def _shock(case: JobCase) -> bool:
    """Whether current may reach the water or the deck, by the decision, an answer, or a likely enough cause."""
    if case.conclusion.decision in SHOCK or case.job.danger not in (None, "none"):
        return True
    if not case.judges or case.conclusion.solved:
        return False
    if any(_means(case, name, answered.reading.value) in CURRENT for name, answered in case.judged.job.answers.items()):
        return True
    # A fault that is said to make people feel a tingle, or to wet something electric, can put current in the water.
    danger = case.knowledge.checks[DANGER_CHECK]
    shocking = {answer.id for answer in danger.answers if answer.means in CURRENT}
    return any(
        share >= _SHOCK_SHARE and shocking & case.knowledge.causes[cause].shows.get(DANGER_CHECK, {}).keys()
        for cause, share in case.judged.marginals().items()
    )


def _means(case: JobCase, name: str, value: object) -> Meaning | None:
    """What an answer to a check means."""
    check = case.check(name)
    return None if check is None else check.meaning(value)


def _opened_by_too_much(case: JobCase, tree: Tree | None) -> bool:
    """Whether the complaint itself is one of too much chlorine: it says so, or opens on a test above its range."""
    if tree is None:
        return False
    tests = [check for name in tree.given if (check := case.check(name)) is not None and check.tells in _CHLORINE]
    return tree.stops_dosing or any(set(tree.given[check.id]) <= _above(check) for check in tests)


def _above(check: Check) -> set[str]:
    """The bands of a number above the one that is as it should be."""
    rising = [band.id for band in check.bands]
    return set(rising[rising.index(check.should_be) + 1 :]) if check.should_be in rising else set()


def _maybe_bleached(case: JobCase, laid_out: Sequence[Action]) -> bool:
    knowledge, shares = case.knowledge, case.judged.marginals()
    likely = any(
        share >= _BLEACHED_SHARE and cause in knowledge.causes and knowledge.causes[cause].bleaches_test
        for cause, share in shares.items()
    )
    return likely or any(knowledge.repairs[action.repair].stops_dosing for action in laid_out)


def _still_water(case: JobCase) -> bool:
    if case.conclusion.solved:
        return False
    readings = case.judged.job.readings
    return any(_means(case, name, reading.value) == "water_stands" for name, reading in readings.items())
