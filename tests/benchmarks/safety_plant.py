"""A small model of its own: what the events of an interview say of the plant, of what keeps it off, and of dangers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from engine.session.journal import Event
from tests.benchmarks import plain_hazards as plain

DANGER_QUESTION = "danger_now"
ALWAYS_STAYS = {"opened", "noted", "made_safe", "switched_on", "resumed", "found", "left"}
"""What going back does not undo: it happened at the pool."""
_MAY_FIND_SAFE = {"electric": {"electrician"}, "gas": {"technician", "emergency"}}


@dataclass(frozen=True)
class Noted:
    """An event as the watch saw it: whether the person had said done to switching off just before; or a new visit."""

    event: Event | None
    proved: bool = False


@dataclass
class Reported:
    """A danger: which check told of it, whether it was made safe, whether somebody found it safe.

    One told of in words beside the questions is taken back by "none" alone, and by no other danger.
    """

    danger: str
    about: str
    made_safe: bool = False
    cleared: bool = False
    in_words: bool = False


@dataclass
class Plant:
    """What is so now. `keeping` is what keeps the plant off, by check: lifted by its repair or another answer alone."""

    role: str = ""
    another_role: bool = False
    tree: str = ""
    unit: str = ""
    state: str = "running"
    left: bool = False
    danger_asked: bool = False
    values: dict[str, str | float] = field(default_factory=dict)
    had_turn: set[str] = field(default_factory=set)
    done: set[str] = field(default_factory=set)
    cannot: set[str] = field(default_factory=set)
    barred: set[str] = field(default_factory=set)
    keeping: dict[str, str] = field(default_factory=dict)
    reports: list[Reported] = field(default_factory=list)

    @property
    def reader(self) -> str:
        """Who does what is asked for."""
        return "technician" if self.role == "field" else "owner"

    @property
    def at_the_pool(self) -> bool:
        """Whether somebody stands at the plant: at a counter all is told from memory."""
        return self.role in ("phone", "field")

    @property
    def standing(self) -> list[Reported]:
        """The dangers that nobody has found safe."""
        return [report for report in self.reports if not report.cleared]

    def take(self, noted: Noted) -> None:
        """Bring one thing that stands into the model."""
        event = noted.event
        if event is None:
            # Another visit: nobody knows what happened to a supply that was switched off.
            self.state = self.state if self.state == "running" else "unknown"
            self.left = False
        elif event.kind in ("made_safe", "switched_on", "found", "left"):
            self._switch(event, noted.proved)
        elif event.kind in ("answered", "corrected"):
            self._answer(event)
        elif event.kind in ("dont_know", "cant", "deferred"):
            self._no_answer(event)
        elif event.kind in ("repaired", "verified", "already_tried", "lifted"):
            self._repair(event)
        elif event.kind == "danger_reported":
            self._report(event.about, DANGER_QUESTION, in_words=True)
            self.danger_asked = True
        elif event.kind == "danger_cleared":
            self._clear(event)

    def _switch(self, event: Event, proved: bool) -> None:
        self.left = event.kind == "left"
        if event.kind == "made_safe" and event.about == DANGER_QUESTION:
            self.state = "off"
            for report in self.standing:
                report.made_safe = report.made_safe or event.value in (None, report.danger)
        elif event.kind == "made_safe":
            self.state = "isolated" if proved else "off"
        elif event.kind == "switched_on":
            self.state = "running"
        else:
            self.state = "running" if event.value in ("running", "on") else "off"

    def _answer(self, event: Event) -> None:
        about, value = event.about, event.value
        if about == "role":
            self.another_role = self.role not in ("", value)
            self.role = str(value)
        elif about == "unit":
            self.unit = str(value)
        elif about == "complaint":
            self.tree = str(value)
        elif about in plain.checks():
            check = plain.checks()[about]
            self.danger_asked |= about == DANGER_QUESTION
            self.values[about] = value if value is not None else ""
            self.had_turn.add(about)
            self.cannot.discard(about)
            self.keeping.pop(about, None)
            if value in check.keeps_off:
                self.keeping[about] = str(value)
            danger = check.reports.get(str(value))
            if value in check.not_looked_for:
                # That nobody has looked takes no danger back.
                return
            self.reports = [
                r
                for r in self.reports
                if r.cleared or r.about != about or r.danger == danger or (r.in_words and danger is not None)
            ]
            if danger is not None:
                self._report(danger, about)

    def _no_answer(self, event: Event) -> None:
        # What was found stays found: don't know, can't and later mend nothing.
        self.danger_asked |= event.about == DANGER_QUESTION
        self.had_turn.add(event.about)
        self.values.pop(event.about, None)
        self.cannot.discard(event.about)
        if event.kind == "cant":
            self.cannot.add(event.about)
            check = plain.checks().get(event.about)
            self.barred |= {check.needs} - {"nothing"} if check is not None else set()

    def _repair(self, event: Event) -> None:
        if event.kind == "lifted":
            self._lift(event.about)
        if event.kind == "already_tried":
            # Done before this job: how long ago what it changes was is known as well.
            self.done.add(event.about)
        if event.kind == "repaired" and event.value == "done":
            self.done.add(event.about)
            found = self.keeping.items()
            self.keeping = {c: a for c, a in found if not plain.mends(event.about, c, a, self.tree)}
        repair = plain.repairs()[event.about] if event.kind == "verified" else None
        if repair is not None and (event.value == "helped" or not repair.swapped_back):
            # The plant is another one: what the repair changed may be asked again.
            gone = [about for about in repair.ask_again if about in self.values]
            self.had_turn -= set(gone)
            for about in gone:
                del self.values[about]

    def _lift(self, about: str) -> None:
        """What could not be done can be done after all, and so can all with the same need."""
        checks = plain.checks()
        need = checks[about].needs if about in checks else ""
        back = (
            {name for name in self.cannot if name in checks and checks[name].needs == need}
            if need in self.barred
            else set()
        )
        self.had_turn -= back | {about}
        self.cannot -= back | {about}
        self.barred.discard(need)

    def _report(self, danger: str, about: str, in_words: bool = False) -> None:
        if all(report.danger != danger for report in self.standing):
            self.reports.append(Reported(danger, about, in_words=in_words))

    def _clear(self, event: Event) -> None:
        kind = plain.dangers()[event.about].kind
        may = _MAY_FIND_SAFE[kind] | ({"technician"} if self.role == "field" else set())
        for report in self.standing:
            if report.danger == event.about and report.made_safe and event.value in may:
                report.cleared = True


def standing(noted: Iterable[Noted]) -> list[Noted]:
    """What stands: each `taken_back` undoes the last answer or outcome before it, or the last note where it says so."""
    kept: list[Noted] = []
    for each in noted:
        if each.event is None or each.event.kind != "taken_back":
            kept.append(each)
            continue
        note = each.event.value == "noted"
        kinds = [(k, old.event.kind) for k, old in enumerate(kept) if old.event is not None]
        undone = [k for k, kind in kinds if (kind == "noted" if note else kind not in ALWAYS_STAYS)]
        if undone:
            del kept[undone[-1]]
    return kept


def plant_of(noted: Sequence[Noted]) -> Plant:
    """What all this amounts to."""
    plant = Plant()
    for each in standing(noted):
        plant.take(each)
    return plant
