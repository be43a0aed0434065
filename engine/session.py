"""One interview as its events: what is next, what is believed, and what may be recorded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from engine.belief import (
    Array,
    Conflict,
    Evidence,
    Hypothesis,
    TreeModel,
    after_failed_repair,
    causes_marginal,
    compile_tree,
    conflict,
    decibans,
    likelihood,
    posterior,
)
from engine.costs import Remedy, chance_to_say
from engine.job import SET_UP, Job, replay
from engine.journal import Event
from engine.model import DANGER_CHECK, Check, Knowledge, Role, Tree, UnitProfile
from engine.readings import evidence
from engine.steps import Walk
from engine.strategy import Aim, Appraisal, Explanation, Planner, Situation

__all__ = ["Act", "Models", "RankedCause", "RemedyShare", "Session"]

HARDLY_EVER = 0.02
"""The word for it in the knowledge; a person is not asked what such a person hardly ever knows."""

ActKind = Literal["set_up", "ask", "isolate", "switch_on", "make_safe", "perform", "verify", "conclude"]


@dataclass(frozen=True)
class Act:
    """What should happen next, as data; a front end carries it out and records the outcome as an event.

    set_up: settle `about` (role, unit, complaint, brought), one of `options`. ask: put the check `about`.
    isolate, switch_on: bring the supply to that state first, for the check `about`. make_safe: there is danger, keep
    people out and make safe. perform, verify: the repair `about`. conclude: the decision `about`, by the repair
    `repair` where there is one; `why` is one of settled, limit, no_check_pays, danger, solved.
    """

    kind: ActKind
    about: str
    cautions: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    repair: str | None = None
    why: str = ""


@dataclass(frozen=True)
class RankedCause:
    """A cause, the probability that it is present, and each finding's weight for it in decibans, heaviest first."""

    cause: str
    probability: float
    decibans: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class RemedyShare:
    """A remedy in the order of work, and the probability that the fault is (or includes) one it cures."""

    remedy: Remedy
    probability: float
    causes: tuple[str, ...]


@dataclass
class Models:
    """The compiled trees and planners of one knowledge, built when first asked for and kept: that is the slow part."""

    knowledge: Knowledge
    _trees: dict[str, TreeModel] = field(default_factory=dict)
    _planners: dict[tuple[str, str, str, tuple[str, ...]], Planner] = field(default_factory=dict)

    def tree(self, name: str) -> TreeModel:
        """The tree of this id as numbers."""
        if name not in self._trees:
            self._trees[name] = compile_tree(self.knowledge, self.knowledge.trees[name])
        return self._trees[name]

    def planner(self, tree: str, role: Role, unit: UnitProfile, failed: tuple[str, ...]) -> Planner:
        """The strategy for a tree, role and unit once these repairs have failed."""
        key = (tree, role.id, unit.id, failed)
        if key not in self._planners:
            self._planners[key] = Planner(self.knowledge, self.tree(tree), role, unit, failed)
        return self._planners[key]


class Session:
    """An interview. Its only state is `events`; everything else is worked out from them."""

    def __init__(self, models: Models, events: Sequence[Event] = ()) -> None:
        """Take up an interview at its events, none for a new one."""
        self.models = models
        self.knowledge = models.knowledge
        self.events: list[Event] = []
        self.job: Job = replay((), self.knowledge)
        self._belief: Array | None = None
        self._resume(events)

    def record(self, event: Event) -> None:
        """Add one event. Raises ValueError, and changes nothing, where it names what the knowledge does not know."""
        self._refuse_unknown(event)
        self._resume([*self.events, event])

    # --- what is next -------------------------------------------------------------------------------------------

    def next(self, aim: Aim = "mend") -> Act:
        """The next act.

        `settle` goes on asking where `mend` would try a repair or hand on; see engine/strategy.py. After a danger was
        made safe it asks for nothing but what can be seen or remembered without risk.
        """
        job = self.job
        if job.closed:
            return Act("conclude", job.decision or "", why="solved" if "helped" in job.verified.values() else "settled")
        if (opening := self._opening()) is not None and not (opening.why == "danger" and aim == "settle"):
            return opening
        if job.awaiting is not None:
            return self._verify(job.awaiting)
        if "helped" in job.verified.values():
            return Act("conclude", "repair_here", repair=self._outcome("helped"), why="solved")
        if "later" in job.verified.values():
            # A result that shows later ends the visit; the answer is taken when the job is resumed.
            return Act("conclude", "repair_here", repair=self._outcome("later"), why="settled")
        walk = self.walk()
        if walk.asks is not None:
            return self.act_for(walk.asks)
        if len(job.asked) >= self.role.limit:
            return self._act_or_conclude("limit", aim)
        best = next(iter(self.appraise(aim)), None)
        if best is not None and best.worth > 0:
            return self.act_for(best.check)
        return self._act_or_conclude("settled" if self.belief.max() > 0.5 else "no_check_pays", aim)

    def conclude(self) -> Act:
        """What to do with no further question: the repair here, or the decision."""
        return self._act_or_conclude("settled" if self.belief.max() > 0.5 else "no_check_pays", "mend")

    def walk(self) -> Walk:
        """The tree's machine, brought to where the answers so far lead."""
        walk = Walk(self.tree)
        while (check := walk.asks) is not None and (self.job.settled(check) or not self._may_say(check)):
            walk.fire("answer", self._answer_id(check))
        if walk.proposes is not None:
            walk.fire("go_on")
        return walk

    def appraise(self, aim: Aim = "mend") -> list[Appraisal]:
        """Every check that could be asked now, with its worth, best first."""
        return self.planner.appraise(self.belief, self._situation(self._open_checks()), aim)

    def explain(self, check: str, aim: Aim = "mend") -> Explanation:
        """Why a check is proposed: cost, worth, and how each answer would move the ranking. LookupError if not open."""
        return self.planner.explain(self.belief, self._situation(self._open_checks()), aim, check)

    def would_help(self) -> list[Appraisal]:
        """Checks that were not known or not possible, by what knowing them would have been worth."""
        missing = [c for c in (*self.job.unknown, *self.job.cannot) if c in self.knowledge.checks and c != DANGER_CHECK]
        everyone = replace(
            self.role,
            can_use=("nothing", "kit", "tools", "meter", "mains"),
            minutes={**self.role.minutes, "question": 0.0},
        )
        found = self.planner.appraise(self.belief, replace(self._situation(missing), role=everyone), "settle")
        return sorted((a for a in found if a.bits > 0.02), key=lambda a: -a.bits)

    # --- what is believed ---------------------------------------------------------------------------------------

    @property
    def role(self) -> Role:
        """The role asked for. Raises LookupError before it was said."""
        if self.job.role is None:
            raise LookupError("the role has not been said yet")
        return self.knowledge.roles[self.job.role]

    @property
    def unit(self) -> UnitProfile:
        """The unit profile; the default one until another was said."""
        return self.knowledge.units[self.job.unit or "default"]

    @property
    def tree(self) -> Tree:
        """The tree the complaint opened. Raises LookupError before it was said."""
        if self.job.complaint is None:
            raise LookupError("the complaint has not been said yet")
        return self.knowledge.trees[self.job.complaint]

    @property
    def model(self) -> TreeModel:
        """The tree as numbers."""
        return self.models.tree(self.tree.id)

    @property
    def planner(self) -> Planner:
        """The strategy for this tree, role, unit and the repairs already done."""
        return self.models.planner(self.tree.id, self.role, self.unit, self.job.failed)

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """The findings that speak, each once; a failed repair speaks too, in `belief`."""
        return evidence(self.knowledge, self.unit, self.job.readings)

    @property
    def belief(self) -> Array:
        """P(hypothesis) given everything said and tried, in the order of `model.hypotheses`."""
        if self._belief is None:
            repairs = [self.knowledge.repairs[name] for name in self.job.failed]
            # What a repair changes was asked again after it, and so speaks of what the repair left.
            changed = {check for repair in repairs for check in repair.ask_again}
            later = [found for found in self.evidence if changed & set(found.readings)]
            now = posterior(self.model, [found for found in self.evidence if found not in later])
            for repair in repairs:
                now = after_failed_repair(self.model, now, repair.cures)
            for found in later:
                now = now * np.maximum(likelihood(self.model, found), 1e-300)
            self._belief = now / now.sum()
        return self._belief

    def hypotheses(self) -> list[tuple[Hypothesis, float]]:
        """Hypotheses with their probabilities, most probable first; () is something the trees do not know."""
        pairs = zip(self.model.hypotheses, map(float, self.belief), strict=True)
        return sorted(pairs, key=lambda item: (-item[1], item[0]))

    def marginals(self) -> dict[str, float]:
        """P(cause is present), most probable first."""
        return causes_marginal(self.model, self.belief)

    def ranking(self, most: int = 5) -> list[RankedCause]:
        """The most probable causes, each with what speaks for and against it."""
        found = self.evidence
        return [
            RankedCause(
                cause, share, tuple(sorted(decibans(self.model, found, cause).items(), key=lambda i: -abs(i[1])))
            )
            for cause, share in list(self.marginals().items())[:most]
        ]

    def remedies(self) -> list[RemedyShare]:
        """Remedies in the order in which they should be tried."""
        return [
            RemedyShare(remedy, share, causes)
            for remedy, share, causes in self.planner.order(self.belief)
            if share > 0.005
        ]

    def conflict(self) -> Conflict | None:
        """Answers that hardly go together, if any."""
        return conflict(self.model, self.evidence)

    # --- inside -------------------------------------------------------------------------------------------------

    def _resume(self, events: Sequence[Event]) -> None:
        self.job = replay(events, self.knowledge)
        self.events = list(events)
        self._belief = None

    def _opening(self) -> Act | None:
        """Role, danger, unit, complaint, and at a counter what was brought: settled before anything else."""
        job, knowledge = self.job, self.knowledge
        if job.role is None:
            return Act("set_up", "role", options=tuple(knowledge.roles))
        if job.danger is None and not job.danger_unsaid:
            return Act("ask", DANGER_CHECK, knowledge.checks[DANGER_CHECK].cautions)
        if job.danger not in (None, "none"):
            return self._danger()
        if job.unit is None:
            return Act("set_up", "unit", options=tuple(knowledge.units))
        if job.complaint is None:
            return Act("set_up", "complaint", options=tuple(knowledge.trees))
        if job.role == "counter" and not job.brought_said:
            return Act("set_up", "brought", options=("nothing", "water_sample", "cell", "water_sample+cell"))
        return None

    def _danger(self) -> Act:
        cautions = ("tingle_keep_out", "isolate_and_prove_dead", "licensed_electrician", "acid_never_with_chlorine")
        if not self.job.made_safe:
            return Act("make_safe", self.job.danger or "", cautions)
        return Act("conclude", "make_safe", cautions, why="danger")

    def _verify(self, repair: str) -> Act:
        """Ask whether a repair helped, with the unit at work again."""
        if self.job.plant == "isolated" and repair not in self.job.cannot:
            return Act("switch_on", repair, ("residual_current_protection",), repair=repair)
        return Act("verify", repair)

    def act_for(self, name: str) -> Act:
        """The act that puts this check, or the switching that must come before it."""
        check, job = self.knowledge.checks[name], self.job
        if job.role != "counter" and check.plant not in ("any", job.plant):
            if check.plant == "isolated":
                return Act("isolate", name, tuple(dict.fromkeys(("isolate_and_prove_dead", *check.cautions))))
            return Act("switch_on", name, ("residual_current_protection",))
        return Act("ask", name, check.cautions)

    def _act_or_conclude(self, why: str, aim: Aim) -> Act:
        remedy, _ = self.planner.act_now(self.belief, aim)
        if remedy is None:
            decision = "send_technician" if self.job.role != "field" else "other_trade"
            return Act("conclude", decision, why=why)
        repair = self.knowledge.repairs[remedy.repair]
        refused = remedy.repair in self.job.repaired or remedy.repair in self.job.cannot
        if self.job.role == "field" and remedy.decision == "repair_here" and not refused:
            if repair.plant == "isolated" and self.job.plant != "isolated":
                return Act("isolate", repair.id, repair.cautions, repair=repair.id)
            return Act("perform", remedy.repair, repair.cautions, repair=remedy.repair, why=why)
        return Act("conclude", remedy.decision, repair.cautions, repair=remedy.repair, why=why)

    def _open_checks(self) -> list[str]:
        return [c for c in self.knowledge.checks if not self.job.settled(c) and c != DANGER_CHECK and self._possible(c)]

    def _possible(self, check: str) -> bool:
        """Whether this person could meet what the check needs on this visit; after a danger, only what is harmless."""
        item = self.knowledge.checks[check]
        if self.job.made_safe and not self._harmless(item):
            return False
        if item.needs in self.job.barred:
            return False
        return item.needs in self.role.can_use or (self.job.role == "counter" and item.brought in self.job.brought)

    def _may_say(self, check: str) -> bool:
        """Whether a written step puts this check: possible, and not one that such a person hardly ever can say."""
        item = self.knowledge.checks[check]
        return self._possible(check) and chance_to_say(item, self.role, self.job.brought) > HARDLY_EVER

    def _harmless(self, check: Check) -> bool:
        """After a danger the supply stays off: a technician may look inside, anybody else only remember and say."""
        if check.plant == "running" or "residual_current_protection" in check.cautions:
            return False
        if self.job.role == "field":
            return check.needs in ("nothing", "kit", "tools")
        return check.needs == "nothing" and not check.cautions

    def _situation(self, checks: Sequence[str]) -> Situation:
        return Situation(self.role, self.job.plant, checks, self.job.readings, self.job.brought)

    def _answer_id(self, check: str) -> str | None:
        """The answer a written step goes by: the id, or the band that fits a number best; None for don't know."""
        if check not in self.job.answers:
            return None
        for item in evidence(self.knowledge, self.unit, {check: self.job.answers[check].reading}):
            if item.id == check:
                return self.knowledge.checks[check].answers[int(np.argmax(item.weights))].id
        return None

    def _outcome(self, wanted: str) -> str:
        """The repair that was verified with this outcome."""
        return next(repair for repair, outcome in self.job.verified.items() if outcome == wanted)

    def _refuse_unknown(self, event: Event) -> None:
        known = self.knowledge
        if event.kind in ("answered", "corrected"):
            if event.about in SET_UP:
                lists: dict[str, list[str]] = {
                    "role": list(known.roles),
                    "unit": list(known.units),
                    "complaint": list(known.trees),
                }
                choices = lists.get(event.about)
                if choices is not None and event.value not in choices:
                    raise ValueError(f"{event.value!r} is not one of {', '.join(choices)}")
            elif event.about not in known.checks:
                raise ValueError(f"{event.about!r} is not a check")
            else:
                self._refuse_answer(event)
        if event.kind in ("repaired", "verified", "already_tried") and event.about not in known.repairs:
            raise ValueError(f"{event.about!r} is not a repair")

    def _refuse_answer(self, event: Event) -> None:
        check = self.knowledge.checks[event.about]
        if check.is_number:
            assert check.possible is not None, check.id
            low, high = check.possible
            if not isinstance(event.value, int | float) or not low <= event.value <= high:
                raise ValueError(f"{event.value!r} is not a number of {check.unit} from {low:g} to {high:g}")
        elif event.value not in [answer.id for answer in check.answers]:
            raise ValueError(f"{event.value!r} is not an answer to {check.id}")
