"""Pools drawn from the numbers of a folder itself and interviewed: what each is taken for, at what cost."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import Answer, Run, run_answered
from engine.inference.belief import Hypothesis
from engine.knowledge.model import ROLES, Plant, RoleId, frozen
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy import Situation
from engine.strategy.costs import chance_to_say
from engine.strategy.options import points, shown


@dataclass(frozen=True)
class Drawing:
    """Which pools are drawn: behind which complaint, asked by whom (each role in turn where None), how well they read.

    `misread` is the share of answers, 0 to 1, in whose place another one is given, each other one as likely.
    """

    tree: str
    role: RoleId | None = None
    unit: str = DEFAULT_UNIT
    misread: float = 0.0
    seed: int = 1


@dataclass(frozen=True)
class DrawnPool:
    """One drawn pool: what was wrong, what it was taken for, what was asked and decided, and the minutes it took.

    `minutes` are those of the questions, `after` those that what was decided takes on average where this was wrong.
    """

    was: Hypothesis
    taken_for: Hypothesis
    believed: float
    role: RoleId
    asked: tuple[str, ...]
    decision: str
    minutes: float
    after: float

    @property
    def right(self) -> bool:
        """Whether something was named that was so, and nothing that was not."""
        return set(self.taken_for) <= set(self.was) and bool(self.taken_for) == bool(self.was)


def drawn_pool(models: Models, drawing: Drawing, number: int, believing: Models | None = None) -> DrawnPool:
    """One pool by its number: the same whatever others are drawn, and by whom.

    Args: the models that pools are drawn from; `believing`, the models of whoever asks, where these are others.
    """
    rng = np.random.default_rng([drawing.seed, number])
    model = models.tree(drawing.tree)
    place = int(rng.choice(len(model.prior), p=model.prior / model.prior.sum()))
    role = drawing.role or ROLES[number % len(ROLES)]
    call = WorkedCall(str(number), role, drawing.tree, drawing.unit, (), frozen({}), (), model.hypotheses[place])
    run = run_answered(believing or models, call, answering(models, drawing, rng, place))
    named, believed = run.session.hypotheses()[0]
    return DrawnPool(
        model.hypotheses[place], named, believed, role, tuple(run.session.job.asked), run.decided, run.minutes,
        minutes_after(models, run, place),
    )  # fmt: skip


def answering(models: Models, drawing: Drawing, rng: np.random.Generator, place: int) -> Answer:
    """Whoever is asked at such a pool: says what a pool with this fault shows, as often as such a person can say."""

    def answer(session: Session, name: str) -> str | float | None:
        check = models.knowledge.checks.get(name)
        if check is None or rng.random() >= chance_to_say(check, session.role, session.job.brought):
            return None
        chances, values = may_say(models, session, name, place)
        row = int(rng.choice(len(chances), p=chances))
        if rng.random() < drawing.misread and len(values) > 1:
            others = [value for value in dict.fromkeys(values) if value != values[row]]
            return others[int(rng.integers(len(others)))]
        return values[row]

    return answer


def may_say(models: Models, session: Session, name: str, place: int) -> tuple[np.ndarray, list[str | float]]:
    """What a pool with one hypothesis may answer now, with its chances (they add up to 1).

    Of a number two readings stand for each band, as the strategy reckons; what was read before has its say where a
    finding is worked out from both.
    """
    check, job = models.knowledge.checks[name], session.job
    planner = models.planner(session.tree.id, session.role, session.unit, ())
    plant: Plant = "running" if job.plant == "running" else "isolated"
    situation = Situation(session.role, plant, (), job.readings, job.brought)
    table = planner.outcomes(check, situation)[:, place]
    answers: list[str | float] = [*shown(models.tree(session.tree.id), check, len(table))]
    if check.is_number:
        readings = points(check, session.unit)
        # Where no finding is completed a row is a band: either of its readings stands for it.
        bands = [band.id for band in check.bands for _ in range(2)]
        spread = len(table) == len(readings) and answers == bands
        answers = [*readings] if spread else [readings[bands.index(str(answer))] for answer in answers]
    return table / table.sum(), answers


def minutes_after(models: Models, run: Run, place: int) -> float:
    """What is decided costs on average, in minutes, where a hypothesis is what was wrong.

    The remedy where it cures; where not, what it costs for nothing, and handing on.
    """
    session = run.session
    if run.decision is None or session.job.danger is not None:
        return 0.0
    return minutes_of(models, session, run.decision.repair, place)


def minutes_of(models: Models, session: Session, decided: str | None, place: int) -> float:
    """What a repair costs on average, in minutes, where a hypothesis is what was wrong; None is handing on."""
    planner = models.planner(session.tree.id, session.role, session.unit, ())
    model, names = planner.decision, planner.decision.repairs
    if decided not in names:
        return float(model.hand_on[place])
    repair = names.index(decided)
    causes = [c for c in (int(model.first[place]), int(model.second[place])) if c >= 0]
    cured = float(np.prod([model.cures[repair, c] for c in causes])) if causes else 0.0
    right, wrong = float(model.right[0, repair]), float(model.wrong[0, repair])
    return cured * right + (1.0 - cured) * (wrong + float(model.hand_on[place]))


@dataclass(frozen=True)
class TakenFor:
    """How often pools with one fault were drawn, taken rightly, and taken for what else, the oftenest first."""

    was: Hypothesis
    drawn: int
    right: int
    for_others: tuple[tuple[Hypothesis, int], ...]


@dataclass(frozen=True)
class Simulated:
    """What drawn pools came to. `by_fault` is the oftenest drawn first; `decisions` with how often each."""

    pools: int
    right: float
    believed: float
    median_asked: float
    mean_minutes: float
    mean_after: float
    decisions: tuple[tuple[str, int], ...]
    by_fault: tuple[TakenFor, ...]


def simulated(pools: Sequence[DrawnPool]) -> Simulated:
    """Drawn pools together; there must be at least one."""
    by_fault: dict[Hypothesis, list[DrawnPool]] = {}
    for pool in pools:
        by_fault.setdefault(pool.was, []).append(pool)
    return Simulated(
        len(pools),
        sum(pool.right for pool in pools) / len(pools),
        statistics.fmean(pool.believed for pool in pools),
        statistics.median(len(pool.asked) for pool in pools),
        statistics.fmean(pool.minutes for pool in pools),
        statistics.fmean(pool.after for pool in pools),
        tuple(Counter(pool.decision for pool in pools).most_common()),
        tuple(_taken(was, of_it) for was, of_it in sorted(by_fault.items(), key=lambda item: (-len(item[1]), item[0]))),
    )


def _taken(was: Hypothesis, pools: Sequence[DrawnPool]) -> TakenFor:
    others = Counter(pool.taken_for for pool in pools if not pool.right)
    return TakenFor(was, len(pools), sum(pool.right for pool in pools), tuple(others.most_common()))
