"""One interview as its events: what is next, what is believed, and what may be recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from engine.knowledge import cautions
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, Repair
from engine.session.acts import Act, Waiting
from engine.session.availability import for_amount, open_checks
from engine.session.believed import BelievedJob
from engine.session.job import SET_UP
from engine.session.machine import (
    CHOOSING,
    CLOSED,
    HANDED_ON,
    MADE_SAFE,
    MAKING_SAFE,
    OPENING,
    REPAIRING,
    SOLVED,
    VERIFYING,
    WAITING,
    Walk,
    stands,
    to_set_up,
)
from engine.strategy import Aim, Appraisal, Explanation, Situation

_BROUGHT = ("nothing", "water_sample", "cell", "water_sample+cell")
"""What may be brought to a counter."""


class Session(BelievedJob):
    """An interview. Its only state is `events`; everything else is worked out from them."""

    def next(self, aim: Aim = "mend", wanted: Sequence[str] | None = None) -> Act:
        """The next act, by the state in which the job stands.

        `settle` goes on asking where `mend` would try a repair or hand on; see engine/strategy. After a danger was
        made safe it asks for nothing but what can be seen or remembered without risk.

        Args: `wanted`, what a person wants to be put next, the first of it first, once the start is settled; then what
        is to be sold or done is asked for its amounts too. None where no person is there.
        """
        act = self._act_in(self.walk, aim)
        return act if wanted is None else self._put_first(act, wanted)

    def _act_in(self, walk: Walk, aim: Aim) -> Act:
        if walk.asks is not None:
            return self._act_or_conclude("limit", aim) if self._asked_enough else self.act_for(walk.asks)
        acts: Mapping[str, Callable[[Aim], Act]] = {
            OPENING: self._open,
            CHOOSING: self._choose,
            REPAIRING: self._go_on_with_repair,
            VERIFYING: self._see_what_came_of_it,
            WAITING: self._wait,
            SOLVED: self._end_as_solved,
            MAKING_SAFE: self._make_safe,
            MADE_SAFE: self._once_safe,
            HANDED_ON: self._end_as_closed,
            CLOSED: self._end_as_closed,
        }
        return acts[walk.state](aim)

    def _open(self, _: Aim) -> Act:
        """Role, danger, in the field the unit, complaint, at a counter what was brought: settled before all else."""
        about = to_set_up(self.job)
        assert about is not None
        return self.act_for(about)

    def _choose(self, aim: Aim) -> Act:
        """The check that pays most, else what is done with no further question."""
        if self._asked_enough:
            return self._act_or_conclude("limit", aim)
        if paying := [found for found in self.appraise(aim) if found.worth > 0]:
            return self.act_for(self._before_switching_on(paying))
        return self._act_or_conclude(self._why_no_check, aim)

    def _go_on_with_repair(self, _: Aim) -> Act:
        return self._carry_out(self.knowledge.repairs[self.events[-1].about], self._why_no_check)

    def _see_what_came_of_it(self, _: Aim) -> Act:
        assert self.job.awaiting is not None
        return self._verify(self.job.awaiting)

    def _wait(self, _: Aim) -> Act:
        """A result that shows later ends the visit; the answer is taken when the job is resumed."""
        if self.job.awaiting is None:
            return Act("conclude", "repair_here", repair=self._outcome("later"), why="settled")
        return Act("conclude", "repair_here", repair=self.job.awaiting, why="waiting")

    def _end_as_solved(self, _: Aim) -> Act:
        return Act("conclude", "repair_here", repair=self._outcome("helped"), why="solved")

    def _make_safe(self, _: Aim) -> Act:
        return Act("make_safe", self.job.danger or "", self.knowledge.dangers[self.job.danger or ""].cautions)

    def _once_safe(self, aim: Aim) -> Act:
        """Handed on; to settle the remedy all the same, what is next but for the danger."""
        beside = stands(
            replace(self.job, reports=[], but_for_danger=True), self.events[-1], self.knowledge, self.models.machine
        )
        if aim == "mend" or beside.state == OPENING:
            return Act("conclude", "make_safe", self.cautions_of_danger, why="danger")
        return self._act_in(beside, aim)

    def _end_as_closed(self, _: Aim) -> Act:
        job = self.job
        return Act("conclude", job.decision or "", why="solved" if "helped" in job.verified.values() else "settled")

    def heeded(self, wanted: Sequence[str]) -> list[str]:
        """What is put first of what a person wants: in danger no fault is looked for, only what was said of it."""
        if self.job.danger is None:
            return list(wanted)
        said = {DANGER_CHECK, *(report.about for report in self.job.standing)}
        return [about for about in wanted if about in said]

    def _put_first(self, act: Act, wanted: Sequence[str]) -> Act:
        if self.job.closed:
            return act
        if not (heeded := self.heeded(wanted)):
            # Nobody is asked more than was said at first, for an amount either: the paper leaves that one open.
            over = act.why in ("solved", "waiting") or self._asked_enough
            missing = None if over else for_amount(self.knowledge, self.job, act)
            return act if missing is None else self.act_for(missing)
        opening = self.walk.state in (OPENING, MAKING_SAFE, MADE_SAFE)
        settled = (*SET_UP, DANGER_CHECK, *(report.about for report in self.job.standing))
        return act if opening and heeded[0] not in settled else self.act_for(heeded[0])

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

    def conclude(self) -> Act:
        """What to do with no further question: the repair here, or the decision."""
        return self._act_or_conclude(self._why_no_check, "mend")

    @property
    def _asked_enough(self) -> bool:
        return self.job.role is not None and len(self.job.asked) >= self.role.limit

    @property
    def _why_no_check(self) -> str:
        return "settled" if self.belief.max() > 0.5 else "no_check_pays"

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

    # --- inside -------------------------------------------------------------------------------------------------

    @property
    def cautions_of_danger(self) -> tuple[str, ...]:
        """The ids of the cautions of the dangers that stand, and of nothing else."""
        own = [self.knowledge.dangers[report.danger].cautions for report in self.job.standing]
        return tuple(dict.fromkeys(caution for each in own for caution in each))

    def _switch_on(self, about: str, repair: str | None = None) -> Act:
        return Act("switch_on", about, cautions.told_for(self.knowledge.cautions, "switching_on"), repair=repair)

    def _verify(self, repair: str) -> Act:
        """Ask whether a repair helped, with the unit at work again."""
        if self.job.plant == "isolated" and repair not in self.job.cannot:
            return self._switch_on(repair, repair)
        return Act("verify", repair)

    def act_for(self, name: str) -> Act:
        """The act that asks this of the start, puts this check or takes what came of this repair.

        Where the supply must be switched first, the act that does so.
        """
        if name in SET_UP:
            return Act("set_up", name, options=self._options(name))
        if name in self.knowledge.repairs:
            return (
                self._verify(name) if name == self.job.awaiting else self._carry_out(self.knowledge.repairs[name], "")
            )
        check, job = self.knowledge.checks[name], self.job
        if job.unit is None and name == REPORT_CHECK:
            # Who has never seen the unit need not say which it is like, until it is asked how it tells its state.
            return self.act_for("unit")
        if job.role != "counter" and check.plant not in ("any", job.plant):
            if check.plant == "isolated":
                isolating = cautions.told_for(self.knowledge.cautions, "isolating")
                return Act("isolate", name, tuple(dict.fromkeys((*isolating, *check.cautions))))
            return self._switch_on(name)
        return Act("ask", name, check.cautions)

    def _options(self, about: str) -> tuple[str, ...]:
        known = self.knowledge
        options: dict[str, Iterable[str]] = {"role": known.roles, "unit": known.units, "complaint": known.trees}
        return tuple(options.get(about, _BROUGHT))

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

    def _outcome(self, wanted: str) -> str:
        """The repair that was verified with this outcome."""
        return next(repair for repair, outcome in self.job.verified.items() if outcome == wanted)
