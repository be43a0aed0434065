"""The technician's sheet: two pages of what to do, to take, to read, to tell and to sign; all else in its annex."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import language_in_use, said, say
from engine.quantities.quantity import show_quantity
from engine.session.decisions import NOT_YET
from reports.charts.ranking import ranking_picture
from reports.document import Blanks, Block, Document, Items, Pairs, Paragraph, Table
from reports.page_fit import TWO_CLOSE, lines_taken
from reports.phrases import first_sentence, joined, lowered, percent, sentence, when_it_shows
from reports.sheets.annex import annexed
from reports.sheets.record import part_taken, times, whose
from reports.sheets.sections import behind, cautions, headed, listed, minded, with_aside
from reports.sheets.workpieces import work_blocks, work_title
from reports.view.model import Action, Amount, CauseLine, FoundLine, JobView, PartLine

_BLANK = "______"
"""Where a reading is written in by hand."""
_NO_RANKING, _LESS_TO_MIND, _NO_MIND = 1, 2, 3
"""How much is left out where two pages would run over: the bars of the ranking, whose first cause the decision names,
then cautions in short but the gravest, and then that and amounts, which stand whole before the work and at it."""
_LIKELY_TOO = 0.5
"""From this probability on a second fault is named beside the first where both are worked at: judgement."""
_GRAVEST = 3
_SHORT_STEP = 140
"""Letters of a first step's first sentence at most, for it to stand where the sheet opens: judgement."""
"""So many cautions stand in the opening too, in short, the gravest first: judgement. All stand before the work too."""


_NO_WORK_YET = (*NOT_YET, "call_electrician")
"""Where this is decided no work of this paper comes first; what could, or what others do, is laid out below."""


def technician_sheet(view: JobView, annex: bool = False) -> Document:
    """The sheet for whoever works at the plant, two pages of A4 or Letter, signed by them and by the owner.

    Args:
        view: the job, told in the technician's words.
        annex: whether all else stands behind it: evidence, workings, pictures, the plan, further work.
    """
    head = view.head
    return Document(
        audience="technician",
        language=language_in_use(),
        shop=head.shop,
        date=head.date,
        job=head.job,
        title=say("technician.title"),
        blocks=(*_two_pages(view), *(behind(say("technician.annex"), tuple(annexed(view))) if annex else ())),
        foot=say("technician.foot_opened", knowledge=head.knowledge, opened=head.opened)
        if head.opened
        else say("technician.foot", knowledge=head.knowledge),
    )


def _two_pages(view: JobView) -> tuple[Block, ...]:
    """What fits two pages; of what would run over, what stands elsewhere on the sheet too is left out."""
    blocks: tuple[Block, ...] = ()
    for left_out in range(_NO_MIND + 1):
        blocks = tuple(_pages(view, left_out))
        if lines_taken(blocks) <= TWO_CLOSE:
            break
    return blocks


def _pages(view: JobView, left_out: int) -> Iterator[Block]:
    """What is done, taken, read, told and signed, in the order of the work."""
    named = said("technician.sections")
    yield from _danger(view)
    if view.danger and not view.advice.first:
        # Under what is looked for first, without a heading of its own: both are read at one glance.
        yield from (block for block in _decision(view, left_out) if block is not None)
    else:
        yield from headed(named["decision"], *_decision(view, left_out))
    yield _head(view)
    if not view.advice.first:
        # What is over stands behind what is to be done.
        yield from _recorded(view)
    if view.conflict is not None:
        yield from headed(
            named["conflict"], Paragraph(say("technician.readings.again")), listed(view.conflict.again, "number")
        )
    otherwise = _otherwise(view.actions)
    # What only serves work that may come stands with that work.
    may_come = [line for line in view.in_a_line if line.later] if otherwise else []
    now = [line for line in view.in_a_line if line not in may_come]
    yield from headed(named["cautions"], *cautions(view.cautions, now))
    yield from headed(
        named["work"],
        *work_blocks(view.actions, ("first", "also"), view.keep_away, bool(view.advice.stays_off)),
        *otherwise,
        *cautions((), may_come),
    )
    yield from headed(named["parts"], with_aside([_part(view, part) for part in view.parts if not part.later], "tick"))
    yield from headed(named["used"], listed(_used(view)))
    yield from _as_found_and_left(view)
    yield from _ranked(view) if left_out < _NO_RANKING else ()
    yield from _afterwards(view)
    yield from _signed(view)


def _danger(view: JobView) -> Iterator[Block]:
    if view.danger:
        title = say("technician.sections.danger" if view.advice.first else "technician.sections.danger_open")
        # What is only asked first is ticked off before any work.
        told = Paragraph(view.danger, "lead") if view.advice.first else listed([view.danger], "tick")
        yield from headed(title, told, listed(view.advice.first, "number"))
    if view.advice.first:
        yield from _recorded(view)


def _recorded(view: JobView) -> Iterator[Block]:
    named = said("technician.sections")
    yield from headed(named["danger_record"], listed(view.danger_record))


def _head(view: JobView) -> Pairs:
    head, not_said = view.head, say("technician.head.not_said")
    unit = say("technician.head.unit_assumed", unit=head.unit) if head.unit_assumed and head.unit else head.unit
    return Pairs(
        (
            (say("technician.head.complaint"), head.complaint or not_said),
            (say("technician.head.unit"), unit or not_said),
            *whose(view.record),
            *times(view.record),
        )
    )


def _decision(view: JobView, left_out: int) -> Iterator[Block | None]:
    """What is decided, done first, minded, left to others and taken along, and for what fault: a line each."""
    named = said("technician.short")
    also = [act for act in view.actions if act.when == "also"]
    rows = [(named["decision"], sentence(view.decision.title))]
    if view.solved and view.done:
        rows.append((named["done"], "; ".join(line.title.rstrip(".") for line in view.done)))
        rows.append((named["used"], "; ".join((*_used(view), _labour(view)))))
    rows += _to_do(view, also, left_out)
    if view.causes:
        # Two works for two faults that are likely there at once: both are named.
        faults = [cause for cause in view.causes[1:2] if also and cause.probability >= _LIKELY_TOO]
        rows.append((named["fault"], "; ".join(_fault(cause) for cause in (view.causes[0], *faults))))
    yield Pairs(tuple(rows))
    yield Paragraph(" ".join(part for part in (view.decision.text, view.advice.likelier, view.firm) if part))
    if view.decision.decision == "other_trade":
        # To whom it is handed on, as the line above says that it is named.
        yield from (Paragraph(why) for why in view.decision.why)
    yield from (Paragraph(text) for text in view.cut_short)


def _to_do(view: JobView, also: Sequence[Action], left_out: int) -> Iterator[tuple[str, str]]:
    """What is done first and then, with how much; what is minded at it and left to others, and what is taken along."""
    named = said("technician.short")
    act, decision = next(iter(view.actions), None), view.decision.decision
    handed_on = decision == "other_trade" and act is not None and act.decision != "other_trade"
    works = () if act is None or handed_on or decision in _NO_WORK_YET else (act, *also)
    # Where current may reach the water, or a part is missing, the work comes second.
    later = (view.keep_away and not view.advice.first) or decision == "order_and_return"
    if view.advice.opening and (later or not works):
        yield named["first"], view.advice.opening
    for number, each in enumerate(works):
        yield named["then" if later or number else "work"], _first(each)
        # A work often begins by proving that it is the right one, and then needs no part at all.
        begins = _in_few_words(each.steps[0]) if each.steps and not number else ""
        # Where danger is asked for first, two works leave it no room.
        if begins and len(begins) <= _SHORT_STEP and left_out < _NO_MIND and not (also and view.danger):
            yield named["begin"], begins
    if never := " ".join((*([view.advice.stays_off] if view.advice.stays_off else ()), *view.advice.answers)):
        yield named["never"], never
    amounts = [told for each in works for amount in each.amounts if (told := _how_much(amount))]
    if amounts and left_out < _NO_MIND:
        yield named["amount"], "; ".join(amounts)
    if takes := dict.fromkeys(taken for each in works for taken in each.takes):
        yield named["take"], "; ".join(takes)
    gravest = view.cautions[: _GRAVEST if left_out < _LESS_TO_MIND else 1] if works or later else ()
    if gravest and left_out < _NO_MIND:
        yield named["mind"], " ".join(line.in_short for line in gravest)
    yield from ((named["leave"], line) for line in view.advice.hands_off)


def _in_few_words(step: str) -> str:
    """How a step begins: its first sentence, of a long one what stands before its list."""
    begins = first_sentence(step)
    head, colon, _ = begins.partition(":")
    return sentence(head) if colon and len(begins) > _SHORT_STEP else begins


def _how_much(amount: Amount) -> str:
    """An amount of a work that is worked out, with what would make it sure; the water's balance is no such amount."""
    if not any(map(str.isdigit, amount.text)) or amount.care == say("view_amounts.balance.care"):
        return ""
    missing = joined(amount.missing)
    return say("technician.short.amount_lacks", amount=amount.text, missing=missing) if missing else amount.text


def _fault(cause: CauseLine) -> str:
    return say("technician.short.fault_is", cause=cause.text.rstrip("."), percent=percent(cause.probability))


def _first(act: Action) -> str:
    """The first work with its minutes; of work that shows later, the day on which somebody tests is a part of it."""
    told = {"title": act.title.rstrip("."), "minutes": act.minutes}
    if act.result_shows == when_it_shows("at once", ""):
        return say("technician.short.act", **told)
    return say("technician.short.act_later", when=act.result_shows, **told)


def _otherwise(actions: Sequence[Action]) -> tuple[Block, ...]:
    """What is done only if the first work does not help, or by whoever takes it on, by name; its steps: the annex."""
    later = listed(work_title(action) for action in actions if action.when == "otherwise")
    above = "otherwise" if any(action.when == "first" for action in actions) else "handed_on"
    return () if later is None else (Paragraph(say(f"technician.work.{above}")), later)


def _part(view: JobView, part: PartLine) -> tuple[str, str]:
    """A part with where it comes from, and what it is for where that is not the only work."""
    works = [act.title for act in view.actions if act.when != "otherwise"]
    fields = {"part": part.name, "amount": part.amount.text, "source": part.source}
    if works == [part.work]:
        return say("technician.work.part_of_all", **fields), minded(part.amount)
    return say("technician.work.part", work=part.work, **fields), minded(part.amount)


def _used(view: JobView) -> Iterator[str]:
    """Parts that were used; that there were none where something was mended without."""
    yield from (part_taken(part) for part in view.record.parts)
    if view.solved and not view.record.parts:
        yield say("technician.work.none_used")


def _labour(view: JobView) -> str:
    """The time of the work, or that nobody recorded it: a bill is written by it."""
    minutes = view.record.labour
    if minutes is None:
        return lowered(say("recording.labour_open"))
    return say("technician.short.labour", minutes=show_quantity(minutes, "min"))


def _as_found_and_left(view: JobView) -> Iterator[Block]:
    """Readings as found and as left side by side, with what they should be; what was not read again is left blank.

    What the first work is verified by has its line too, if nobody has read it yet.
    """
    found = {line.check: line for line in view.found if not line.left}
    left = {line.check: line for line in view.found if line.left}
    rows = []
    for check in dict.fromkeys((*found, *left)):
        line = found.get(check) or left[check]
        blank = _BLANK if line.limits and not view.advice.first else ""
        cells = (_said(found[check]) if check in found else "", _said(left[check]) if check in left else blank)
        rows.append((line.asked, *cells, line.limits))
    rows += [(line.asked, "", _BLANK, line.limits) for line in view.to_read if not view.advice.first]
    nowhere = not left and not any(line.limits for line in (*found.values(), *view.to_read))
    by_hand = nowhere and not view.advice.first
    both = by_hand or any(row[2] for row in rows)
    yield from headed(
        say(f"technician.sections.{'readings' if both else 'readings_found'}"),
        *_readings(rows),
        *((Paragraph(say("technician.readings.none_left")), *_by_hand()) if by_hand else ()),
    )


def _readings(rows: Sequence[tuple[str, str, str, str]]) -> Iterator[Block]:
    """The table of readings, without the columns in which nothing stands."""
    if rows:
        named = said("technician.readings")
        names = (named["asked"], named["as_found"], named["as_left"], named["limits"])
        there = [place for place in range(len(names)) if any(row[place] for row in rows)]
        yield Table(tuple(names[at] for at in there), tuple(tuple(row[at] for at in there) for row in rows))


def _said(line: FoundLine) -> str:
    return f"{line.said} ({line.verdict})" if line.verdict else line.said


def _ranked(view: JobView) -> Iterator[Block]:
    """How likely each cause is, as bars."""
    title = say("technician.sections.ranking_before" if view.solved else "technician.sections.ranking")
    pairs = (Paragraph(say("technician.ranking.both", pair=pair)) for pair in view.together)
    yield from headed(title, ranking_picture(view), *pairs)


def _afterwards(view: JobView) -> Iterator[Block]:
    """What was done and verified, what could not be done, and what holds until it works."""
    named, told = said("technician.sections"), view.advice
    done = (
        say("technician.work.done", title=line.title, outcome=line.outcome, verified=line.verified)
        for line in view.done
    )
    yield from headed(named["done"], listed(done))
    yield from headed(named["not_done"], with_aside([(line.asked, line.reason) for line in view.not_done]))
    if view.solved:
        yield from headed(named["left"], listed(told.water, "tick"))
        yield from headed(named["bathing"], listed(line for line in told.meanwhile if line not in told.water))
    else:
        yield from headed(named["meanwhile"], listed(told.meanwhile))
    yield from headed(named["return"], listed(told.come_back))
    yield from headed(named["waiting"], listed(line.text for line in view.waiting))
    yield from headed(named["notes"], listed(view.notes))


def _by_hand() -> tuple[Blanks, Blanks]:
    """Places for readings of the water and of the cell."""
    named = said("technician.blanks")
    water = ((named["salt"], 6, "ppm"), (named["chlorine"], 6, "ppm"), (named["ph"], 6, ""))
    return Blanks(water), Blanks(((named["current"], 6, "A"), (named["voltage"], 6, "V")))


def _to_fill_in(view: JobView) -> tuple[Blanks, ...]:
    """What a bill needs and nobody recorded, to be written in by hand."""
    named, record = said("technician.blanks"), view.record
    missing = {
        "customer": (record.customer, 26, ""),
        "serial": (record.serial, 18, ""),
        "labour": (record.labour, 6, "min"),
        "travel": (record.travel, 6, "min"),
    }
    blanks = tuple((named[name], wide, unit) for name, (value, wide, unit) in missing.items() if not value)
    return (Blanks(blanks),) if blanks else ()


def _signed(view: JobView) -> tuple[Block, ...]:
    named = said("technician.blanks")
    day = (named["date"], 12, "")
    return headed(
        say("technician.sections.signed"),
        Items(((named["safe_danger" if view.advice.first else "safe"], ""),), "tick"),
        Blanks(
            (
                (named["because"], 60, ""),
                *(() if view.solved and not view.advice.water else ((named["return"], 14, ""),)),
            )
        ),
        *_to_fill_in(view),
        Blanks(((named["technician"], 26, ""), day, (named["time"], 8, ""), (named["owner"], 26, ""), day)),
    )
