"""What the boxes of a card say, in the technician's words: titles, answers with their limits, what repairs take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge.model import Check, Knowledge, UnitProfile, Wording
from engine.quantities.quantity import figure
from engine.quantities.unit_systems import System, in_system, show_in, shown_in
from reports.card.boxes import Box, Card, Way
from reports.card.branches import HELPED, NOT_HELPED, NOT_KNOWN
from reports.phrases import amount_in_words, whole_work

_TRIED = 0.5
"""A repair that helps less often than this is called a try."""
_MANY = 3
"""From so many answers on, the way that most of them take is called `anything else`."""


@dataclass(frozen=True)
class Wordings:
    """The words for one card, from the knowledge that it was made from."""

    knowledge: Knowledge
    card: Card
    units: System = "metric"

    @property
    def unit(self) -> UnitProfile:
        """The unit profile of the card."""
        return self.knowledge.units[self.card.unit]

    def title(self, box: Box) -> str:
        """What to do or look at, in a few words."""
        match box.kind:
            case "check":
                return self.spoken(self.knowledge.checks[box.about].wording)
            case "repair":
                named = "repair" if box.helps >= _TRIED else "last"
                return say(f"card.{named}", title=self.spoken(self.knowledge.repairs[box.about].wording))
            case "hand_on":
                decision = say(f"card.decisions.{box.about}")
                repair = self.knowledge.repairs.get(box.repair or "")
                return (
                    decision
                    if repair is None
                    else say("card.hand_on", decision=decision, title=self.spoken(repair.wording))
                )
            case "safe":
                return say("card.safe")
            case "done":
                return say("card.done")
            case "help":
                return say("card.help")

    def switching(self, box: Box) -> str:
        """The switching that must come first; empty for none."""
        return say(f"card.before.{box.before}") if box.before else ""

    def before(self, box: Box) -> str:
        """The switching that must come first, and what is looked at first; empty for none."""
        names = "; ".join(self.spoken(self.knowledge.checks[name].wording) for name in box.first)
        first = say("card.first", checks=names) if names else ""
        return " ".join(part for part in (self.switching(box), first) if part)

    def left(self, box: Box) -> str:
        """The causes that are left where it is handed on; empty for none."""
        named = (self.knowledge.causes[name] for name in box.causes if name in self.knowledge.causes)
        causes = "; ".join(self.spoken(cause.wording).rstrip(".") for cause in named)
        return say("card.left", causes=causes) if causes else ""

    def reading(self, box: Box) -> str:
        """The line to write a reading on, or when a repair was done; empty for an end."""
        if box.kind == "repair":
            return say("card.done_at")
        if box.kind != "check":
            return ""
        return say("card.reading", unit=self.unit_of(self.knowledge.checks[box.about])).replace("  ", " ")

    def unit_of(self, check: Check) -> str:
        """The unit in which a reading of a check is written; empty for what has none."""
        return in_system(1.0, check.unit, self.units)[1] if check.is_number and check.unit else ""

    def ways(self, box: Box, short: bool = False) -> tuple[tuple[str, Way], ...]:
        """The ways out, each with the answers that take it; `short` sums up the way that many answers take."""
        if short and len(box.ways) == 1 and len(box.ways[0].answers) > 1:
            return ((say("card.any_answer"), box.ways[0]),)
        many = max(box.ways, key=lambda way: len(way.answers), default=None)
        return tuple(
            (
                say("card.otherwise")
                if short and way is many and len(way.answers) >= _MANY
                else self.answers(box, way.answers),
                way,
            )
            for way in box.ways
        )

    def place(self, box: Box, answer: str) -> int:
        """Where an answer stands in its check, as the knowledge lists them; not knowing stands last."""
        check = self.knowledge.checks.get(box.about) if box.kind == "check" else None
        listed = [HELPED, NOT_HELPED] if check is None else [each.id for each in check.answers]
        return listed.index(answer) if answer in listed else len(listed)

    def ways_told(self, box: Box) -> str:
        """All ways out of a box in one line."""
        return "; ".join(say("card.way", answers=answers, goal=way.goal) for answers, way in self.ways(box))

    def how(self, box: Box) -> str:
        """How a check is done, or what a repair takes; empty where there is nothing to say."""
        if box.kind == "check":
            return self.spoken(self.knowledge.checks[box.about].how)
        repair = self.knowledge.repairs.get(box.mends_by or "")
        if repair is None:
            return ""
        parts = ", ".join(
            say(
                "card.part",
                name=self.spoken(self.knowledge.parts[need.part].wording),
                amount=amount_in_words(need.amount),
            )
            for need in repair.parts
        )
        fields = {
            "who": ", ".join(say(f"card.who.{who}") for who in repair.who),
            "minutes": figure(repair.minutes),
            "plant": say(f"card.plant.{repair.plant}"),
        }
        return say("card.work_parts", parts=parts, **fields) if parts else say("card.work", **fields)

    def steps(self, box: Box) -> str:
        """The steps of a repair, or of the remedy that is handed on; empty for none."""
        repair = self.knowledge.repairs.get(box.mends_by or "")
        return "" if repair is None else whole_work(repair, "field", self.units)

    def answers(self, box: Box, answers: Sequence[str]) -> str:
        """Answers or outcomes in one line, neighbouring bands of a number as one."""
        fixed = {name: say(f"card.{name}") for name in (NOT_KNOWN, HELPED, NOT_HELPED)}
        check = self.knowledge.checks.get(box.about) if box.kind == "check" else None
        if check is None:
            return ", ".join(fixed[answer] for answer in answers)
        if check.is_number:
            words = self._bands(check, answers)
        else:
            words = [self.spoken(answer.wording) for answer in check.answers if answer.id in answers]
        return ", ".join((*words, *([fixed[NOT_KNOWN]] if NOT_KNOWN in answers else [])))

    def _bands(self, check: Check, answers: Sequence[str]) -> list[str]:
        """Bands of a number by their limits, neighbours as one."""
        runs: list[list[int]] = []
        for place, band in enumerate(check.bands):
            if band.id in answers:
                if runs and runs[-1][-1] == place - 1:
                    runs[-1].append(place)
                else:
                    runs.append([place])
        return [self._run(check, run) for run in runs]

    def _run(self, check: Check, run: Sequence[int]) -> str:
        low = check.bands[run[0] - 1].under if run[0] else None
        high = check.bands[run[-1]].under
        if low is None and high is None:
            return say("card.any_answer")
        if low is None:
            assert high is not None
            return say("card.under", high=self._figure(check, high.value(self.unit)))
        if high is None:
            return say("card.from", low=self._figure(check, low.value(self.unit)))
        figures = (self._figure(check, low.value(self.unit)), self._figure(check, high.value(self.unit)))
        return say("card.between", low=figures[0], high=figures[1])

    def _figure(self, check: Check, value: float) -> str:
        return show_in(value, check.unit or "", self.units)

    def spoken(self, wording: Wording) -> str:
        """A wording as a technician is spoken to, its figures in the units of the card."""
        return shown_in(wording.technician, self.units)
