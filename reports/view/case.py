"""What every part of a sheet is made from: the session, what it came to, and in whose words it is told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engine.knowledge.model import Check, RoleId, Wording
from engine.quantities.unit_systems import System
from engine.session.acts import Act
from engine.session.decisions import SHOCK
from engine.session.outcome import JobOutcome, outcome_of
from engine.session.session import Session
from reports.phrases import Reader, lowered, reader_of
from reports.view.decisions import Decided, decided_words
from reports.view.known import quantity


@dataclass(frozen=True)
class JobCase(JobOutcome):
    """One job on its way to a sheet: what it came to, whose words it is told in, the date, and the units shown.

    `in_part` where it is solved and something else is left, `live` where current may reach the water by what was found.
    """

    voice: RoleId
    date: str
    units: System = "metric"
    in_part: bool = False
    live: bool = False

    @property
    def decided(self) -> Decided:
        """The words of the decision, as this job stands."""
        return decided_words(self._decided_as(), self.reader)

    def _decided_as(self) -> str:
        if self.live and self.conclusion.decision not in (*SHOCK, "make_safe"):
            # Whoever mends what: nobody goes in and no power comes back before an electrician says so.
            return "cleared_first"
        if self.stuck:
            return "no_remedy"
        if self.in_part:
            return "solved_in_part"
        if self.conclusion.solved or self.conclusion.why == "unverified":
            return self.conclusion.why
        if self.conclusion.decision == "bring_cell" and "cell" in self.job.brought:
            return "cell_is_here"
        if self.conclusion.decision == "order_and_return" and self.conclusion.repair in self.job.left:
            return "come_back"
        if self.conclusion.decision == "nothing_to_repair" and self._something_likelier:
            return "perhaps_at_rest"
        if self.job.closed and self.conclusion.decision == "repair_here" and self._failed_now:
            # Nobody mends anything on a visit that is over.
            return "no_help"
        return self.conclusion.decision

    @property
    def _something_likelier(self) -> bool:
        """Whether the likeliest cause is none that the remedy is for: it comes first for its small cost."""
        chosen = self.repair(self.conclusion.repair)
        return chosen is not None and next(iter(self.judged.marginals()), None) not in chosen.cures

    @property
    def _failed_now(self) -> bool:
        """Whether a repair of this job, and not one that was tried before it, did not help."""
        looked_at = {event.about for event in self.standing if event.kind == "verified"}
        return not looked_at.isdisjoint(self.job.failed)

    @property
    def reader(self) -> Reader:
        """Whose wording the sheet's reader is told in."""
        return reader_of(self.voice)

    def say(self, wording: Wording) -> str:
        """A wording as this sheet's reader is spoken to."""
        return wording.for_role(self.voice, self.units)

    def worded_answers(self, checks: Iterable[str]) -> list[str]:
        """What was answered to these checks, each with its check; what has no answer, or a number, is left out."""
        said = {name: self.job.answers[name].reading.value for name in checks if name in self.job.answers}
        entries = {name: check for name in said if (check := self.check(name)) is not None}
        return [
            f"{self.short(check)}: {check.said(said[name], self.say)}"
            for name, check in entries.items()
            if check.meant(said[name])
        ]

    @property
    def as_left(self) -> Mapping[str, str | float]:
        """What was answered since the last repair that was done, by check; nothing before one was verified."""
        if not self.conclusion.solved:
            return {}
        last = max((at for at, event in enumerate(self.standing) if event.kind == "repaired"), default=-1)
        since = [event for event in self.standing[last + 1 :] if event.kind in ("answered", "corrected")]
        return {event.about: event.value for event in since if event.value is not None} if last >= 0 else {}

    @property
    def doubted(self) -> frozenset[str]:
        """Checks whose reading nobody acts on yet: what is likeliest, or what is treated first, says so."""
        if not self.judges:
            return frozenset()
        chosen = self.repair(self.conclusion.repair)
        causes = [*list(self.judged.marginals())[:1], *(() if chosen is None else chosen.cures)]
        known = (self.knowledge.causes.get(cause) for cause in causes)
        return frozenset(check for cause in known if cause is not None for check in cause.distrusts)

    def show(self, value: float, unit: str) -> str:
        """A quantity in the units of this sheet's reader."""
        return quantity(value, unit, self.units)

    def short(self, check: Check) -> str:
        """A check in a few words: the technician's name for it, or the short word that people use."""
        if self.voice == "field" or not check.names:
            return lowered(self.say(check.wording))
        return check.names[0]


def case_of(session: Session, date: str, act: Act | None) -> JobCase:
    """What a session came to, on its way to a sheet in the words of the role that asked.

    Args:
        session: the job, open or closed.
        date: the date that the sheet bears.
        act: the conclusion that a front end was given; by default what the session says is next.
    """
    outcome = outcome_of(session, act)
    return JobCase(outcome.session, outcome.judged, outcome.conclusion, session.job.role or "counter", date)
