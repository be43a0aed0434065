"""What an edit moved: worked calls run by two states of the knowledge, and the edits that moved each."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import Score
from engine.findings.evidence import Observation, evidence
from engine.inference.belief import Hypothesis, posterior
from engine.knowledge.model import Knowledge, frozen
from engine.knowledge.required import DEFAULT_UNIT
from engine.proving.drawn import minutes_after
from engine.proving.edits import Edit, edits, without
from engine.proving.reasons import place_of
from engine.proving.touch import touched
from engine.session.models import Models

ASPECTS = ("first", "act", "decision", "papers", "repair", "parts", "named")
"""What is held against each other, the gravest first; how sure the first one is, is told beside them."""
MOST_TRIED = 8
"""So many edits are taken back for a call, those that move its belief most; of the first few each two together."""
_PAIRED = 4


@dataclass(frozen=True)
class CallOutcome:
    """What a call came to. `papers` holds, by reader, the cautions of that paper; `act` is the first one decided on.

    `minutes` are those of the questions, `after` those that what was decided takes on average as it was. `after` and
    `first` are None where the call does not say what was so. `share` is that of what is `named` first, 0 to 1.
    """

    first: bool | None
    named: Hypothesis
    share: float
    decision: str
    act: str
    repair: str
    parts: tuple[str, ...]
    papers: Mapping[str, tuple[str, ...]]
    asked: tuple[str, ...]
    minutes: float
    limit: bool
    after: float | None = None


Look = Callable[[Models, WorkedCall], CallOutcome]
"""How a call is run and its papers are made; the latter is not of this storey."""


@dataclass(frozen=True)
class Culprit:
    """What moved a call: one edit, or two; `needs_both` where either alone taken back brings it back.

    Of two that do not need each other each alone is enough to move it, and only both taken back bring it back.
    """

    edits: tuple[Edit, ...]
    needs_both: bool = False


@dataclass(frozen=True)
class Moved:
    """A call that came out otherwise; `before` is None where the older knowledge does not have its complaint."""

    call: WorkedCall
    before: CallOutcome | None
    after: CallOutcome
    culprit: Culprit | None

    @property
    def aspects(self) -> tuple[str, ...]:
        """What of it moved, the gravest first."""
        return () if self.before is None else aspects_moved(self.before, self.after)

    @property
    def turned(self) -> str:
        """`wrong`, `right`, or `other` where it is neither worse nor better than it was."""
        if self.before is None or self.before.first == self.after.first:
            return "other"
        return "right" if self.after.first else "wrong"

    @property
    def lost(self) -> tuple[str, ...]:
        """Cautions that some paper had and has no more."""
        if self.before is None:
            return ()
        gone = (
            set(self.before.papers[reader]) - set(self.after.papers.get(reader, ())) for reader in self.before.papers
        )
        return tuple(sorted(set().union(*gone)))


@dataclass
class Comparison:
    """Two states of the knowledge and what each makes of calls; calls that no edit can touch are run once."""

    old: Models
    new: Models
    look: Look
    edits: tuple[Edit, ...] = field(init=False)
    _without: dict[tuple[Edit, ...], Models | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.edits = edits(self.old.knowledge, self.new.knowledge)
        self._may = touched(self.old.knowledge, self.new.knowledge)

    def may_touch(self, call: WorkedCall) -> bool:
        """Whether an edit can touch a call."""
        return self._may(call)

    def before(self, call: WorkedCall) -> CallOutcome | None:
        """What the older knowledge makes of a call; None where it does not have the complaint."""
        former = fitting(call, self.old.knowledge)
        return None if former is None else self.look(self.old, former)

    def moved(self, call: WorkedCall, after: CallOutcome) -> Moved | None:
        """How a call came out otherwise than before, and by which edits; None where it did not."""
        if not self.may_touch(call):
            return None
        before = self.before(call)
        if before is not None and not aspects_moved(before, after):
            return None
        culprit = None if before is None else self._culprit(call, before, after)
        return Moved(call, before, after, culprit)

    def _culprit(self, call: WorkedCall, before: CallOutcome, after: CallOutcome) -> Culprit | None:
        """The edits that, taken back, bring back the gravest of what moved."""
        aspect = aspects_moved(before, after)[0]
        wanted = getattr(before, aspect)

        def brings_back(taken: tuple[Edit, ...]) -> bool:
            models = self._models_without(taken)
            former = None if models is None else fitting(call, models.knowledge)
            return former is not None and models is not None and getattr(self.look(models, former), aspect) == wanted

        tried = self._met(call, before, after)[:MOST_TRIED]
        alone = [edit for edit in tried if brings_back((edit,))]
        if len(alone) == 1:
            return Culprit((alone[0],))
        if alone:
            return Culprit(tuple(alone[:2]), needs_both=True)
        pairs = itertools.combinations(tried[:_PAIRED], 2)
        return next((Culprit(pair) for pair in pairs if brings_back(pair)), None)

    def _met(self, call: WorkedCall, before: CallOutcome, after: CallOutcome) -> list[Edit]:
        """The edits that can touch a call, those first that move the odds of what is named most."""
        found: list[tuple[float, int, Edit]] = []
        for edit in self.edits:
            models = self._models_without((edit,))
            if models is not None and touched(models.knowledge, self.new.knowledge)(call):
                found.append((-self._pull(models, call, before, after), len(found), edit))
        return [edit for _, _, edit in sorted(found)]

    def _pull(self, models: Models, call: WorkedCall, before: CallOutcome, after: CallOutcome) -> float:
        """How far an edit taken back moves the belief in what is named, before and after, with no answer but the facts.

        What does not move the belief may still move what is asked: that comes last.
        """
        if call.complaint not in models.knowledge.trees:
            return 0.0
        shares = [_shares(one, call) for one in (models, self.new)]
        names = (frozenset(before.named), frozenset(after.named))
        odds = (max(shares[0].get(name, 0.0), 1e-9) / max(shares[1].get(name, 0.0), 1e-9) for name in names)
        return sum(abs(math.log(one)) for one in odds)

    def _models_without(self, taken: tuple[Edit, ...]) -> Models | None:
        if taken not in self._without:
            knowledge: Knowledge | None = self.new.knowledge
            for edit in taken:
                knowledge = None if knowledge is None else without(self.old.knowledge, knowledge, edit)
            self._without[taken] = None if knowledge is None else Models(knowledge)
        return self._without[taken]


def _shares(models: Models, call: WorkedCall) -> dict[frozenset[str], float]:
    """The belief once all facts of a call are told, by hypothesis."""
    knowledge, model = models.knowledge, models.tree(call.complaint)
    unit = knowledge.units.get(call.unit) or knowledge.units[DEFAULT_UNIT]
    facts = {name: Observation(value) for name, value in call.facts.items() if name in knowledge.checks}
    belief = posterior(model, evidence(knowledge, unit, facts))
    return {frozenset(h): float(share) for h, share in zip(model.hypotheses, belief, strict=True)}


def aspects_moved(before: CallOutcome, after: CallOutcome) -> tuple[str, ...]:
    """What of two outcomes differs, the gravest first."""
    return tuple(aspect for aspect in ASPECTS if getattr(before, aspect) != getattr(after, aspect))


def fitting(call: WorkedCall, knowledge: Knowledge) -> WorkedCall | None:
    """A call as another state of the knowledge can run it: without facts that it does not know; None where it has no
    such complaint."""
    if call.complaint not in knowledge.trees:
        return None
    checks = knowledge.checks
    facts = {n: v for n, v in call.facts.items() if n in checks and (checks[n].is_number or bool(checks[n].meant(v)))}
    unit = call.unit if call.unit in knowledge.units else DEFAULT_UNIT
    return replace(call, facts=frozen(facts), unit=unit, cannot=tuple(name for name in call.cannot if name in checks))


def outcome_of_score(item: Score, papers: Mapping[str, Sequence[str]]) -> CallOutcome:
    """What a scored call came to, with the cautions of each of its papers."""
    run, knowledge = item.run, item.run.session.knowledge
    repair = (run.decision.repair if run.decision is not None else None) or ""
    needs = knowledge.repairs[repair].parts if repair in knowledge.repairs else ()
    job = run.session.job
    return CallOutcome(
        item.first, tuple(sorted(item.named)), item.ranked[0][1], run.ended.about if run.ended is not None else "",
        run.decided, repair, tuple(need.part for need in needs),
        {reader: tuple(sorted(cautions)) for reader, cautions in papers.items()},
        tuple(job.asked), run.minutes, len(job.asked) >= run.session.role.limit, _after(item),
    )  # fmt: skip


def _after(item: Score) -> float | None:
    session = item.run.session
    place = None if item.call.causes is None else place_of(session.model, item.call.causes)
    return None if place is None else minutes_after(session.models, item.run, place)


def worst_first(moved: Sequence[Moved]) -> list[Moved]:
    """Calls that moved: turned wrong, then those whose papers lost a caution, then by what moved, turned right last."""

    def gravity(one: Moved) -> tuple[int, int, int]:
        turned = {"wrong": 0, "other": 1, "right": 2}[one.turned]
        return turned, -len(one.lost), ASPECTS.index(one.aspects[0]) if one.aspects else len(ASPECTS)

    return sorted(moved, key=gravity)


def asked_otherwise(before: CallOutcome, after: CallOutcome) -> Iterator[tuple[str, str]]:
    """The checks that only one of the two asked: each with `no_more` or `anew`."""
    yield from ((check, "no_more") for check in before.asked if check not in after.asked)
    yield from ((check, "anew") for check in after.asked if check not in before.asked)
