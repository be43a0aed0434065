"""A job as its events, where it stands, and what they make believe."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from engine.findings.evidence import Observation, evidence
from engine.foundation.texts import say
from engine.inference.belief import (
    Array,
    Evidence,
    Hypothesis,
    TreeModel,
    after_failed_repair,
    after_helping_repair,
    causes_marginal,
    decibans,
    likelihood,
    posterior,
)
from engine.knowledge.model import Knowledge, Repair, Role, Tree, UnitProfile
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.acts import RankedCause, RemedyShare
from engine.session.folding import fold
from engine.session.job import SET_UP, Job
from engine.session.journal import Event
from engine.session.keeping_off import kept_off_by, mends
from engine.session.machine import Walk, answer_of, followed
from engine.session.models import Models
from engine.session.taken_back import effective
from engine.session.validation import refuse_unknown
from engine.strategy import Planner

_STILL_THERE = 3.0
"""So many times as often as usual a cause shows what says that it is still there: judgement."""


class BelievedJob:
    """A job, worked out from its events alone: what was said and done, its state in the tree, and the belief."""

    def __init__(self, models: Models, events: Sequence[Event] = ()) -> None:
        """Take up a job at its events, none for a new one."""
        self.models = models
        self.knowledge: Knowledge = models.knowledge
        self.events: list[Event] = []
        self.job: Job
        self.walk: Walk
        self._forget()
        self._resume(events)

    def record(self, event: Event) -> None:
        """Add one event. Raises ValueError, and changes nothing, where it names what the knowledge does not know."""
        refuse_unknown(event, self.knowledge)
        events = [*self.events, event]
        if any(each.kind == "taken_back" for each in events[-2:]):
            # What goes back changes what stands, and moves the job itself as long as it is the last.
            self._resume(events)
            return
        job, walk = self.job.copied(), self.walk.copied()
        fold(job, event, self.knowledge)
        walk.take(event, job, self.knowledge)
        # What was found before a repair helped stays so, until another one helps or the call begins otherwise.
        stays = event.kind not in ("verified", "already_tried") and event.about not in SET_UP
        self.job, self.walk, self.events = job, walk, events
        self._forget(helped=not stays)

    def _resume(self, events: Sequence[Event]) -> None:
        self.job, self.walk = followed(events, self.knowledge, self.models.machine)
        self.events = list(events)
        self._forget()

    def _forget(self, helped: bool = True) -> None:
        """What was worked out holds for the events so far only. Args: whether `helped` may have changed too."""
        self._belief: Array | None = None
        self._evidence: tuple[Evidence, ...] | None = None
        if helped:
            self._helped: tuple[tuple[BelievedJob, Repair] | None] | None = None
        self._planner: Planner | None = None

    def along(self) -> Iterator[tuple[Event, BelievedJob]]:
        """Each event that stands, with the job as it stood after it: one job, led on from event to event."""
        so_far = BelievedJob(self.models)
        for event in effective(self.events):
            fold(so_far.job, event, self.knowledge)
            so_far.walk.take(event, so_far.job, self.knowledge)
            so_far.events.append(event)
            so_far._forget()
            yield event, so_far

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
        if self._planner is None:
            self._planner = self._find_planner()
        return self._planner

    def _find_planner(self) -> Planner:
        known, said = self.knowledge.repairs, {name: read.value for name, read in self.job.readings.items()}
        left = tuple(name for name in (*self.job.left, *self._not_now) if name in known)
        vain = (name for name, repair in known.items() if repair.is_pointless(said))
        found = self.job.parts_here
        return self.models.planner(self.tree.id, self.role, self.unit, (*self.job.failed, *vain), left, found)

    @property
    def _not_now(self) -> tuple[str, ...]:
        """Repairs that nobody does now, as they end in switching on: something else keeps the plant off."""
        if not kept_off_by(self.knowledge, self.job):
            return ()
        mending = mends(self.knowledge, self.job)
        return tuple(name for name in self.knowledge.repairs if name not in mending and name not in self.job.left)

    def likeliest_of(self, repair: Repair) -> str | None:
        """The likeliest of the causes that a repair cures; None where this tree counts none of them."""
        return next((cause for cause in self.marginals() if cause in repair.cures), None)

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """The findings that speak, each once; a repair speaks too, in `belief`. Once it helped, those before it."""
        if self._evidence is None:
            before = self._before_help()
            found = evidence(self.knowledge, self.unit, self.job.readings) if before is None else before[0].evidence
            self._evidence = found
        return self._evidence

    @property
    def belief(self) -> Array:
        """P(hypothesis) given everything said and tried, in the order of `model.hypotheses`."""
        if self._belief is None and (before := self._before_help()) is not None:
            self._belief = after_helping_repair(self.model, before[0].belief, before[1].cures)
        if self._belief is None:
            self._belief = self.believed_with(self.job.readings)
        return self._belief

    def believed_with(self, readings: Mapping[str, Observation]) -> Array:
        """P(hypothesis), shape (hypotheses,), given what was tried and these readings instead of the job's own."""
        repairs = [self.knowledge.repairs[name] for name in self.job.failed]
        # What a repair changes and was asked again after it speaks of what the repair left; else it holds as found.
        stale = {check: said.reading for check, said in self.job.stale.items() if check not in self.job.answers}
        changed = {check for repair in repairs if not self._undone(repair) for check in repair.ask_again} - {*stale}
        spoken = evidence(self.knowledge, self.unit, {**stale, **readings})
        later = [found for found in spoken if changed & set(found.readings)]
        now = posterior(self.model, [found for found in spoken if found not in later])
        for repair in repairs:
            now = after_failed_repair(self.model, now, repair.cures, self._undone(repair))
        for found in later:
            now = now * np.maximum(likelihood(self.model, found), 1e-300)
        return np.asarray(now / now.sum())

    def _before_help(self) -> tuple[BelievedJob, Repair] | None:
        """The interview before a repair that helped, and that repair: what was wrong is what was found then."""
        if self._helped is None:
            self._helped = (self._find_help(),)
        return self._helped[0]

    def _find_help(self) -> tuple[BelievedJob, Repair] | None:
        if "helped" not in self.job.verified.values():
            return None
        standing = effective(self.events)
        known = self.knowledge.repairs
        said = [(k, e.about) for k, e in enumerate(standing) if e.kind == "verified" and e.value == "helped"]
        helped = [k for k, repair in said if repair in known]
        at = helped[-1]
        # Behind another complaint, said since, what was found then counts as it does there.
        start = [event for event in standing[at:] if event.about in SET_UP]
        return BelievedJob(self.models, [*standing[:at], *start]), self.knowledge.repairs[standing[at].about]

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

    def still_shown(self, repair: str) -> tuple[str, ...]:
        """Checks read as left, since it was said that a repair helped, that show the fault as if it had not."""
        standing, cures = effective(self.events), self.knowledge.repairs[repair].cures
        said = max(k for k, event in enumerate(standing) if event.kind == "verified" and event.about == repair)
        since = {event.about for event in standing[said:] if event.kind in ("answered", "corrected")}
        again = [
            name for name in self.knowledge.repairs[repair].ask_again if name in since and name in self.job.answers
        ]
        return tuple(name for name in again if any(self._shows(cause, name) for cause in cures))

    def _shows(self, cause: str, check: str) -> bool:
        """Whether what a check says now is far oftener seen with a cause than without it."""
        answer = answer_of(self.knowledge, self.job, check)
        shown = self.knowledge.causes[cause].shows.get(check, {}) if cause in self.knowledge.causes else {}
        return shown.get(answer or "", 0.0) >= _STILL_THERE * self.knowledge.checks[check].usual.get(answer or "", 1.0)
