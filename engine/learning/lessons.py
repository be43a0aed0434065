"""What the closed jobs of one knowledge teach, put together: scores, confusions, idle checks, and proposals."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from engine.inference.belief import TreeModel
from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Check, Finding, Knowledge, Tree
from engine.learning.answers import AnswerProposal, answer_proposals
from engine.learning.replayed import Causes, ReplayedJob
from engine.learning.scores import Array, Estimate, Reliability, brier, log_score, mean, reliability, share
from engine.learning.shares import ShareProposal, interval, updated
from engine.session.models import Models

_MOST_WORDS = 20


@dataclass(frozen=True)
class PriorWeight:
    """How many closed jobs the present numbers weigh: the shares of a tree, the answers of a cause."""

    shares: float
    answers: float


@dataclass(frozen=True)
class Guesses:
    """How good the first guesses were at jobs whose cause was told; `told` of `jobs` in all.

    `first_after` is how often the first guess would be right with the proposed shares, judged by the same jobs.
    """

    jobs: int
    told: int
    first: Estimate
    first_after: Estimate
    brier: Estimate
    log_score: Estimate
    reliability: Reliability | None


@dataclass(frozen=True)
class Confusion:
    """What was believed first where something else was so, and how often."""

    believed: Causes
    was: Causes
    jobs: int


@dataclass(frozen=True)
class IdleCheck:
    """A check that was asked and how often its answer changed nothing."""

    check: str
    asked: int
    idle: int


@dataclass(frozen=True)
class TreeLesson:
    """What the jobs of one tree teach."""

    tree: str
    guesses: Guesses
    confusions: tuple[Confusion, ...]
    idle: tuple[IdleCheck, ...]
    unheard_of: tuple[tuple[str, int], ...]
    shares: tuple[ShareProposal, ...]
    answers: tuple[AnswerProposal, ...]


def lessons(models: Models, jobs: Sequence[ReplayedJob], weight: PriorWeight) -> tuple[TreeLesson, ...]:
    """What these jobs teach of each tree, in the order of the knowledge; trees without jobs are left out."""
    found = []
    for tree in models.knowledge.trees.values():
        of_it = [job for job in jobs if job.tree == tree.id]
        if of_it:
            found.append(_lesson(models.knowledge, tree, models.tree(tree.id), of_it, weight))
    return tuple(found)


def _lesson(
    knowledge: Knowledge, tree: Tree, model: TreeModel, jobs: Sequence[ReplayedJob], weight: PriorWeight
) -> TreeLesson:
    told = [(job, place) for job in jobs if (place := _place(model, job)) is not None]
    after, shares = _shares(tree, model, jobs, weight.shares)
    observed: list[Check | Finding] = [*knowledge.checks.values(), *knowledge.findings.values()]
    spoken = {
        item.id: [answer.id for answer in item.answers]
        for item in observed
        if item.id not in (*model.given, DANGER_CHECK)
    }
    answers = answer_proposals(model, spoken, jobs, weight.answers)
    shown = tuple(one for one in answers if one.check in _speaks_of(knowledge, tree, one.cause))
    return TreeLesson(
        tree=tree.id,
        guesses=_guesses(model, jobs, told, after),
        confusions=tuple(_confusions(model, told)),
        idle=tuple(_idle(jobs)),
        unheard_of=tuple(_words(job.in_words for job in jobs if job.turned_out == ())),
        shares=shares,
        answers=shown,
    )


def _speaks_of(knowledge: Knowledge, tree: Tree, cause: str) -> set[str]:
    """What a cause itself says something of: the rest is as usual, and what makes it likelier is no answer of it."""
    return {*knowledge.causes[cause].shows, *tree.here.get(cause, {})}


def _place(model: TreeModel, job: ReplayedJob) -> int | None:
    """Which hypothesis a job turned out to be; None where nobody said, or no hypothesis is that."""
    if job.turned_out is None or len(job.belief) != len(model.hypotheses):
        return None
    return next((k for k, h in enumerate(model.hypotheses) if tuple(sorted(h)) == job.turned_out), None)


def _guesses(
    model: TreeModel, jobs: Sequence[ReplayedJob], told: Sequence[tuple[ReplayedJob, int]], after: Array
) -> Guesses:
    right = [_is_right(model, np.asarray(job.belief), place) for job, place in told]
    moved = after / np.maximum(model.prior, 1e-300)
    right_after = [_is_right(model, np.asarray(job.belief) * moved, place) for job, place in told]
    return Guesses(
        jobs=len(jobs),
        told=len(told),
        first=share(sum(right), len(right)),
        first_after=share(sum(right_after), len(right_after)),
        brier=mean([brier(job.belief, place) for job, place in told]),
        log_score=mean([log_score(job.belief, place) for job, place in told]),
        reliability=reliability([max(job.belief) for job, _ in told], right),
    )


def _is_right(model: TreeModel, belief: Array, place: int) -> bool:
    """Whether the first guess names something that was so and nothing that was not, as for a worked call."""
    first, was = model.hypotheses[int(np.argmax(belief))], model.hypotheses[place]
    return first == was or (bool(first) and set(first) <= set(was))


def _confusions(model: TreeModel, told: Sequence[tuple[ReplayedJob, int]]) -> Iterator[Confusion]:
    wrong = Counter(
        (model.hypotheses[int(np.argmax(job.belief))], model.hypotheses[place])
        for job, place in told
        if not _is_right(model, np.asarray(job.belief), place)
    )
    for (believed, was), count in sorted(wrong.items(), key=lambda item: (-item[1], item[0])):
        yield Confusion(believed, was, count)


def _idle(jobs: Sequence[ReplayedJob]) -> Iterator[IdleCheck]:
    asked = Counter(check for job in jobs for check in job.asked)
    idle = Counter(check for job in jobs for check in job.moved_nothing)
    for check, count in sorted(idle.items(), key=lambda item: (-item[1], item[0])):
        yield IdleCheck(check, max(asked[check], count), count)


def _words(said: Iterator[str]) -> list[tuple[str, int]]:
    """What was said of causes that the trees do not know, the same words together."""
    plain = Counter(" ".join(words.casefold().split()) for words in said)
    return sorted(((words, count) for words, count in plain.items() if words), key=lambda item: (-item[1], item[0]))[
        :_MOST_WORDS
    ]


def _shares(
    tree: Tree, model: TreeModel, jobs: Sequence[ReplayedJob], strength: float
) -> tuple[Array, tuple[ShareProposal, ...]]:
    """The prior that these jobs speak for, and the share of each cause in it, of the calls with one fault."""
    usable = [job for job in jobs if len(job.known) == len(model.hypotheses)]
    known = np.array([job.known for job in usable]).reshape(len(usable), len(model.hypotheses))
    likelihoods = known / np.maximum(model.prior, 1e-300)
    told = [_place(model, job) for job in usable]
    after, counts = updated(model.prior, likelihoods, told, strength)
    single = np.array([len(h) < 2 for h in model.hypotheses])
    of_one = float(after[single].sum())
    before_one = float(model.prior[single].sum())
    proposals = []
    for place, hypothesis in enumerate(model.hypotheses):
        if len(hypothesis) == 2:
            continue
        cause = hypothesis[0] if hypothesis else SOMETHING_ELSE
        if cause not in tree.singles:
            continue
        found = interval(float(after[place]), counts[:, place], strength)
        scaled = Estimate(found.value / of_one, found.low / of_one, min(1.0, found.high / of_one))
        jobs_of_it = math.fsum(counts[:, place].tolist())
        proposals.append(ShareProposal(cause, float(model.prior[place]) / before_one, scaled, jobs_of_it))
    return after, tuple(sorted(proposals, key=lambda one: -one.proposed.value))
