"""The workings of a job: ranking, evidence, what was told and tested, what is not known; for whoever wants to check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import say
from reports.charts.plant import place_picture
from reports.document import Block, Heading, Items, Paragraph, Table
from reports.phrases import joined, percent, sentence
from reports.view.model import DerivedLine, FoundLine, JobView


def workings(view: JobView) -> Iterator[Block]:
    """Everything behind a job's decision, in the words of its view."""
    yield from _ranking(view)
    yield from _why(view)
    yield from _found(view.found)
    yield from _derived(view.derived)
    yield from _conflict(view)
    yield from _unknown(view)
    if view.not_done:
        yield Heading(say("shop.not_done.heading"), 3)
        yield Items(tuple((line.asked, line.reason) for line in view.not_done))
    yield from _listed(say("shop.notes"), view.notes)
    yield from _plan(view)


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


def _derived(lines: Sequence[DerivedLine]) -> Iterator[Block]:
    if not lines:
        return
    items = []
    for line in lines:
        text = say("shop.derived.figure", said=line.said, figure=line.figure) if line.figure else line.said
        readings = joined(line.readings, say("shop.head.and"))
        assumed = joined(line.assumed, say("shop.head.and"))
        items.append(
            (
                say("shop.derived.line", about=line.about, said=text, readings=readings),
                say("shop.derived.assumed", assumed=assumed) if assumed else "",
            )
        )
    yield Heading(say("shop.derived.heading"), 3)
    yield Items(tuple(items))


def _conflict(view: JobView) -> Iterator[Block]:
    if view.conflict is not None:
        yield from _listed(say("shop.conflict"), view.conflict.again)


def _unknown(view: JobView) -> Iterator[Block]:
    asked = {line.asked for line in view.would_help}
    yield from _listed(say("shop.unknown"), [line for line in view.not_known if line not in asked])


def _plan(view: JobView) -> Iterator[Block]:
    items = []
    for line in view.plan:
        missing = joined(line.amount.missing, say("shop.head.and"))
        lacks = say("shop.now.missing", missing=missing) if missing else ""
        aside = " ".join(text for text in (line.amount.working, line.amount.care, lacks) if text)
        items.append((sentence(say("shop.plan.line", about=line.about, amount=line.amount.text)), aside))
    if items:
        yield Heading(say("shop.plan.heading"), 3)
        yield Items(tuple(items))


def _listed(title: str, texts: Sequence[str]) -> Iterator[Block]:
    if texts:
        yield Heading(title, 3)
        yield Items(tuple((text, "") for text in texts))
