"""The card as one page to tap through on a telephone: a screen a box, led on by links, without script or network."""

from __future__ import annotations

from dataclasses import dataclass

from engine.foundation.texts import language_in_use, say
from engine.knowledge.model import Knowledge
from engine.quantities.unit_systems import System
from reports.card.boxes import Box, Card
from reports.card.wording import Wordings
from reports.document import CautionBox
from reports.renderers.environment import markup_environment


@dataclass(frozen=True)
class _Screen:
    """One box as a screen: the cautions stand before what is done, and every answer is a link."""

    number: int
    title: str
    before: str
    cautions: tuple[CautionBox, ...]
    how: str
    steps: str
    left: str
    note: str
    answers: tuple[tuple[str, int], ...]
    back: tuple[int, ...]


def card_page(knowledge: Knowledge, card: Card, shop: str, date: str, units: System = "metric") -> str:
    """The card as one HTML file.

    Args:
        knowledge: what the card was made from.
        card: its boxes.
        shop: whose card it is.
        date: the date that it bears, as ISO 8601.
        units: metric or US customary, for the limits of readings.
    """
    wordings = Wordings(knowledge, card, units)
    title = say("card.title", complaint=wordings.spoken(knowledge.trees[card.tree].wording))
    limits = say("card.limits", unit=wordings.spoken(wordings.unit.wording))
    return (
        markup_environment()
        .get_template("card_page.html.j2")
        .render(
            language=language_in_use(),
            title=title,
            shop=shop,
            date=date,
            limits=limits,
            foot=say("card.foot", knowledge=knowledge.fingerprint),
            screens=[_screen(knowledge, card, wordings, box) for box in card.boxes],
        )
    )


def _screen(knowledge: Knowledge, card: Card, wordings: Wordings, box: Box) -> _Screen:
    cautions = (knowledge.cautions[name] for name in knowledge.cautions if name in box.cautions)
    answers = ((wordings.answers(box, (answer,)), way.goal, answer) for way in box.ways for answer in way.answers)
    return _Screen(
        number=box.number,
        title=wordings.title(box),
        before=wordings.before(box),
        cautions=tuple(CautionBox(each.id, each.signal, wordings.spoken(each.wording)) for each in cautions),
        how=wordings.how(box),
        steps=wordings.steps(box),
        left=wordings.left(box),
        note=_note(wordings, box),
        answers=tuple((text, goal) for text, goal, _ in sorted(answers, key=lambda each: wordings.place(box, each[2]))),
        back=tuple(other.number for other in card.boxes if any(way.goal == box.number for way in other.ways)),
    )


def _note(wordings: Wordings, box: Box) -> str:
    """What stands at the field for a note; empty for none."""
    if box.kind == "check":
        unit = wordings.unit_of(wordings.knowledge.checks[box.about])
        return say("card.page.reading_in", unit=unit) if unit else say("card.page.reading")
    return say("card.page.done_at") if box.kind == "repair" else ""
