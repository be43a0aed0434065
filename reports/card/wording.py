"""What the boxes of a card say, in the technician's words: titles, answers with their limits, what repairs take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge.model import Check, Knowledge, UnitProfile, Wording
from engine.quantities.quantity import figure
from engine.quantities.unit_systems import System, show_in, shown_in
from reports.card.branches import HELPED, NOT_HELPED, NOT_KNOWN
from reports.card.unroll import Box, Card, Way
from reports.phrases import amount_in_words, whole_work

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
                return say("card.repair", title=self.spoken(self.knowledge.repairs[box.about].wording))
            case "last":
                return say("card.last", title=self.spoken(self.knowledge.repairs[box.about].wording))
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

    def before(self, box: Box) -> str:
        """The switching that must come first; empty for none."""
        return say(f"card.before.{box.before}") if box.before else ""

    def ways(self, box: Box, short: bool = False) -> tuple[tuple[str, Way], ...]:
        """The ways out, each with the answers that take it; `short` sums up the way that many answers take."""
        if short and len(box.ways) == 1 and len(box.ways[0].answers) > 1:
            return ((say("card.any_answer"), box.ways[0]),)
        many = max(box.ways, key=lambda way: len(way.answers), default=None)
        return tuple(
            (
                say("card.otherwise")
                if short and way is many and len(way.answers) >= _MANY
                else self._answers(box, way.answers),
                way,
            )
            for way in box.ways
        )

    def ways_told(self, box: Box) -> str:
        """All ways out of a box in one line."""
        return "; ".join(say("card.way", answers=answers, goal=way.goal) for answers, way in self.ways(box))

    def how(self, box: Box) -> str:
        """How a check is done, or what a repair takes; empty where there is nothing to say."""
        if box.kind == "check":
            return self.spoken(self.knowledge.checks[box.about].how)
        repair = self.knowledge.repairs.get(box.about if box.kind in ("repair", "last") else box.repair or "")
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
        repair = self.knowledge.repairs.get(box.about if box.kind in ("repair", "last") else box.repair or "")
        return "" if repair is None else whole_work(repair, "field", self.units)

    def _answers(self, box: Box, answers: Sequence[str]) -> str:
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
