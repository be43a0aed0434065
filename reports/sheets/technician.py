"""The technician's sheet: what was found, what is likely, the work in order; the workings at the end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from engine.foundation.texts import language_in_use, said, say
from reports.charts.movement import movement_picture
from reports.charts.plant import place_picture
from reports.charts.ranges import ranges_picture
from reports.charts.ranking import ranking_picture
from reports.document import Blanks, Block, Document, Heading, Items, Pairs, Paragraph, Table, Work
from reports.phrases import either, joined, lowered, percent, sentence
from reports.sheets.sections import amounts_once, cautions, headed, listed, named_elsewhere, with_aside
from reports.view.model import Action, Amount, CauseLine, DerivedLine, FoundLine, JobView, PartLine, PlanLine


def technician_sheet(view: JobView) -> Document:
    """The sheet for whoever works at the plant, signed by them and by the owner.

    Args:
        view: the job, told in the technician's words.
    """
    head = view.head
    return Document(
        audience="technician",
        language=language_in_use(),
        shop=head.shop,
        date=head.date,
        job=head.job,
        title=say("technician.title"),
        blocks=tuple(_blocks(view)),
        foot=say("technician.foot_opened", knowledge=head.knowledge, opened=head.opened)
        if head.opened
        else say("technician.foot", knowledge=head.knowledge),
    )


def _blocks(view: JobView) -> Iterator[Block]:
    named = said("technician.sections")
    yield from _danger(view)
    yield _head(view)
    yield from headed(named["cut_short"], *(Paragraph(text) for text in view.cut_short))
    yield from headed(named["decision"], *_decision(view))
    yield from headed(named["found"], _readings([line for line in view.found if not line.left]))
    yield from headed(named["derived"], listed(_derived(line) for line in view.derived))
    if view.conflict is not None:
        yield from headed(
            named["conflict"], Paragraph(say("technician.readings.again")), listed(view.conflict.again, "number")
        )
    yield from _ranking(view)
    yield from headed(named["cautions"], *cautions(view.cautions, view.in_a_line))
    yield from headed(named["work"], *_work(view.actions))
    yield from headed(named["parts"], with_aside([_part(part) for part in view.parts], "tick"))
    ordering = (f"{part.name}: {part.before_ordering}" for part in view.parts if part.before_ordering)
    yield from headed(named["ordering"], listed(ordering))
    yield from _afterwards(view)
    yield from _signed(view)
    yield from _working(view)


def _danger(view: JobView) -> Iterator[Block]:
    if view.danger:
        title = say("technician.sections.danger" if view.advice.first else "technician.sections.danger_open")
        yield from headed(title, Paragraph(view.danger, "lead"), listed(view.advice.first, "number"))
    yield from headed(say("technician.sections.danger_record"), listed(view.danger_record))


def _head(view: JobView) -> Pairs:
    head, not_said = view.head, say("technician.head.not_said")
    unit = say("technician.head.unit_assumed", unit=head.unit) if head.unit_assumed and head.unit else head.unit
    return Pairs(
        (
            (say("technician.head.complaint"), head.complaint or not_said),
            (say("technician.head.unit"), unit or not_said),
        )
    )


def _decision(view: JobView) -> Iterator[Block | None]:
    yield Paragraph(sentence(view.decision.title), "lead")
    yield Paragraph(view.decision.text)
    yield listed(view.decision.why)


def _readings(lines: Sequence[FoundLine]) -> Table | None:
    """Readings with what they were judged to be and who or what gave them."""
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


def _ranking(view: JobView) -> Iterator[Block]:
    if not view.causes:
        return
    yield Heading(say("technician.sections.ranking_before" if view.solved else "technician.sections.ranking"))
    drawn = ranking_picture(view)
    if drawn is not None:
        yield drawn
    for pair in view.together:
        yield Paragraph(say("technician.ranking.both", pair=pair))
    yield from headed(say("technician.sections.evidence"), *_evidence(view.causes))


def _evidence(causes: Sequence[CauseLine]) -> Iterator[Block]:
    """What each finding says for and against each cause, the weightiest findings first."""
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


def _work(actions: Sequence[Action]) -> Iterator[Block]:
    before = ""
    for number, action in enumerate(actions, start=1):
        if action.when == "also":
            yield Paragraph(say("technician.work.also"))
        elif action.when == "otherwise" and before != "otherwise":
            yield Paragraph(say("technician.work.otherwise"))
        before = action.when
        title = say("technician.work.title", title=action.title, percent=percent(action.probability))
        yield Work(number, title, tuple(_about(action)), action.steps, action.done_when, ticked=True)


def _about(action: Action) -> Iterator[str]:
    plant = said("technician.work.plant")[action.plant]
    who = either(action.who)
    yield sentence(
        say("technician.work.about", who=who, minutes=action.minutes, plant=plant, shows=action.result_shows)
    )
    if action.when != "first":
        yield sentence(action.by)
    for amount in action.amounts:
        yield " ".join(part for part in (say("technician.work.amount", amount=amount.text), _minded(amount)) if part)
    if action.lead:
        yield action.lead


def _minded(amount: Amount) -> str:
    """What is missing for an amount, and what to mind with it."""
    missing = say("technician.work.missing", missing=joined(amount.missing)) if amount.missing else ""
    return " ".join(part for part in (missing, amount.care) if part)


def _part(part: PartLine) -> tuple[str, str]:
    fields = {"part": part.name, "amount": part.amount.text, "source": part.source, "work": part.work}
    text = say("technician.work.part_later", **fields) if part.later else say("technician.work.part", **fields)
    return text, _minded(part.amount)


def _afterwards(view: JobView) -> Iterator[Block]:
    """What was done and verified, how it was left, and what holds until it works."""
    named, told = said("technician.sections"), view.advice
    done = (
        say("technician.work.done", title=line.title, outcome=line.outcome, verified=line.verified)
        for line in view.done
    )
    yield from headed(named["done"], listed(done))
    left = _readings([line for line in view.found if line.left])
    blank = (Paragraph(say("technician.readings.none_left")), *_by_hand())
    if left or not view.advice.first:
        yield from headed(named["left"], *((left,) if left else blank))
    yield from headed(named["bathing" if view.solved else "meanwhile"], listed(told.meanwhile))
    yield from headed(named["return"], listed(told.come_back))
    yield from headed(named["waiting"], listed(line.text for line in view.waiting))
    yield from headed(named["not_known"], with_aside(tuple(_not_known(view))))
    yield from headed(named["not_done"], with_aside([(line.asked, line.reason) for line in view.not_done]))
    yield from headed(named["notes"], listed(view.notes))
    plan = [(_planned(line), _minded(line.amount)) for line in view.plan]
    yield from headed(named["plan"], with_aside(plan))
    yield from headed(named["trades"], listed((*told.hands_off, *told.local_code)))


def _by_hand() -> tuple[Blanks, Blanks]:
    """Places for readings of the water and of the cell."""
    named = said("technician.blanks")
    water = ((named["salt"], 6, "ppm"), (named["chlorine"], 6, "ppm"), (named["ph"], 6, ""))
    return Blanks(water), Blanks(((named["current"], 6, "A"), (named["voltage"], 6, "V")))


def _not_known(view: JobView) -> Iterator[tuple[str, str]]:
    for line in view.would_help:
        yield say("technician.work.helps", asked=line.asked), line.how
    for asked in named_elsewhere(view):
        yield asked, ""


def _signed(view: JobView) -> tuple[Block, ...]:
    named = said("technician.blanks")
    day = (named["date"], 12, "")
    return headed(
        say("technician.sections.signed"),
        Items(((named["safe"], ""),), "tick"),
        Blanks(((named["because"], 60, ""), *(() if view.solved else ((named["return"], 14, ""),)))),
        Blanks(((named["technician"], 26, ""), day, (named["time"], 8, ""), (named["owner"], 26, ""), day)),
    )


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
