"""The workings of a job: ranking, evidence, what was told and tested, what is not known; for whoever wants to check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import say
from reports.charts.plant import place_picture
from reports.document import Block, Heading, Items, Paragraph, Table
from reports.phrases import joined, percent, sentence
from reports.sheets.sections import aside_of, headed, listed, named_elsewhere, with_aside
from reports.view.model import DerivedLine, FoundLine, JobView, PlanLine


def workings(view: JobView) -> Iterator[Block]:
    """Everything behind a job's decision, in the words of its view."""
    if view.firm:
        yield Paragraph(view.firm)
    yield from _ranking(view)
    yield from _why(view)
    yield from _found(view.found)
    yield from headed(say("shop.derived.heading"), with_aside([_worked_out(line) for line in view.derived]), level=3)
    if view.conflict is not None:
        yield from headed(say("shop.conflict"), listed(view.conflict.again), level=3)
    yield from headed(say("shop.unknown"), listed(named_elsewhere(view)), level=3)
    not_done = [(line.asked, line.reason) for line in view.not_done]
    yield from headed(say("shop.not_done.heading"), with_aside(not_done), level=3)
    yield from headed(say("shop.notes"), listed(view.notes), level=3)
    yield from headed(say("shop.plan.heading"), with_aside([_planned(line) for line in view.plan]), level=3)


def _ranking(view: JobView) -> Iterator[Block]:
    if not view.causes:
        return
    rows = tuple((cause.text, percent(cause.probability), cause.chance) for cause in view.causes)
    yield Heading(say("shop.ranking.heading"), 3)
    columns = (say("shop.ranking.cause"), say("shop.ranking.chance"), say("shop.ranking.words"))
    yield Table(columns, rows, right=(1,))
    drawn = place_picture(view)
    if drawn is not None:
        yield drawn
    for pair in view.together:
        yield Paragraph(say("shop.ranking.together", pair=pair))


def _why(view: JobView) -> Iterator[Block]:
    """What speaks for and against each cause, heaviest first, with its strength in words."""
    weighed = [cause for cause in view.causes if cause.speaks_for or cause.speaks_against]
    if weighed:
        yield Heading(say("shop.why.heading"), 3)
    for cause in weighed:
        lines = [say("shop.why.for", strength=each.strength, found=each.said) for each in cause.speaks_for]
        lines += [say("shop.why.against", strength=each.strength, found=each.said) for each in cause.speaks_against]
        yield Paragraph(cause.text)
        yield Items(tuple((line, "") for line in lines))


def _found(lines: Sequence[FoundLine]) -> Iterator[Block]:
    if lines:
        yield Heading(say("shop.found.heading"), 3)
        columns = (say("shop.found.asked"), say("shop.found.said"), say("shop.found.by"))
        yield Table(columns, tuple((line.asked, _answer(line), line.given_by) for line in lines))


def _answer(line: FoundLine) -> str:
    text = line.said
    if line.verdict:
        text = say("shop.found.verdict", said=text, verdict=line.verdict)
    if line.typed:
        text = say("shop.found.typed", said=text, typed=line.typed)
    return say("shop.found.unit_says", said=text, unit=line.unit_says) if line.unit_says else text


def _worked_out(line: DerivedLine) -> tuple[str, str]:
    """A finding with its figure and the readings that it is from, and what was taken as usual."""
    text = say("shop.derived.figure", said=line.said, figure=line.figure) if line.figure else line.said
    readings = joined(line.readings, say("shop.head.and"))
    assumed = joined(line.assumed, say("shop.head.and"))
    told = say("shop.derived.line", about=line.about, said=text, readings=readings)
    return told, say("shop.derived.assumed", assumed=assumed) if assumed else ""


def _planned(line: PlanLine) -> tuple[str, str]:
    return sentence(say("shop.plan.line", about=line.about, amount=line.amount.text)), aside_of(line.amount)
