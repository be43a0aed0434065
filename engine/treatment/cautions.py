"""What must not be lost: what a job touches on beyond its fault, and every caution that it owes for that."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from engine.knowledge import cautions
from engine.knowledge.model import DANGER_CHECK, SIGNALS, Caution, Check, Knowledge, Repair, Tree
from engine.knowledge.properties import Meaning, Occasion, PartUse, Reading
from engine.session.decisions import SHOCK
from engine.session.outcome import JobOutcome

_SHOCK_SHARE = 0.10
_CHLORINE: tuple[Reading, ...] = ("free_chlorine", "owners_free_chlorine")
_BLEACHED_SHARE = 0.02
"""From this probability on, a nil test is thinned and read again before chlorine is added: judgement."""


@dataclass(frozen=True)
class Concerns:
    """What the job touches on, beyond its fault.

    danger: a danger stands that was reported. shock: someone could be hurt by current in or near the water. mains,
    acid, gas: work or products of that kind are on the sheet. by_hand: chlorine is to be dosed by hand meanwhile.
    too_much: there may be far too much chlorine. doubtful_test: the test that showed the fault is itself in doubt.
    still_water: the pump stands still. thinned_first: a diluted sample is read before that dose by hand, as the low
    test may be a bleached one.
    """

    danger: bool
    shock: bool
    mains: bool
    acid: bool
    gas: bool
    by_hand: bool
    too_much: bool
    doubtful_test: bool
    still_water: bool
    thinned_first: bool

    @property
    def keep_away(self) -> bool:
        """Whether everybody keeps away until it has been called safe."""
        return self.danger or self.shock


def concerns(outcome: JobOutcome, laid_out: Sequence[str], lacks_chlorine: Callable[[], bool]) -> Concerns:
    """Work out what a job touches on, from its decision, the repairs laid out and what was answered.

    Args:
        outcome: the job and what it came to.
        laid_out: the repairs on the sheet, first one first.
        lacks_chlorine: whether the water, as tested, takes any chlorine by hand; asked only where it may get some.
    """
    knowledge = outcome.knowledge
    repairs = [knowledge.repairs[name] for name in (*laid_out, *outcome.job.repaired)]
    carried = {caution for repair in repairs for caution in repair.cautions}
    chosen, tree = outcome.repair(outcome.conclusion.repair), knowledge.trees.get(outcome.job.complaint or "")
    shock = _shock(outcome)
    mains = (
        shock
        or (tree is not None and tree.mains)
        or not carried.isdisjoint(cautions.told_for(knowledge.cautions, "mains"))
        or any(repair.needs == "mains" or "electrician" in repair.who for repair in repairs)
    )
    too_much = (chosen is not None and chosen.stops_dosing) or _opened_by_too_much(outcome, tree)
    still, doubtful = _still_water(outcome), chosen is not None and chosen.tests_anew
    kinds = {knowledge.dangers[report.danger].kind for report in outcome.job.standing}
    by_hand = outcome.judges and not (shock or too_much or still or doubtful) and lacks_chlorine()
    acid = carried >= set(cautions.told_for(knowledge.cautions, "acid")) or any(
        takes(outcome, repair, "cleaning_acid") for repair in repairs
    )
    gas = (
        acid
        or by_hand
        or "gas" in kinds
        or not carried.isdisjoint(cautions.told_for(knowledge.cautions, "gas", "venting"))
    )
    thinned = by_hand and _maybe_bleached(outcome, laid_out)
    return Concerns(bool(kinds), shock, mains, acid, gas, by_hand, too_much, doubtful, still, thinned)


def owed_cautions(
    outcome: JobOutcome, laid_out: Sequence[str], advised: Sequence[str], about: Concerns
) -> tuple[Caution, ...]:
    """Every caution of the work laid out or done and of the checks advised, gravest first, each once.

    A check that was done warned when it was done; what is still to do is another matter. Danger is always told.
    """
    return gravest_first(outcome.knowledge, _owed(outcome, laid_out, advised, about))


def gravest_first(knowledge: Knowledge, names: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions of these ids, each once, by their signal words; an id that this knowledge lacks is passed by."""
    found = [knowledge.cautions[name] for name in dict.fromkeys(names) if name in knowledge.cautions]
    return tuple(sorted(found, key=lambda caution: SIGNALS.index(caution.signal)))


def _owed(outcome: JobOutcome, laid_out: Sequence[str], advised: Sequence[str], about: Concerns) -> Iterator[str]:
    job, knowledge = outcome.job, outcome.knowledge
    yield from outcome.conclusion.cautions
    if about.danger:
        # Nothing else is done before it is safe, and nothing else is said.
        return
    put_off = [name for name in job.waiting if name in knowledge.repairs]
    for repair in dict.fromkeys((*laid_out, *job.repaired, *put_off)):
        yield from knowledge.repairs[repair].cautions
    yield from _of_checks(outcome, (DANGER_CHECK, *job.waiting, *advised))
    if any(event.kind == "made_safe" for event in outcome.standing):
        yield from cautions.told_for(knowledge.cautions, "isolating")
    if any(event.kind == "switched_on" for event in outcome.standing):
        yield from cautions.told_for(knowledge.cautions, "switching_on")
    yield from concern_cautions(outcome, about)


def concern_cautions(outcome: JobOutcome, about: Concerns) -> tuple[str, ...]:
    """The ids of the cautions that what a job touches on calls for, beside those of its work."""
    occasions: list[Occasion] = []
    if about.danger:
        # A danger that stands brings its own cautions, and no other.
        return ()
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
    return cautions.told_for(outcome.knowledge.cautions, *occasions)


def takes(outcome: JobOutcome, repair: Repair, use: PartUse) -> bool:
    """Whether a repair takes a part that serves as this."""
    parts = (outcome.knowledge.parts.get(need.part) for need in repair.parts)
    return any(part is not None and part.use == use for part in parts)


def _of_checks(outcome: JobOutcome, names: Iterable[str]) -> Iterator[str]:
    for name in dict.fromkeys(names):
        check = outcome.check(name)
        if check is not None:
            yield from check.cautions


def _shock(outcome: JobOutcome) -> bool:
    """Whether current may reach the water or the deck, by the decision, an answer, or a likely enough cause."""
    knowledge = outcome.knowledge
    if outcome.job.standing:
        return any(knowledge.dangers[report.danger].kind == "electric" for report in outcome.job.standing)
    if outcome.conclusion.decision in SHOCK:
        return True
    if not outcome.judges or outcome.conclusion.solved:
        return False
    if any(
        _means(outcome, name, answered.reading.value) == "current_may_leak"
        for name, answered in outcome.judged.job.answers.items()
    ):
        return True
    # A fault that is said to make people feel a tingle, or to wet something electric, can put current in the water.
    answers = knowledge.checks[DANGER_CHECK].answers
    shocking = {each.id for each in answers if each.reports and knowledge.dangers[each.reports].current_may_leak}
    return any(
        share >= _SHOCK_SHARE and shocking & knowledge.causes[cause].shows.get(DANGER_CHECK, {}).keys()
        for cause, share in outcome.judged.marginals().items()
    )


def _means(outcome: JobOutcome, name: str, value: object) -> Meaning | None:
    """What an answer to a check means."""
    check = outcome.check(name)
    return None if check is None else check.meaning(value)


def _opened_by_too_much(outcome: JobOutcome, tree: Tree | None) -> bool:
    """Whether the complaint itself is one of too much chlorine: it says so, or opens on a test above its range."""
    if tree is None:
        return False
    tests = [check for name in tree.given if (check := outcome.check(name)) is not None and check.tells in _CHLORINE]
    return tree.stops_dosing or any(set(tree.given[check.id]) <= _above(check) for check in tests)


def _above(check: Check) -> set[str]:
    """The bands of a number above the one that is as it should be."""
    rising = [band.id for band in check.bands]
    return set(rising[rising.index(check.should_be) + 1 :]) if check.should_be in rising else set()


def _maybe_bleached(outcome: JobOutcome, laid_out: Sequence[str]) -> bool:
    knowledge, shares = outcome.knowledge, outcome.judged.marginals()
    likely = any(
        share >= _BLEACHED_SHARE and cause in knowledge.causes and knowledge.causes[cause].bleaches_test
        for cause, share in shares.items()
    )
    return likely or any(knowledge.repairs[repair].stops_dosing for repair in laid_out)


def _still_water(outcome: JobOutcome) -> bool:
    if outcome.conclusion.solved:
        return False
    readings = outcome.judged.job.readings
    return any(_means(outcome, name, reading.value) == "water_stands" for name, reading in readings.items())
