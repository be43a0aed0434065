"""What a job touches on beyond its fault, and the cautions of its papers: for who does the act on that paper."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from engine.knowledge import hazards
from engine.knowledge.hazards import cautions_of, told_for
from engine.knowledge.model import (
    DANGER_CHECK,
    SIGNALS,
    Caution,
    Check,
    HazardousAct,
    HazardousWork,
    Knowledge,
    Repair,
    Tree,
)
from engine.knowledge.properties import Meaning, Occasion, PartUse, Reader, Reading
from engine.session.decisions import ON_THE_BENCH, OTHERS_COME, OWN_WORK, SHOCK
from engine.session.outcome import JobOutcome
from engine.treatment.order_of_work import LaidOut

_SHOCK_SHARE = 0.10
_CHLORINE: tuple[Reading, ...] = ("free_chlorine", "owners_free_chlorine")
_SOON_MIN = 60.0
"""Work that takes less than this lets nobody dose by hand meanwhile: judgement."""
_BLEACHED_SHARE = 0.02
"""From this probability on, a nil test is thinned and read again before chlorine is added: judgement."""


@dataclass(frozen=True)
class Concerns:
    """What the job touches on, beyond its fault.

    danger: a danger stands that was reported. shock: someone could be hurt by current in or near the water. mains,
    acid, gas: work or products of that kind are on the sheet. by_hand: chlorine is to be dosed by hand meanwhile.
    untested: it would be, if anybody had tested: a dose waits for its test.
    too_much: there may be far too much chlorine. doubtful_test: the test that showed the fault is itself in doubt.
    still_water: the pump stands still. thinned_first: a diluted sample is read before that dose by hand, as the low
    test may be a bleached one. cloudy: the floor of the pool may not be seen. lets_out: pool water is let
    out. dosed: chlorine or stabiliser goes into the water. supply: it is called for a supply at fault. adds_none: the
    complaint is one of too much chlorine, or somebody got ill, so that nothing on a paper adds any, also once it is
    solved. may_infect: somebody got ill after bathing, and no test of ours lets anybody in again.
    """

    danger: bool
    shock: bool
    mains: bool
    acid: bool
    gas: bool
    by_hand: bool
    untested: bool
    too_much: bool
    doubtful_test: bool
    still_water: bool
    thinned_first: bool
    cloudy: bool
    lets_out: bool
    dosed: bool
    supply: bool
    adds_none: bool
    may_infect: bool

    @property
    def keep_away(self) -> bool:
        """Whether everybody keeps away until it has been called safe."""
        return self.danger or self.shock


@dataclass(frozen=True)
class PaperCautions:
    """The cautions of one paper, gravest first: whole, and those that are told in a line.

    `owed` are the ids of all that go with what is done now; others are told in a line as they only may matter. `later`
    are the ids of those that only go with work that may come.
    """

    whole: tuple[Caution, ...]
    in_a_line: tuple[Caution, ...]
    owed: frozenset[str]
    later: frozenset[str] = frozenset()


def concerns(outcome: JobOutcome, laid_out: Sequence[LaidOut], lacks_chlorine: Callable[[], bool | None]) -> Concerns:
    """Work out what a job touches on, from its decision, the repairs laid out and what was answered.

    Args:
        outcome: the job and what it came to.
        laid_out: the repairs on the sheet, first one first.
        lacks_chlorine: whether the water, as tested, takes any chlorine by hand, None where that waits for a test;
            asked only where it may get some.
    """
    knowledge = outcome.knowledge
    named = [item.repair for item in laid_out]
    # What could not be done brought nothing.
    done = [name for name, result in outcome.job.repaired.items() if result == "done"]
    repairs = [knowledge.repairs[name] for name in (*named, *done)]
    occasions = {act.occasion for repair in repairs for act in _acts(knowledge, repair.work)}
    chosen, tree = outcome.repair(outcome.conclusion.repair), knowledge.trees.get(outcome.job.complaint or "")
    shock = _shock(outcome)
    # While danger stands the sheet is that danger's, whatever trade the fault below it may call for.
    on_mains = (tree is not None and tree.mains) or any(_on_mains(knowledge, repair) for repair in repairs)
    mains = shock or (on_mains and not outcome.job.standing)
    adds_none = _opened_by_too_much(outcome, tree)
    too_much = adds_none or (chosen is not None and chosen.stops_dosing)
    still, doubtful = _still_water(outcome), chosen is not None and chosen.tests_anew
    kinds = {knowledge.dangers[report.danger].kind for report in outcome.job.standing}
    kept = shock or too_much or still or doubtful or _soon_made_again(outcome, chosen)
    infected = _may_infect(outcome)
    kept = kept or infected or _strong_dose_is_all(outcome, laid_out) or _not_known_to_lack(outcome, tree)
    lacks = lacks_chlorine() if outcome.judges and not kept else False
    by_hand = bool(lacks)
    acid = "acid" in occasions or any(takes(outcome, repair, "cleaning_acid") for repair in repairs)
    gas = acid or by_hand or "gas" in kinds or not occasions.isdisjoint({"gas", "venting", "hand_dosing"})
    thinned = by_hand and _maybe_bleached(outcome, named)
    too_much = too_much and not outcome.conclusion.solved
    hazardous = [act for repair in repairs for act in _acts(knowledge, repair.work)]
    lets_out = any(act.lets_out for act in hazardous)
    dosed = by_hand or any("strong_chlorine" in act.brings for act in hazardous)
    return Concerns(
        bool(kinds),
        shock,
        mains,
        acid,
        gas,
        by_hand,
        lacks is None,
        too_much,
        doubtful,
        still,
        thinned,
        _cloudy(outcome) and not infected,
        lets_out,
        dosed,
        tree is not None and tree.mains and not outcome.conclusion.solved,
        adds_none or infected,
        infected,
    )


def technicians_cautions(
    outcome: JobOutcome, laid_out: Sequence[LaidOut], advised: Sequence[str], about: Concerns
) -> PaperCautions:
    """Those of the technician's paper: whole of the work that comes now.

    In a line what only may come: work in case the first does not help, work and checks put off, checks advised. What is
    done warns no more.
    """
    job, knowledge = outcome.job, outcome.knowledge
    if about.danger:
        return _danger_alone(outcome)
    now = [knowledge.repairs[item.repair].work for item in laid_out if item.when != "otherwise"]
    else_ = [item.repair for item in laid_out if item.when == "otherwise"]
    put_off = [name for name in job.waiting if name in knowledge.repairs]
    may_come = [knowledge.repairs[name].work for name in (*else_, *put_off)]
    may_come += [check.work for name in (*job.waiting, *advised) if (check := outcome.check(name)) is not None]
    occasions: list[Occasion] = [*_of_danger(about), *(("hand_dosing",) if about.by_hand else ())]
    if job.plant != "running":
        occasions.append("isolating")
    if about.cloudy:
        occasions.append("cloudy_water")
    return _paper(knowledge, "technician", now, occasions, may_come, _said_already(about))


def shops_cautions(outcome: JobOutcome, laid_out: Sequence[str], about: Concerns) -> PaperCautions:
    """Those of the shop's paper: of the work at its own bench, where what is to be mended is brought there."""
    if about.danger:
        return _danger_alone(outcome)
    bench = outcome.conclusion.decision in ON_THE_BENCH and not outcome.conclusion.solved and not about.shock
    repairs = [outcome.knowledge.repairs[name] for name in laid_out[:1]] if bench else []
    acts = [act for repair in repairs for act in _acts(outcome.knowledge, repair.work) if act.on_the_bench]
    whole = [*told_for(outcome.knowledge.acts, "owner", *_of_danger(about)), *cautions_of(acts, "technician")]
    return _parted(outcome.knowledge, whole, [caution for act in acts for caution in act.in_a_line.to("technician")])


def owners_cautions(
    outcome: JobOutcome, done: Sequence[Repair], lets: Sequence[Occasion], about: Concerns
) -> PaperCautions:
    """Those of the customer's paper: of the steps that it tells and of what it lets the customer do.

    Args:
        outcome: the job and what it came to.
        done: the repairs whose steps the paper tells the customer.
        lets: what it lets the customer do beside that, such as taking the cell out.
        about: what the job touches on.
    """
    if about.danger:
        return _danger_alone(outcome)
    occasions: list[Occasion] = [*_of_danger(about), *lets, *(("hand_dosing",) if about.by_hand else ())]
    if about.too_much:
        occasions += hazards.TOO_MUCH
    if about.cloudy:
        occasions.append("cloudy_water")
    if about.supply:
        occasions.append("fusing")
    works = [repair.work for repair in done]
    return _paper(outcome.knowledge, "owner", works, occasions, in_a_line=_said_already(about))


def gravest_first(knowledge: Knowledge, names: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions of these ids, each once, by their signal words; an id that this knowledge lacks is passed by."""
    found = [knowledge.cautions[name] for name in dict.fromkeys(names) if name in knowledge.cautions]
    return tuple(sorted(found, key=lambda caution: SIGNALS.index(caution.signal)))


def _paper(
    knowledge: Knowledge,
    reader: Reader,
    works: Sequence[HazardousWork],
    occasions: Sequence[Occasion],
    may_come: Sequence[HazardousWork] = (),
    in_a_line: Sequence[Occasion] = (),
) -> PaperCautions:
    """The cautions of works and occasions for a reader; those of work that only may come are told in a line."""
    acts = [act for act in knowledge.acts.values() if act.occasion is not None and act.occasion in occasions]
    whole = [caution for work in works for caution in work.cautions.to(reader)]
    whole += told_for(knowledge.acts, reader, *occasions)
    lines = [caution for work in works for caution in work.in_a_line.to(reader)]
    # What dosing by hand tells in a line is of the acid that may stand beside it, and not of the dose.
    lines += [caution for act in acts if act.occasion != "hand_dosing" for caution in act.in_a_line.to(reader)]
    beside = [caution for act in acts if act.occasion == "hand_dosing" for caution in act.in_a_line.to(reader)]
    beside += told_for(knowledge.acts, reader, *in_a_line)
    come = [caution for work in may_come for caution in (*work.cautions.to(reader), *work.in_a_line.to(reader))]
    told = _parted(knowledge, whole, lines, [*beside, *come])
    return replace(told, later=frozenset(come).difference(whole, lines, beside))


def _parted(
    knowledge: Knowledge, whole: Sequence[str], lines: Sequence[str], beside: Sequence[str] = ()
) -> PaperCautions:
    """What is told whole and what in a line; a notice, which is of damage and hurts nobody, is a line.

    Args: what goes with what is done now, to be told whole or in a line, and what is told in a line beside that.
    """
    first = gravest_first(knowledge, whole)
    boxes = tuple(caution for caution in first if caution.signal != "NOTICE")
    others = (name for name in (*whole, *lines, *beside) if name not in {caution.id for caution in boxes})
    return PaperCautions(boxes, gravest_first(knowledge, others), frozenset((*whole, *lines)))


def _danger_alone(outcome: JobOutcome) -> PaperCautions:
    """Nothing else is done before a danger is over, and nothing else is said: its own cautions."""
    of_danger = outcome.session.cautions_of_danger
    return PaperCautions(gravest_first(outcome.knowledge, of_danger), (), frozenset(of_danger))


def _said_already(about: Concerns) -> tuple[Occasion, ...]:
    """What the dose by hand says itself, step by step: a thinned sample comes before it."""
    return ("low_test",) if about.thinned_first else ()


def _of_danger(about: Concerns) -> tuple[Occasion, ...]:
    return ("danger", "mains") if about.shock else ()


def _acts(knowledge: Knowledge, work: HazardousWork) -> list[HazardousAct]:
    return [knowledge.acts[name] for name in dict.fromkeys((*work.acts.owner, *work.acts.technician))]


def _on_mains(knowledge: Knowledge, repair: Repair) -> bool:
    """Whether it is work on the mains side, which the law has a say in."""
    if repair.needs == "mains" or "electrician" in repair.who:
        return True
    mains = set(told_for(knowledge.acts, "technician", "mains"))
    return not mains.isdisjoint(repair.work.cautions.technician)


def _strong_dose_is_all(outcome: JobOutcome, laid_out: Sequence[LaidOut]) -> bool:
    """Whether a strong dose is the only dose: it comes first, or others come to give it."""
    strong = [outcome.knowledge.repairs[item.repair].strong_dose for item in laid_out if item.when != "otherwise"]
    return any(strong) and (strong[0] or outcome.conclusion.decision not in OWN_WORK)


def _soon_made_again(outcome: JobOutcome, chosen: Repair | None) -> bool:
    """Whether the unit makes chlorine again before any dose by hand would count, or never stopped.

    Nothing is wrong; or the owner, or who is at the pool, mends it within the hour, and it shows at once or all runs
    again at its end.
    """
    decision = outcome.conclusion.decision
    if decision == "nothing_to_repair":
        return True
    here = decision in OWN_WORK or decision == "repair_here"
    if not here or chosen is None or chosen.minutes >= _SOON_MIN:
        return False
    return chosen.result_shows == "at once" or bool(chosen.work.energised_by)


def _cloudy(outcome: JobOutcome) -> bool:
    if outcome.conclusion.solved:
        return False
    readings = outcome.judged.job.readings
    return any(_means(outcome, name, reading.value) == "cloudy_water" for name, reading in readings.items())


def takes(outcome: JobOutcome, repair: Repair, use: PartUse) -> bool:
    """Whether a repair takes a part that serves as this."""
    parts = (outcome.knowledge.parts.get(need.part) for need in repair.parts)
    return any(part is not None and part.use == use for part in parts)


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
    return tree.chlorine == "too_much" or any(set(tree.given[check.id]) <= _above(check) for check in tests)


def _not_known_to_lack(outcome: JobOutcome, tree: Tree | None) -> bool:
    """Whether the complaint says nothing of the chlorine, and nobody tested it: then none is added on suspicion."""
    tested = any(check.tells in _CHLORINE for name in outcome.job.answers if (check := outcome.check(name)) is not None)
    return tree is not None and tree.chlorine == "as_tested" and not tested


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


def _may_infect(outcome: JobOutcome) -> bool:
    """Whether somebody got ill after bathing: then nothing is dosed, and no test of ours lets anybody in again."""
    readings = outcome.judged.job.readings
    return any(_means(outcome, name, reading.value) == "water_may_infect" for name, reading in readings.items())


def _still_water(outcome: JobOutcome) -> bool:
    """Whether the pump stands: it was seen to, an owner broke off a work, or it is locked off until others come."""
    job = outcome.job
    if outcome.conclusion.solved:
        return False
    if job.role != "field" and job.plant != "running" and not job.made_safe:
        return True
    readings = outcome.judged.job.readings
    stands = any(_means(outcome, name, reading.value) == "water_stands" for name, reading in readings.items())
    return stands or pump_waits(outcome)


def pump_waits(outcome: JobOutcome) -> bool:
    """Whether the owner's own steps lock the pump off too until somebody else comes."""
    chosen = outcome.repair(outcome.conclusion.repair)
    if chosen is None or outcome.conclusion.decision not in OTHERS_COME:
        return False
    return any(outcome.knowledge.acts[name].occasion == "isolating" for name in chosen.work.acts.owner)
