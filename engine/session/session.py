"""One interview as its events: what is next, what is believed, and what may be recorded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from engine.findings.evidence import evidence
from engine.foundation.texts import say
from engine.inference.belief import (
    Array,
    Conflict,
    Evidence,
    Hypothesis,
    TreeModel,
    after_failed_repair,
    after_helping_repair,
    causes_marginal,
    compile_tree,
    conflict,
    decibans,
    likelihood,
    posterior,
)
from engine.knowledge import cautions
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, Knowledge, Repair, Role, Tree, UnitProfile
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.acts import Act, RankedCause, RemedyShare, Waiting
from engine.session.availability import may_say, open_checks
from engine.session.job import SET_UP, Job, effective, replay
from engine.session.journal import Event
from engine.session.machine import Walk
from engine.session.validation import refuse_unknown
from engine.strategy import Aim, Appraisal, Explanation, Planner, Situation


@dataclass
class Models:
    """The compiled trees and planners of one knowledge, built when first asked for and kept: that is the slow part."""

    knowledge: Knowledge
    _trees: dict[str, TreeModel] = field(default_factory=dict)
    _planners: dict[tuple[str, str, str, tuple[str, ...], tuple[str, ...]], Planner] = field(default_factory=dict)

    def tree(self, name: str) -> TreeModel:
        """The tree of this id as numbers."""
        if name not in self._trees:
            self._trees[name] = compile_tree(self.knowledge, self.knowledge.trees[name])
        return self._trees[name]

    def planner(
        self, tree: str, role: Role, unit: UnitProfile, failed: tuple[str, ...], left: tuple[str, ...] = ()
    ) -> Planner:
        """The strategy for a tree, role and unit once these repairs have failed, and those `left` cannot be done."""
        key = (tree, role.id, unit.id, failed, left)
        if key not in self._planners:
            self._planners[key] = Planner(self.knowledge, self.tree(tree), role, unit, failed, left)
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
        refuse_unknown(event, self.knowledge)
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
        if job.awaiting is not None and job.awaiting in job.waiting:
            # A result that shows later ends the visit; the answer is taken when the job is resumed.
            return Act("conclude", "repair_here", repair=job.awaiting, why="waiting")
        if job.awaiting is not None:
            return self._verify(job.awaiting)
        if "helped" in job.verified.values():
            return Act("conclude", "repair_here", repair=self._outcome("helped"), why="solved")
        if "later" in job.verified.values():
            return Act("conclude", "repair_here", repair=self._outcome("later"), why="settled")
        walk = self.walk()
        if walk.asks is not None:
            return self.act_for(walk.asks)
        if (switched_for := self._switched_for()) is not None:
            return self._carry_out(switched_for, "settled" if self.belief.max() > 0.5 else "no_check_pays")
        if len(job.asked) >= self.role.limit:
            return self._act_or_conclude("limit", aim)
        if paying := [found for found in self.appraise(aim) if found.worth > 0]:
            return self.act_for(self._before_switching_on(paying))
        return self._act_or_conclude("settled" if self.belief.max() > 0.5 else "no_check_pays", aim)

    def _switched_for(self) -> Repair | None:
        """The repair that the supply was switched for just now: it is not given up for what the switching changed."""
        last = self.events[-1]
        if last.kind not in ("made_safe", "switched_on") or last.about in (*self.job.repaired, *self.job.left):
            return None
        return self.knowledge.repairs.get(last.about) if self.job.role == "field" else None

    def _before_switching_on(self, paying: Sequence[Appraisal]) -> str:
        """The best of the looks that pay, or before the supply is switched on one that it would be off for again.

        One step ahead, a look that must wait for the next switching off seems to lose nothing. It goes first where it
        would pay one of its own, and is worth less than the best by no more than that one costs.
        """
        plants = {found.check: self.knowledge.checks[found.check].plant for found in paying}
        best = paying[0].check
        if self.job.plant != "isolated" or plants[best] != "running" or self.job.role == "counter":
            return best
        once_more = self.role.minutes["isolate"] + self.role.minutes["restore"]
        least = max(once_more, paying[0].worth - once_more)
        again = [found.check for found in paying if found.worth > least]
        return next((name for name in again if plants[name] == "isolated"), best)

    @property
    def still_opening(self) -> bool:
        """Whether something must be settled before any check: role, danger, complaint, what was brought."""
        return self._opening() is not None

    def conclude(self) -> Act:
        """What to do with no further question: the repair here, or the decision."""
        return self._act_or_conclude("settled" if self.belief.max() > 0.5 else "no_check_pays", "mend")

    def walk(self) -> Walk:
        """The tree's machine, brought to where the answers so far lead."""
        walk, job = Walk(self.tree), self.job
        while (check := walk.asks) is not None and (job.settled(check) or not may_say(self.knowledge, job, check)):
            walk.fire("answer", self._answer_id(check))
        if walk.proposes is not None:
            walk.fire("go_on")
        return walk

    def appraise(self, aim: Aim = "mend") -> list[Appraisal]:
        """Every check that could be asked now, with its worth, best first."""
        return self.planner.appraise(self.belief, self._situation(open_checks(self.knowledge, self.job)), aim)

    def explain(self, check: str, aim: Aim = "mend") -> Explanation:
        """Why a check is proposed: cost, worth, and how each answer would move the ranking. LookupError if not open."""
        return self.planner.explain(self.belief, self._situation(open_checks(self.knowledge, self.job)), aim, check)

    def would_help(self) -> list[Appraisal]:
        """Checks that were not known or not possible, by what knowing them would have been worth."""
        missing = [c for c in (*self.job.unknown, *self.job.cannot) if c in self.knowledge.checks and c != DANGER_CHECK]
        found = self._worth_to_anybody(missing, 0.0)
        return sorted((a for a in found if a.bits > 0.02), key=lambda a: -a.bits)

    def waiting(self) -> list[Waiting]:
        """What is done later and then told, in the order in which it was put off."""
        job = self.job
        checks = [name for name in job.waiting if name in self.knowledge.checks]
        worth: dict[str, float] = {}
        if checks and job.complaint is not None and job.role is not None:
            wait, question = self.role.minutes["wait"], self.role.minutes["question"]
            worth = {found.check: found.worth - wait for found in self._worth_to_anybody(checks, question)}
        return [
            Waiting("check", name, when, worth.get(name))
            if name in checks
            else Waiting("result" if name == job.awaiting else "repair", name, when)
            for name, when in job.waiting.items()
        ]

    def _worth_to_anybody(self, checks: Sequence[str], question_minutes: float) -> list[Appraisal]:
        """What checks are worth to somebody who can do them all, and pays so many minutes for each question."""
        everyone = replace(
            self.role,
            can_use=("nothing", "kit", "tools", "meter", "mains"),
            minutes={**self.role.minutes, "question": question_minutes},
        )
        return self.planner.appraise(self.belief, replace(self._situation(checks), role=everyone), "settle")

    # --- what is believed ---------------------------------------------------------------------------------------

    @property
    def role(self) -> Role:
        """The role asked for. Raises LookupError before it was said."""
        if self.job.role is None:
            raise LookupError(say("admitting.role_not_said"))
        return self.knowledge.roles[self.job.role]

    @property
    def unit(self) -> UnitProfile:
        """The unit profile; the default one until another was said."""
        return self.knowledge.units[self.job.unit or DEFAULT_UNIT]

    @property
    def tree(self) -> Tree:
        """The tree the complaint opened. Raises LookupError before it was said."""
        if self.job.complaint is None:
            raise LookupError(say("admitting.complaint_not_said"))
        return self.knowledge.trees[self.job.complaint]

    @property
    def model(self) -> TreeModel:
        """The tree as numbers."""
        return self.models.tree(self.tree.id)

    @property
    def planner(self) -> Planner:
        """The strategy for this tree, role, unit and the repairs already done."""
        left = tuple(name for name in self.job.left if name in self.knowledge.repairs)
        return self.models.planner(self.tree.id, self.role, self.unit, self.job.failed, left)

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """The findings that speak, each once; a repair speaks too, in `belief`. Once it helped, those before it."""
        if (before := self._before_help()) is not None:
            return before[0].evidence
        return evidence(self.knowledge, self.unit, self.job.readings)

    @property
    def belief(self) -> Array:
        """P(hypothesis) given everything said and tried, in the order of `model.hypotheses`."""
        if self._belief is None and (before := self._before_help()) is not None:
            self._belief = after_helping_repair(self.model, before[0].belief, before[1].cures)
        if self._belief is None:
            repairs = [self.knowledge.repairs[name] for name in self.job.failed]
            # What a repair changes was asked again after it, and so speaks of what the repair left.
            changed = {check for repair in repairs if not self._undone(repair) for check in repair.ask_again}
            later = [found for found in self.evidence if changed & set(found.readings)]
            now = posterior(self.model, [found for found in self.evidence if found not in later])
            for repair in repairs:
                now = after_failed_repair(self.model, now, repair.cures, self._undone(repair))
            for found in later:
                now = now * np.maximum(likelihood(self.model, found), 1e-300)
            self._belief = now / now.sum()
        return self._belief

    def _before_help(self) -> tuple[Session, Repair] | None:
        """The interview before a repair that helped, and that repair: what was wrong is what was found then."""
        if "helped" not in self.job.verified.values():
            return None
        standing = effective(self.events)
        helped = [k for k, event in enumerate(standing) if event.kind == "verified" and event.value == "helped"]
        at = helped[-1]
        # Behind another complaint, said since, what was found then counts as it does there.
        start = [event for event in standing[at:] if event.about in SET_UP]
        return Session(self.models, [*standing[:at], *start]), self.knowledge.repairs[standing[at].about]

    def _undone(self, repair: Repair) -> bool:
        """Whether a repair that did not help was undone: a part swapped in on this visit goes back, the old one in."""
        before = any(event.kind == "already_tried" and event.about == repair.id for event in self.events)
        return repair.swap_back is not None and not before

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
        """Role, danger, in the field the unit, complaint, at a counter what was brought: settled before all else."""
        job, knowledge = self.job, self.knowledge
        if job.role is None:
            return Act("set_up", "role", options=tuple(knowledge.roles))
        if job.danger_open:
            return Act("ask", DANGER_CHECK, knowledge.checks[DANGER_CHECK].cautions)
        if job.danger not in (None, "none"):
            return self._danger()
        if job.unit is None and job.role == "field":
            return self._ask_unit()
        if job.complaint is None:
            return Act("set_up", "complaint", options=tuple(knowledge.trees))
        if job.role == "counter" and not job.brought_said:
            return Act("set_up", "brought", options=("nothing", "water_sample", "cell", "water_sample+cell"))
        return None

    def _ask_unit(self) -> Act:
        return Act("set_up", "unit", options=tuple(self.knowledge.units))

    def _danger(self) -> Act:
        smelt = self.knowledge.checks[DANGER_CHECK].meaning(self.job.danger) == "chlorine_smell"
        minded = cautions.told_for(self.knowledge.cautions, *cautions.DANGER, *(("gas",) if smelt else ()))
        if not self.job.made_safe:
            return Act("make_safe", self.job.danger or "", minded)
        return Act("conclude", "make_safe", minded, why="danger")

    def _switch_on(self, about: str, repair: str | None = None) -> Act:
        return Act("switch_on", about, cautions.told_for(self.knowledge.cautions, "switching_on"), repair=repair)

    def _verify(self, repair: str) -> Act:
        """Ask whether a repair helped, with the unit at work again."""
        if self.job.plant == "isolated" and repair not in self.job.cannot:
            return self._switch_on(repair, repair)
        return Act("verify", repair)

    def act_for(self, name: str) -> Act:
        """The act that puts this check or takes what came of this repair, or the switching that must come before it."""
        if name in self.knowledge.repairs:
            return (
                self._verify(name) if name == self.job.awaiting else self._carry_out(self.knowledge.repairs[name], "")
            )
        check, job = self.knowledge.checks[name], self.job
        if job.unit is None and name == REPORT_CHECK:
            # Who has never seen the unit need not say which it is like, until it is asked how it tells its state.
            return self._ask_unit()
        if job.role != "counter" and check.plant not in ("any", job.plant):
            if check.plant == "isolated":
                isolating = cautions.told_for(self.knowledge.cautions, "isolating")
                return Act("isolate", name, tuple(dict.fromkeys((*isolating, *check.cautions))))
            return self._switch_on(name)
        return Act("ask", name, check.cautions)

    def _act_or_conclude(self, why: str, aim: Aim) -> Act:
        remedy, _ = self.planner.act_now(self.belief, aim)
        if remedy is None:
            decision = "send_technician" if self.job.role != "field" else "other_trade"
            return Act("conclude", decision, why=why)
        repair = self.knowledge.repairs[remedy.repair]
        job = self.job
        if job.role == "field" and remedy.decision == "repair_here" and remedy.repair not in job.waiting:
            return self._carry_out(repair, why)
        why = "not_done" if remedy.repair in job.left else why
        return Act("conclude", remedy.decision, repair.cautions, repair=remedy.repair, why=why)

    def _carry_out(self, repair: Repair, why: str) -> Act:
        """The repair by whoever is at the pool, or the switching that must come before it.

        Steps for owners tell themselves when to switch off and on, as they are followed at home too.
        """
        if self.job.role == "field" and repair.plant == "isolated" and self.job.plant != "isolated":
            return Act("isolate", repair.id, repair.cautions, repair=repair.id)
        if self.job.role == "field" and repair.plant == "running" and self.job.plant != "running":
            # Without `repair`: with it, a switching on is for seeing what came of a repair.
            return self._switch_on(repair.id)
        return Act("perform", repair.id, repair.cautions, repair=repair.id, why=why)

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
