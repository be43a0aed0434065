"""The card as a paper: the flowchart on a page or two, the checklist and the cautions behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.foundation.texts import language_in_use, say
from engine.knowledge.model import Knowledge
from engine.quantities.unit_systems import System
from reports.card.boxes import Box, Card
from reports.card.flowchart import flowcharts
from reports.card.wording import Wordings
from reports.document import Blanks, Block, CautionBox, Document, Heading, Items, NewPage, Paragraph

_BLANKS = (("name", 20), ("site", 24), ("date", 12), ("from", 8), ("to", 8))
"""What is written at the head of a card, and how much room it has in characters."""

_DONE_HERE = frozenset({"repair_here", "sell_and_treat", "wait", "nothing_to_repair"})
"""Decisions whose remedy is done at the pool and now."""


def card_document(knowledge: Knowledge, card: Card, shop: str, date: str, units: System = "metric") -> Document:
    """The paper for a technician without a device.

    Args:
        knowledge: what the card was made from.
        card: its boxes.
        shop: whose paper it is.
        date: the date that it bears, as ISO 8601.
        units: metric or US customary, for the limits of readings.
    """
    wordings = Wordings(knowledge, card, units)
    return Document(
        audience="technician",
        language=language_in_use(),
        shop=shop,
        date=date,
        job="",
        title=say("card.title", complaint=wordings.spoken(knowledge.trees[card.tree].wording)),
        blocks=tuple(_blocks(knowledge, card, wordings)),
        foot=say("card.foot", knowledge=knowledge.fingerprint),
        layout="card",
    )


def _blocks(knowledge: Knowledge, card: Card, wordings: Wordings) -> Iterator[Block]:
    numbers = _caution_numbers(knowledge, card)
    yield Paragraph(say("card.how_to_use"), "lead")
    yield Blanks(tuple((say(f"card.blanks.{name}"), width, "") for name, width in _BLANKS))
    yield from flowcharts(card, wordings, numbers)
    yield NewPage()
    yield Heading(say("card.checklist"))
    yield Items(tuple(_checklist(card, wordings, numbers)), "tick")
    yield Heading(say("card.cautions"))
    for name, number in numbers.items():
        caution = knowledge.cautions[name]
        yield CautionBox(name, caution.signal, f"C{number}. {wordings.spoken(caution.wording)}")
    yield Paragraph(say("card.limits", unit=wordings.spoken(wordings.unit.wording)), "small")


def _caution_numbers(knowledge: Knowledge, card: Card) -> dict[str, int]:
    """The cautions of all boxes, the gravest first as the knowledge has them, each with its number."""
    named = {name for box in card.boxes for name in box.cautions}
    return {name: nth for nth, name in enumerate((n for n in knowledge.cautions if n in named), start=1)}


def _checklist(card: Card, wordings: Wordings, numbers: Mapping[str, int]) -> Iterator[tuple[str, str]]:
    """Each box with how it is done; its ways are in the drawing, and what comes again is explained once."""
    explained: set[str] = set()
    # Ends without work or caution are whole in the drawing.
    for box in (box for box in card.boxes if wordings.how(box) or box.cautions):
        told = " ".join(f"C{numbers[name]}" for name in sorted(box.cautions, key=lambda name: numbers[name]))
        how = "" if box.kind == "check" and box.about in explained else wordings.how(box)
        work = box.mends_by or box.about
        head = say("card.box", number=box.number, title=wordings.title(box))
        parts = (f"{head.rstrip('.')}.", wordings.switching(box), how, told, wordings.reading(box))
        yield " ".join(part for part in parts if part), _aside(wordings, box, work in explained)
        explained.add(work)


def _aside(wordings: Wordings, box: Box, explained: bool) -> str:
    """The steps of a repair, told once; none for what is done on another visit or by somebody else."""
    here = box.kind == "repair" or box.about in _DONE_HERE
    return wordings.steps(box) if here and not explained else ""
