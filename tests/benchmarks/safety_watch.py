"""Watches over an interview: what is shown and what is kept, held against the laws of safety, each counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from engine.session.journal import Event
from interview.messages import Control, Given, Question, Reply
from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.safety_plant import DANGER_QUESTION, Noted, Plant, plant_of

NO_CONSENT = ("not_done", "cannot", "could_not")
"""Replies that were picked from a list and say all the same that nothing is done."""


class BrokenError(AssertionError):
    """A law of safety was broken."""

    def __init__(self, law: str, what: str) -> None:
        super().__init__(f"{law}: {what}")
        self.law = law


@dataclass(frozen=True)
class Sight:
    """One question as it is put, and what is so at that moment."""

    question: Question
    kind: str
    plant: Plant
    consented: frozenset[str]
    fresh_danger: bool
    said_danger: str
    wanted: bool
    wished: bool
    asked_before: frozenset[str]
    refused_to_say_how_left: bool

    @property
    def work(self) -> plain.Work | None:
        """The check that is asked, or the repair that is to be done now by whoever is there."""
        if self.kind == "ask":
            return plain.checks()[self.question.about]
        return plain.repairs()[self.question.about] if self.does_repair else None

    @property
    def does_repair(self) -> bool:
        """Whether a repair is done now: at the pool, or step by step on the phone; not one that is told of."""
        return self.kind == "perform" and (self.plant.role == "field" or self.question.one_by_one)

    @property
    def shown(self) -> frozenset[str]:
        """The cautions that stand with the question."""
        return frozenset(caution.id for caution in self.question.cautions)


Law = Callable[[Sight], bool]
"""Gives whether it was put to the test; raises BrokenError where it is broken."""


def kind_of(question: Question) -> str:
    """A question's kind; switching and the plant's state told apart by what they say and offer."""
    if question.kind == "confirm":
        if question.about == DANGER_QUESTION:
            return "make_safe"
        return "switch_on" if question.text in plain.switching_texts("on") else "switch_off"
    if question.kind == "plant":
        return "find_plant" if "running" in {choice.id for choice in question.choices} else "leave_plant"
    return "which" if question.about in ("which", "meant", "danger") else question.kind


def reached(sight: Sight) -> set[str]:
    """The hazards that what is asked now brings for whoever does it."""
    reader, work = sight.plant.reader, sight.work
    acts = list(work.acts[reader]) if work is not None and sight.plant.at_the_pool else []
    occasions = {"switch_off": ["isolating"], "switch_on": ["switching_on"]}.get(sight.kind, [])
    if sight.kind == "make_safe":
        kinds = {plain.dangers()[report.danger].kind for report in sight.plant.standing}
        occasions = ["danger" if kind == "electric" else "gas" for kind in kinds]
    acts += [act for act in plain.acts().values() if act.occasion in occasions]
    return {hazard for act in acts for hazard in act.brings}


@dataclass
class Watch:
    """Keeps the events of one job through all its visits, and holds every question against every law."""

    laws: Sequence[Law]
    tested: Counter[str] = field(default_factory=Counter)
    hazards: Counter[str] = field(default_factory=Counter)
    questions: int = 0
    noted: list[Noted] = field(default_factory=list)
    replies: list[str] = field(default_factory=list)
    said_danger: str = ""
    _consented: dict[str, set[str]] = field(default_factory=dict)
    _put: set[str] = field(default_factory=set)
    _wished: set[str] = field(default_factory=set)
    _refused: bool = False
    _proves: bool = False
    _standing_before: int = 0

    def write(self, event: Event) -> None:
        """Keep one event, as a journal does."""
        proved = self._proves and event.kind == "made_safe"
        self._proves = self._proves and not proved
        self._refused = self._refused and event.kind not in ("made_safe", "switched_on", "found", "left")
        self.noted.append(Noted(event, proved))

    @property
    def events(self) -> list[Event]:
        """The events of the job so far."""
        return [each.event for each in self.noted if each.event is not None]

    def _told(self) -> set[str]:
        """What was told in a line beside a question: that is no question that was asked."""
        return {event.about for event in self.events if event.beside}

    def begin_visit(self) -> None:
        """Somebody takes the job up anew: consent is gone, and so is what was known of a supply switched off."""
        if self.noted:
            self.noted.append(Noted(None))
        self._consented, self._refused, self._proves, self._standing_before = {}, False, False, 0

    def fork(self) -> Watch:
        """The same watch at the same place, to go another way."""
        other = replace(self, tested=self.tested.copy(), hazards=self.hazards.copy())
        other.noted, other.replies = list(self.noted), list(self.replies)
        other._put, other._wished = set(self._put), set(self._wished)
        other._consented = {about: set(ids) for about, ids in self._consented.items()}
        return other

    def stands(self) -> tuple[object, ...]:
        """What the watch holds beside the events, as far as laws hang on it."""
        consented = sorted((about, sorted(ids)) for about, ids in self._consented.items())
        plant = plant_of(self.noted)
        return plant.state, plant.left, sorted(plant.keeping.items()), consented, self._refused

    def put(self, question: Question, wanted: bool) -> None:
        """Hold the laws over a question that is shown. Raises BrokenError."""
        plant, kind = plant_of(self.noted), kind_of(question)
        unsafe = [report for report in plant.standing if not report.made_safe]
        sight = Sight(
            question,
            kind,
            plant,
            frozenset(self._consented.get(question.about, ())),
            len(unsafe) > self._standing_before,
            self.said_danger,
            wanted,
            # What was asked for by name and taken back is asked for still.
            question.about in self._wished,
            frozenset((self._put & plant.had_turn) - self._told()),
            self._refused,
        )
        self.said_danger, self._standing_before = "", len(unsafe)
        self.questions += 1
        self.hazards.update(reached(sight))
        for law in self.laws:
            if law(sight):
                self.tested[law.__name__] += 1
        if wanted:
            self._wished.add(question.about)
        if kind == "ask" and not wanted and question.about != DANGER_QUESTION:
            self._put.add(question.about)

    def reply(self, question: Question, reply: Reply, consents: bool = True) -> None:
        """Note what the person replied. Args: `consents`, whether cautions to be confirmed were confirmed."""
        kind = kind_of(question)
        self.replies.append(f"{kind} {question.about}: {_shown(reply)}")
        if isinstance(reply, Given) and reply.value not in NO_CONSENT:
            if kind in ("switch_off", "switch_on", "make_safe") or (question.confirm_cautions and consents):
                told = {caution.id for caution in question.cautions}
                self._consented.setdefault(question.about, set()).update(told)
            self._proves = kind == "switch_off" and reply.value == "done"
        if kind == "leave_plant" and reply is Control.FINISH:
            self._refused = True


def _shown(reply: Reply) -> str:
    return reply.name if isinstance(reply, Control) else repr(reply)
