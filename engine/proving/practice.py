"""A learner's interview of a call that the program plays: what was asked and what it was worth, and how it ended."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import AT, Answer, Run, opening_of, run_answered
from engine.knowledge.model import DANGER_CHECK, frozen
from engine.proving.drawn import minutes_of
from engine.proving.reasons import WhyNot, place_of, why_not
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy.costs import check_minutes


@dataclass(frozen=True)
class PutQuestion:
    """One question of the learner's: what was said (None: that person does not know), and what it was worth.

    `worth` are the minutes that it saves on average at that moment, its own taken off; `best` is what would have been
    worth most then. `why` is why nobody would have asked it, where it was not open.
    """

    check: str
    said: str | float | None
    minutes: float
    worth: float
    best: str
    best_worth: float
    why: WhyNot | None


@dataclass(frozen=True)
class Ended:
    """How a practice ended, beside the program's own way with the same person.

    `minutes` are those of the questions, `after` what was decided takes on average as it was; of the program likewise.
    `right` is whether the causes were named right, `mends` whether what was done helps against one of those that were
    there, and in danger whether nothing was done but to make safe; None where the call does not say what was so, and
    `mends` too where it was handed on: that is weighed by its minutes.
    """

    right: bool | None
    mends: bool | None
    minutes: float
    after: float | None
    repair: str | None
    program: Run
    program_after: float | None
    danger_unasked: bool


class Practice:
    """A call that is played to a learner; `call` knows what was wrong, `answer` what the person at the pool says."""

    def __init__(self, models: Models, call: WorkedCall, answer: Answer) -> None:
        self._models, self._call, self._answer = models, call, answer
        self._said: dict[str, str | float | None] = {}
        self.questions: list[PutQuestion] = []
        self.session = Session(models)
        # Whether there is danger is for the learner to ask.
        quiet = replace(call, facts=frozen({name: v for name, v in call.facts.items() if name != DANGER_CHECK}))
        for event in opening_of(models, quiet):
            self.session.record(event)

    @property
    def minutes(self) -> float:
        """What the learner's questions took."""
        return sum(question.minutes for question in self.questions)

    def says(self, session: Session, check: str) -> str | float | None:
        """What the person says of a check: the same each time."""
        if check == DANGER_CHECK:
            return self._call.facts.get(DANGER_CHECK, "none")
        if check not in self._said:
            self._said[check] = self._answer(session, check)
        return self._said[check]

    def ask(self, check: str) -> PutQuestion:
        """Ask a check; asked again it is said again and costs nothing. Raises KeyError where there is no such check."""
        again = next((question for question in self.questions if question.check == check), None)
        if again is not None:
            return again
        session = self.session
        item = session.knowledge.checks[check]
        appraised = session.appraise()
        own = next((found for found in appraised if found.check == check), None)
        takes = check_minutes(item, session.role, "running")
        reason = None if own is not None or check == DANGER_CHECK else why_not(session, item)
        possible = reason not in ("needs", "never_known")
        said = self.says(session, check) if possible else None
        best = appraised[0] if appraised else None
        question = PutQuestion(
            check, said, takes, own.worth if own is not None else -takes,
            best.check if best is not None else "", best.worth if best is not None else 0.0, reason,
        )  # fmt: skip
        self.questions.append(question)
        if check != DANGER_CHECK:
            silent = Event("dont_know", AT, about=check)
            session.record(silent if said is None else Event("answered", AT, about=check, value=said))
        return question

    def _mends(self, repair: str | None, danger: bool) -> bool | None:
        """Whether a repair helps against what was wrong; None where nobody knows, or nothing was repaired."""
        if repair is None or self._call.causes is None:
            return None
        cures = self.session.knowledge.repairs[repair].cures
        return not danger and any(cures.get(cause, 0.0) > 0 for cause in self._call.causes)

    def end(self, causes: Collection[str], repair: str | None) -> Ended:
        """Decide: what is wrong (none: something else), and what is done (None: handed on)."""
        true = self._call.causes
        run = run_answered(self._models, self._call, self.says)
        place = None if true is None else place_of(self.session.model, true)
        after = None if place is None else minutes_of(self._models, self.session, repair, place)
        own = run.decision.repair if run.decision is not None else None
        danger = self._call.facts.get(DANGER_CHECK, "none") not in ("none", "none_known")
        return Ended(
            None if true is None else set(causes) <= set(true) and bool(causes) == bool(true),
            self._mends(repair, danger),
            self.minutes,
            after,
            repair,
            run,
            None if place is None else minutes_of(self._models, run.session, own, place),
            danger and all(question.check != DANGER_CHECK for question in self.questions),
        )
