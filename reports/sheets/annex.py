"""What stands behind the technician's two pages: further work, evidence, workings, movement, pictures, the plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from engine.foundation.texts import said, say
from reports.charts.movement import movement_picture
from reports.charts.plant import place_picture
from reports.charts.ranges import ranges_picture
from reports.document import Block, Heading, Items, Paragraph, Table
from reports.phrases import joined, lowered, percent
from reports.sheets.sections import amounts_once, headed, listed, minded, named_elsewhere, with_aside
from reports.sheets.workpieces import work_blocks
from reports.view.model import CauseLine, DerivedLine, FoundLine, JobView, PartLine, PlanLine


def annexed(view: JobView) -> Iterator[Block]:
    """All that is not needed to do the work, told in the technician's words."""
    named, told = said("technician.sections"), view.advice
    yield Paragraph(say("technician.annex_lead"), "small")
    yield from headed(named["why"], listed(view.decision.why))
    further = tuple(work_blocks(view.actions, ("otherwise",)))
    yield from headed(
        named["further"], *further, with_aside([_later(part) for part in view.parts if part.later], "tick")
    )
    ordering = (f"{part.name}: {part.before_ordering}" for part in view.parts if part.before_ordering)
    yield from headed(named["ordering"], listed(ordering))
    yield from headed(named["answers"], _answers(view.found))
    yield from headed(named["derived"], listed(_derived(line) for line in view.derived))
    yield from headed(named["evidence"], *_evidence(view.causes))
    yield from headed(named["not_known"], with_aside(tuple(_not_known(view))))
    plan = [(_planned(line), minded(line.amount)) for line in view.plan]
    yield from headed(named["plan"], with_aside(plan))
    yield from headed(named["trades"], listed((*told.hands_off, *told.local_code)))
    yield from _working(view)


def _later(part: PartLine) -> tuple[str, str]:
    fields = {"part": part.name, "amount": part.amount.text, "source": part.source, "work": part.work}
    return say("technician.work.part_later", **fields), minded(part.amount)


def _answers(lines: Sequence[FoundLine]) -> Table | None:
    """Every answer with who or what gave it, as it was typed, and what it means on this unit."""
    if not lines:
        return None
    columns = (say("technician.readings.asked"), say("technician.readings.said"), say("technician.readings.by"))
    return Table(columns, tuple((line.asked, _found(line), line.given_by) for line in lines))


def _found(line: FoundLine) -> str:
    verdict = f" ({line.verdict})" if line.verdict else ""
    typed = say("technician.readings.typed", typed=line.typed) if line.typed else ""
    unit_says = f". {say('technician.readings.on_this_unit', said=line.unit_says)}" if line.unit_says else ""
    return f"{line.said}{verdict}{typed}{unit_says}"


def _derived(line: DerivedLine) -> str:
    if line.figure:
        return say("technician.readings.derived_figure", about=line.about, said=line.said, figure=line.figure)
    return say("technician.readings.derived", about=line.about, said=line.said)


def _evidence(causes: Sequence[CauseLine]) -> Iterator[Block]:
    """The causes by their numbers, and what each finding says for and against each, the weightiest findings first."""
    ranked = [say("technician.ranking.named", cause=cause.text, percent=percent(cause.probability)) for cause in causes]
    yield from filter(None, (listed(ranked, "number"),))
    weights = {
        (weight.finding, place): weight
        for place, cause in enumerate(causes)
        for weight in (*cause.speaks_for, *cause.speaks_against)
    }
    if not weights:
        return
    told = {weight.finding: weight.said for weight in weights.values()}
    heaviest = {finding: max(abs(w.decibans) for w in weights.values() if w.finding == finding) for finding in told}
    rows = []
    for finding in sorted(told, key=lambda name: -heaviest[name]):
        cells = [weights.get((finding, place)) for place in range(len(causes))]
        rows.append((told[finding], *("" if cell is None else f"{cell.decibans:+.0f}" for cell in cells)))
    numbers = tuple(str(place) for place in range(1, len(causes) + 1))
    yield Table((say("technician.ranking.finding"), *numbers), tuple(rows), tuple(range(1, len(causes) + 1)))
    yield Paragraph(say("technician.ranking.causes"), "small")


def _not_known(view: JobView) -> Iterator[tuple[str, str]]:
    for line in view.would_help:
        yield say("technician.work.helps", asked=line.asked), line.how
    for asked in named_elsewhere(view):
        yield asked, ""


def _working(view: JobView) -> Iterator[Block]:
    """Below the signatures: how each figure was worked out, where the fault sits, how the answers moved the ranking."""
    amounts = ((f"{name}: {amount.text}", amount.working) for name, amount in amounts_once(view))
    plan = ((_planned(line), line.amount.working) for line in view.plan if line.amount.working)
    parts: list[tuple[str, Iterable[tuple[str, str]]]] = [
        (say("technician.working.evidence"), ((_derived(line), _from(view, line)) for line in view.derived)),
        (say("technician.working.amounts"), amounts),
        (say("technician.working.plan"), plan),
    ]
    shown: list[Block] = []
    for title, lines in parts:
        found = tuple(lines)
        shown += [Heading(title, 3), Items(found)] if found else []
    shown += [
        picture
        for picture in (place_picture(view), ranges_picture(view), movement_picture(view))
        if picture is not None
    ]
    yield from headed(say("technician.sections.working"), *shown)


def _planned(line: PlanLine) -> str:
    return f"{line.about}: {line.amount.text}"


def _from(view: JobView, line: DerivedLine) -> str:
    """From which readings a finding was worked out, what was taken as usual, and which readings it speaks for."""
    told = [say("technician.readings.readings_from", readings=joined(line.readings))]
    if line.assumed:
        told.append(say("technician.readings.as_usual", readings=joined(line.assumed)))
    replaced = [lowered(found.asked) for found in view.found if found.counted_in == line.about]
    if replaced:
        told.append(say("technician.readings.in_place_of", readings=joined(replaced)))
    return " ".join(told)
