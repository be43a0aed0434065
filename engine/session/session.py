"""One interview as its events: what is next, what is believed, and what may be recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from engine.findings.evidence import telling
from engine.knowledge.hazards import told_for
from engine.knowledge.model import DANGER_CHECK, REPORT_CHECK, Plant, Repair, reader_of
from engine.knowledge.properties import Occasion
from engine.session.acts import Act, Waiting
from engine.session.availability import for_amount, may_say, open_checks
from engine.session.believed import BelievedJob
from engine.session.brought import brought_first
from engine.session.deciding import decision_now, lies_here_first, to_quote
from engine.session.doubting import AGAIN, to_read_again
from engine.session.job import SET_UP
from engine.session.journal import PLANT
from engine.session.keeping_off import energises, kept_off_by, mends, waited_for
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
    written_end,
)
from engine.strategy import Aim, Appraisal, Explanation, Situation
from engine.strategy.costs import Remedy

WORTH_ASKING = 0.3
"""A question that saves fewer minutes than this is not put: what it takes of patience is in no minutes. Judgement."""
_BROUGHT = ("nothing", "water_sample", "cell", "water_sample+cell")
"""What may be brought to a counter."""


class Session(BelievedJob):
    """An interview. Its only state is `events`; everything else is worked out from them."""

    def next(self, aim: Aim = "mend", wanted: Sequence[str] | None = None, again: bool = True) -> Act:
        """The next act, by the state in which the job stands.

        `settle` goes on asking where `mend` would try a repair or hand on; see engine/strategy. After a danger was
        made safe it asks for nothing but what can be seen or remembered without risk.

        Args: `wanted`, what a person wants to be put next, the first of it first, once the start is settled; then what
        is to be sold or done is asked for its amounts too. None where no person is there. `again`, whether an answer on
        which a remedy rests may be read again first.
        """
        if (first := self._first_for_the_plant(wanted is not None)) is not None:
            return first
        act = self._act_in(self.walk, aim)
        if again and aim == "mend" and self.walk.state == CHOOSING and not self._asked_enough:
            name = to_read_again(self, act)
            act = act if name is None else replace(self.act_for(name), why=AGAIN)
        if wanted is None:
            return self._after_looking(act)
        act = brought_first(self, act)
        return self._left_in_order(self._with_its_parts(self._after_looking(self._put_first(act, wanted))))

    def _first_for_the_plant(self, asked: bool) -> Act | None:
        """What comes before all else once a tree is open: to know the state of the supply, and what must be off, off.

        Args: `asked`, whether a person is there to be asked.
        """
        job = self.job
        if self.walk.state in (OPENING, MAKING_SAFE, MADE_SAFE, HANDED_ON, CLOSED) or job.role == "counter":
            return None
        if asked and job.plant == "unknown":
            return Act("find_plant", PLANT)
        if job.plant == "running" and PLANT not in job.cannot and kept_off_by(self.knowledge, job):
            return Act("isolate", PLANT, self._told("isolating"), why="kept_off")
        return None

    def _after_looking(self, act: Act) -> Act:
        """The act, or first what its work waits for: what pays is seen and measured before anything is opened.

        That holds for a look too, where a person wants it before its turn, and for what is sold, ordered or left to
        somebody else, unless enough was asked.
        """
        known = self.knowledge
        work = known.repairs.get(act.repair or act.about) or known.checks.get(act.about)
        ends = act.kind == "conclude" and (self._asked_enough or self.walk.state != CHOOSING)
        if act.kind not in ("perform", "isolate", "ask", "conclude") or ends or work is None or self.job.danger:
            return act
        for name in waited_for(known, self.job, work):
            needs_it_on = self.knowledge.checks[name].plant == "running" and self.job.plant != "running"
            if not needs_it_on and may_say(self.knowledge, self.job, name):
                return self.act_for(name)
        return act

    def _with_its_parts(self, act: Act) -> Act:
        """The end of a visit, or first whether a part for which somebody would come again is in the van after all."""
        if act.kind != "conclude" or act.about != "order_and_return" or act.repair is None or act.why == "not_done":
            return act
        needed = (self.knowledge.parts[need.part] for need in self.knowledge.repairs[act.repair].parts)
        wanted = (part.id for part in needed if not part.in_van and part.id not in self.job.parts_found)
        return next((Act("find_part", part, repair=act.repair) for part in wanted), act)

    def _left_in_order(self, act: Act) -> Act:
        """The end of a visit, or first how it leaves what was switched off: on, and seen to run, or locked off."""
        leaving = self.leaving() if act.kind == "conclude" and act.why != "danger" else None
        return act if leaving is None else leaving

    def leaving(self) -> Act | None:
        """To settle how the visit leaves what was switched off; None where that is settled, or nothing is off."""
        job = self.job
        if job.closed or job.danger is not None or job.role == "counter":
            return None
        if job.plant == "running" or job.left_as is not None:
            return None
        off_only = bool(kept_off_by(self.knowledge, job))
        told = () if off_only else self._told("switching_on")
        return Act("leave_plant", PLANT, told, options=("off",) if off_only else ("on", "off"))

    def _told(self, *occasions: Occasion) -> tuple[str, ...]:
        """The cautions of what the program itself lets whoever is there do."""
        return told_for(self.knowledge.acts, reader_of(self.job.role or "counter"), *occasions)

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
        if aim == "mend" and self._written_remedy() is not None:
            return self._act_or_conclude(self._why_no_check, aim)
        if paying := [found for found in self.appraise(aim) if found.worth > WORTH_ASKING]:
            return self.act_for(self._before_switching(paying))
        return self._act_or_conclude(self._why_no_check, aim)

    def _go_on_with_repair(self, _: Aim) -> Act:
        return self._carry_out(self.knowledge.repairs[self.events[-1].about], self._why_no_check)

    def _see_what_came_of_it(self, aim: Aim) -> Act:
        """Whether a repair helped; where something else still keeps the plant off, that is mended first."""
        assert self.job.awaiting is not None
        if not kept_off_by(self.knowledge, self.job) or self.job.role == "counter":
            return self._verify(self.job.awaiting)
        act = self._act_or_conclude("kept_off", aim)
        done = self.job.repaired.get(act.repair or "") == "done"
        return Act("conclude", "order_and_return", repair=act.repair, why="kept_off") if done else act

    def _wait(self, _: Aim) -> Act:
        """A result that shows later ends the visit; the answer is taken when the job is resumed."""
        if self.job.awaiting is None:
            return Act("conclude", "repair_here", repair=self._outcome("later"), why="settled")
        return Act("conclude", "repair_here", repair=self.job.awaiting, why="waiting")

    def _end_as_solved(self, _: Aim) -> Act:
        """Solved, where no reading since says that the fault is still there; else it is asked once more."""
        repair = self._outcome("helped")
        if self.job.role == "field" and self.still_shown(repair):
            return Act("verify", repair, why="still_shown")
        return Act("conclude", "repair_here", repair=repair, why="solved")

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
        """What is put first of what a person wants: in danger no fault is looked for, only what was said of it.

        As long as something keeps the plant off, of repairs only those that mend it.
        """
        job, checks = self.job, self.knowledge.checks
        if job.danger is not None:
            said = {DANGER_CHECK, *(report.about for report in job.standing)}
            here = [about for about in wanted if about in said and about in checks]
            return [about for about in here if checks[about].plant in ("any", job.plant)]
        if not kept_off_by(self.knowledge, job):
            return list(wanted)
        left_off = {name for name, check in checks.items() if energises(check, job)}
        left_off |= set(self.knowledge.repairs) - set(mends(self.knowledge, job))
        return [about for about in wanted if about not in left_off and about != job.awaiting]

    def _put_first(self, act: Act, wanted: Sequence[str]) -> Act:
        if self.job.closed:
            return act
        if not (heeded := self.heeded(wanted)):
            # Nobody is asked more than was said at first, for an amount either: the paper leaves that one open.
            over = act.why in ("solved", "waiting") or self._asked_enough
            done_for = None if act.repair is None else self.likeliest_of(self.knowledge.repairs[act.repair])
            missing = None if over else for_amount(self.knowledge, self.job, act, done_for)
            return act if missing is None else self.act_for(missing)
        opening = self.walk.state in (OPENING, MAKING_SAFE, MADE_SAFE)
        settled = (*SET_UP, DANGER_CHECK, *(report.about for report in self.job.standing))
        return act if opening and heeded[0] not in settled else self.act_for(heeded[0])

    def _before_switching(self, paying: Sequence[Appraisal]) -> str:
        """The best of the looks that pay, or before the supply is switched one that it would be switched back for.

        One step ahead, a look that must wait for the next switching seems to lose nothing. It goes first where it
        would pay a switching of its own, and is worth less than the best by no more than that one costs.
        """
        plants = {found.check: self.knowledge.checks[found.check].plant for found in paying}
        best, now = paying[0].check, "running" if self.job.plant == "running" else "isolated"
        if self.job.role == "counter" or plants[best] in ("any", now):
            return best
        once_more = self.role.minutes["isolate"] + self.role.minutes["restore"]
        # Before opening the first time, whatever pays is measured: afterwards it would cost a switching.
        own = once_more if now == "isolated" else 0.0
        least = max(own, paying[0].worth - once_more)
        again = [found.check for found in paying if found.worth > least]
        return next((name for name in again if plants[name] == now), best)

    def conclude(self) -> Act:
        """What to do with no further question: the repair here, or the decision."""
        return self._act_or_conclude(self._why_no_check, "mend")

    @property
    def _asked_enough(self) -> bool:
        return self.job.role is not None and self.job.questions >= self.role.limit

    @property
    def _why_no_check(self) -> str:
        return "settled" if self.belief.max() > 0.5 else "no_check_pays"

    def appraise(self, aim: Aim = "mend") -> list[Appraisal]:
        """Every check that could be asked now, with its worth, best first."""
        return self.planner.appraise(self.belief, self._situation(open_checks(self.knowledge, self.job)), aim)

    def explain(self, check: str, aim: Aim = "mend") -> Explanation:
        """Why a check is proposed: cost, worth, and how each answer would move the ranking. LookupError if not open."""
        return self.planner.explain(self.belief, self._situation(open_checks(self.knowledge, self.job)), aim, check)

    def may_show(self, check: str) -> dict[str, float]:
        """How likely each answer of a check is now."""
        return self.planner.may_show(self.belief, self._situation(open_checks(self.knowledge, self.job)), check)

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

    @property
    def cautions_of_danger(self) -> tuple[str, ...]:
        """The ids of the cautions of the dangers that stand, and of nothing else."""
        own = [self.knowledge.dangers[report.danger].cautions for report in self.job.standing]
        return tuple(dict.fromkeys(caution for each in own for caution in each))

    def _switch_on(self, about: str, repair: str | None = None) -> Act:
        return Act("switch_on", about, self._told("switching_on"), repair=repair)

    def _verify(self, repair: str) -> Act:
        """Ask whether a repair helped, with the unit at work again."""
        if self.job.plant != "running" and repair not in self.job.cannot:
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
        told = check.work.cautions.for_role(job.role or "counter")
        if job.unit is None and name == REPORT_CHECK:
            # Who has never seen the unit need not say which it is like, until it is asked how it tells its state.
            return self.act_for("unit")
        if job.role != "counter" and check.plant not in ("any", job.plant):
            if check.plant == "isolated":
                return Act("isolate", name, tuple(dict.fromkeys((*self._told("isolating"), *told))))
            return self._switch_on(name)
        return Act("ask", name, told)

    def _options(self, about: str) -> tuple[str, ...]:
        known = self.knowledge
        options: dict[str, Iterable[str]] = {"role": known.roles, "unit": known.units, "complaint": known.trees}
        return tuple(options.get(about, _BROUGHT))

    def _act_or_conclude(self, why: str, aim: Aim) -> Act:
        remedy = self.remedy_now(aim)
        decision = decision_now(self, remedy)
        if remedy is None or decision == "look_and_call":
            return Act("conclude", decision, why=why)
        repair = self.knowledge.repairs[remedy.repair]
        job = self.job
        if job.role == "field" and remedy.decision == "repair_here" and remedy.repair not in job.waiting:
            return self._carry_out(repair, why)
        why = "not_done" if remedy.repair in job.left else why
        told = repair.work.cautions.for_role(self.role.id)
        return Act("conclude", decision, told, repair=remedy.repair, why=why)

    def remedy_now(self, aim: Aim = "mend") -> Remedy | None:
        """The remedy to set going with no further question; None where it is handed on unknown.

        As long as something keeps the plant off, it is what mends that; nothing else is tried. The tree's written end
        comes before what the belief would choose.
        """
        mending = mends(self.knowledge, self.job)
        if mending:
            due = [remedy for remedy, _, _ in self.planner.order(self.belief) if remedy.repair in mending]
            if due:
                return due[0]
        plant = self._situation(()).plant
        chosen = self._written_remedy() or self.planner.act_now(self.belief, aim, plant)[0] or to_quote(self)
        return lies_here_first(self, chosen)

    def _written_remedy(self) -> Remedy | None:
        """What the written steps of the tree lead to, as long as it is still to be tried here."""
        tree = self.knowledge.trees.get(self.job.complaint or "")
        repair = None if tree is None else written_end(tree, self.knowledge, self.job)
        if repair is None:
            return None
        return next((remedy for remedy, _, _ in self.planner.order(self.belief) if remedy.repair == repair), None)

    def _carry_out(self, repair: Repair, why: str) -> Act:
        """The repair by whoever is at the pool, or the switching that must come before it.

        Steps for owners tell themselves when to switch off and on, as they are followed at home too.
        """
        told = repair.work.cautions.for_role(self.role.id)
        if self.job.role == "field" and repair.plant == "isolated" and self.job.plant != "isolated":
            return Act("isolate", repair.id, told, repair=repair.id)
        if self.job.role == "field" and repair.plant == "running" and self.job.plant != "running":
            # Without `repair`: with it, a switching on is for seeing what came of a repair.
            return self._switch_on(repair.id)
        return Act("perform", repair.id, told, repair=repair.id, why=why)

    def _situation(self, checks: Sequence[str]) -> Situation:
        plant: Plant = "running" if self.job.plant == "running" else "isolated"
        return Situation(self.role, plant, checks, telling(self.knowledge, self.job.readings), self.job.brought)

    def _outcome(self, wanted: str) -> str:
        """The repair that was verified with this outcome."""
        return next(repair for repair, outcome in self.job.verified.items() if outcome == wanted)
