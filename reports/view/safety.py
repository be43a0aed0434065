"""What must not be lost: every caution that the sheet calls for, what the job touches on, and whose rules win."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK, SIGNALS
from reports.view.amounts import hand_dose, nothing_needed
from reports.view.case import JobCase
from reports.view.known import KnownReadings
from reports.view.model import Action, CautionLine

_TINGLE = "tingle_keep_out"
_ACID_CAUTIONS = ("acid_never_with_chlorine", "acid_into_water", "splash_protection", "store_apart", "spent_acid")
_MAINS_CAUTIONS = ("isolate_and_prove_dead", "licensed_electrician", _TINGLE, "residual_current_protection")
_HAND_CAUTIONS = ("acid_never_with_chlorine", "store_apart", "swimmers_out")
_SHOCK_DECISIONS = ("call_electrician", "make_safe")
_SHOCK_SHARE = 0.10
_SHOCKING = frozenset({"tingle", "water_on_electrics"})
"""Signs of danger by which current may reach people."""
_STOP_DOSING, _TEST_FIRST = "dilute_and_retest", "new_reagents"
_BLEACHED, _BLEACHED_SHARE = "indicator_bleached", 0.02
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
    repairs = [case.knowledge.repairs[name] for name in (*(action.repair for action in laid_out), *case.job.repaired)]
    cautions = {caution for repair in repairs for caution in repair.cautions}
    shock = _shock(case)
    mains = (
        shock
        or case.job.complaint == "supply-fault"
        or "licensed_electrician" in cautions
        or any(repair.needs == "mains" or "electrician" in repair.who for repair in repairs)
    )
    too_much = case.conclusion.repair == _STOP_DOSING
    still, doubtful = _still_water(case), case.conclusion.repair == _TEST_FIRST
    by_hand = case.judges and not (shock or too_much or still or doubtful) and not nothing_needed(hand_dose(known))
    acid = bool({"acid_into_water", "spent_acid"} & cautions) or any(
        need.part == "cleaning_acid" for repair in repairs for need in repair.parts
    )
    gas = (
        acid
        or by_hand
        or case.job.danger == "chlorine_smell"
        or bool({"gas_in_cell", "acid_never_with_chlorine"} & cautions)
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


def concern_cautions(about: Concerns) -> Iterator[str]:
    """The ids of the cautions that what a job touches on calls for, beside those of its work."""
    if about.shock:
        yield _TINGLE
    if about.mains:
        yield from _MAINS_CAUTIONS
    if about.acid:
        yield from _ACID_CAUTIONS
        yield "swimmers_out"
    if about.by_hand:
        yield from _HAND_CAUTIONS
    if about.thinned_first:
        yield "bleached_test"
    if about.too_much:
        yield from ("bleached_test", "swimmers_out")


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
        yield "isolate_and_prove_dead"
    if any(event.kind == "switched_on" for event in case.standing):
        yield "residual_current_protection"
    yield from concern_cautions(about)


def _of_checks(case: JobCase, names: Iterable[str]) -> Iterator[str]:
    for name in dict.fromkeys(names):
        check = case.check(name)
        if check is not None:
            yield from check.cautions


def _shock(case: JobCase) -> bool:
    """Whether current may reach the water or the deck, by the decision, an answer, or a likely enough cause."""
    if case.conclusion.decision in _SHOCK_DECISIONS or case.job.danger not in (None, "none"):
        return True
    if not case.judges or case.conclusion.solved:
        return False
    breaker = case.judged.job.answers.get("breaker")
    if breaker is not None and breaker.reading.value == "trips_again":
        return True
    # A fault that is said to make people feel a tingle, or to wet something electric, can put current in the water.
    return any(
        share >= _SHOCK_SHARE and _SHOCKING & case.knowledge.causes[cause].shows.get(DANGER_CHECK, {}).keys()
        for cause, share in case.judged.marginals().items()
    )


def _maybe_bleached(case: JobCase, laid_out: Sequence[Action]) -> bool:
    share = case.judged.marginals().get(_BLEACHED, 0.0)
    return share >= _BLEACHED_SHARE or any(action.repair == _STOP_DOSING for action in laid_out)


def _still_water(case: JobCase) -> bool:
    if case.conclusion.solved:
        return False
    answers = case.judged.job.readings
    stopped = "pump_running" in answers and answers["pump_running"].value == "stopped"
    return stopped or ("return_flow" in answers and answers["return_flow"].value == "none")
