"""The customer's handout: one page in plain words, with every caution of what it tells the customer to do."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator

from engine.foundation.texts import language_in_use, said, say
from engine.treatment.at_home import HomeWork
from reports.document import Block, Document, Heading, Items, Paragraph, Table
from reports.page_fit import fits_one_page
from reports.phrases import joined, sentence
from reports.sheets.glossary import words_explained
from reports.sheets.sections import cautions, headed, listed
from reports.view.model import Action, Amount, CautionLine, JobView, PartLine

_WORTH_NAMING, _WORTH_SAYING = 0.60, 0.20
"""From these probabilities the first cause is named as such, and a second one at all; less would only worry."""
_CALL_WITHIN_DAYS = 7
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NO_PLAN, _NO_FURTHER, _NO_PART, _NO_CALENDAR, _NO_WORKING = 1, 2, 3, 4, 5
"""How much is left out where a page would run over, each with what stands before it: the plan worked out; what comes
only if the first work fails; the customer's part in work that others come to do; the calendar; workings of amounts."""

_AT_HOME = ("steps", "bring_cell", "fit_spool", "bring_pack")
"""What the customer does at home by the handout."""


def customer_handout(view: JobView) -> Document:
    """The handout of a job for the customer, on one page of A4 or Letter.

    Where it would run over, the least urgent is left out, never a caution, a step or a danger.

    Args:
        view: the job in customer wording (the voice of the counter or the phone).
    """
    blocks: tuple[Block, ...] = ()
    for left_out in range(_NO_WORKING + 1):
        blocks = _page(view, left_out)
        if fits_one_page(blocks):
            break
    return Document(
        audience="customer",
        language=language_in_use(),
        shop=view.head.shop,
        date=view.head.date,
        job=view.head.job,
        title=say("handout.title"),
        blocks=blocks,
        foot=say("handout.foot", knowledge=view.head.knowledge),
    )


def _page(view: JobView, left_out: int) -> tuple[Block, ...]:
    blocks = tuple(_danger(view) if view.danger and view.advice.first else _usual(view, left_out))
    words = [say("handout.words.word", word=word, means=means) for word, means in words_explained(blocks)]
    return (*blocks, Paragraph(say("handout.words.line", words="; ".join(words)), "small")) if words else blocks


def _danger(view: JobView) -> Iterator[Block]:
    """The danger and what to do first; nothing that would turn the eye away from it."""
    lead = Paragraph(view.danger, "lead")
    yield from headed(say("handout.danger.now"), lead, listed(view.advice.first, "number"), _record(view))
    yield from cautions(view.home.cautions)
    yield from headed(say("handout.back.heading"), listed(view.advice.come_back))


def _record(view: JobView) -> Block | None:
    return listed(view.danger_record)


def _usual(view: JobView, left_out: int) -> Iterator[Block]:
    if view.danger:
        yield from headed(say("handout.danger.doubt"), Paragraph(view.danger, "lead"))
    yield from headed(say("handout.danger.record"), _record(view))
    yield from headed(say("handout.wrong.was" if view.solved else "handout.wrong.heading"), *_wrong(view, left_out))
    until = headed(say("handout.until.swim" if view.solved else "handout.until.heading"), listed(view.advice.meanwhile))
    if view.keep_away:
        yield from until
    yield from _next(view, left_out)
    yield from headed(say("handout.waiting"), listed(line.text for line in view.waiting))
    yield from headed(say("handout.touch.heading"), listed(view.advice.hands_off))
    yield from headed(say("handout.takes.heading"), listed(_takes(view)))
    yield from headed(say("handout.sold.heading"), _sold(view, left_out))
    if not view.keep_away:
        yield from until
    yield from headed(say("handout.back.heading"), listed((*view.advice.come_back, *_by_day(view))))
    yield from headed(say("handout.care.heading"), _care(view, left_out), *_care_elsewhere(view, left_out))


def _wrong(view: JobView, left_out: int) -> Iterator[Block]:
    """The likeliest cause, or two, with the chance in words."""
    if not view.causes:
        yield Paragraph(say("handout.wrong.unknown"), "lead")
        return
    first, *others = view.causes
    if first.probability < _WORTH_NAMING:
        yield Paragraph(say("handout.wrong.unsure", chance=first.chance, cause=first.text), "lead")
    else:
        yield Paragraph(say("handout.wrong.cause", chance=sentence(first.chance)[:-1], cause=first.text), "lead")
    for cause in [cause for cause in others if cause.probability >= _WORTH_SAYING][:1]:
        yield Paragraph(say("handout.wrong.also", chance=cause.chance, cause=cause.text))
    if view.cut_short and left_out < _NO_FURTHER:
        yield Paragraph(say("handout.wrong.cut_short"))


def _next(view: JobView, left_out: int) -> Iterator[Block]:
    """The decision, the cautions of what is told, and the steps."""
    work = view.home.work
    at_home = work in _AT_HOME
    elsewhere = say("handout.next.heading_solved" if view.solved else "handout.next.heading_leave")
    yield Heading(say("handout.next.heading") if at_home else elsewhere)
    title = sentence(view.decision.title)
    later = view.keep_away and work == "leave" and view.decision.decision != "call_electrician"
    yield Paragraph(say("handout.next.when_safe", title=title) if later else title, "lead")
    if not at_home:
        yield Paragraph(view.decision.text)
    yield from _blocks(listed(f"{line.title}. {line.verified}" for line in view.done))
    steps = view.home.steps and (work == "steps" or left_out < _NO_PART)
    owed = view.home.cautions if steps or at_home else view.home.cautions_without_steps
    yield from headed(say("handout.first.heading"), *cautions(owed, told_in_a_line(view, steps)))
    yield from _own_steps(work)
    if steps:
        yield from _steps(view.actions[0])
    if work != "none" and not view.keep_away:
        yield from _blocks(listed(_further(view, left_out)))


def told_in_a_line(view: JobView, steps: bool) -> tuple[CautionLine, ...]:
    """The cautions that the handout tells in a line. Args: whether it tells the steps of a repair."""
    whole = steps or view.home.work in _AT_HOME
    return view.home.in_a_line if whole else view.home.in_a_line_without_steps


def _own_steps(work: HomeWork) -> tuple[Block, ...]:
    """How to take a cell or a power pack out, or to close the gap; the shop's words, as no repair is done at home."""
    if work == "bring_cell":
        return headed(say("handout.next.take_out"), listed(said("handout.bring_cell").values(), "number"))
    if work == "fit_spool":
        return headed(say("handout.next.spool_in"), listed(said("handout.fit_spool").values(), "number"))
    if work == "bring_pack":
        return headed(say("handout.next.pack_off"), listed(said("handout.bring_pack").values(), "number"))
    return ()


def _steps(action: Action) -> Iterator[Block]:
    yield Heading(action.title)
    if action.lead:
        yield Paragraph(action.lead)
    yield from _blocks(listed(action.steps, "number"))
    if action.done_when:
        yield Paragraph(action.done_when)


def _further(view: JobView, left_out: int) -> Iterator[str]:
    """What goes with the first work, and what comes only if that does not help: a line each, the steps on request."""
    for action in view.actions[1:]:
        if action.when == "also":
            yield say("handout.next.as_well", work=action.title)
    others = [action for action in view.actions[1:] if action.when == "otherwise" and left_out < _NO_FURTHER]
    for action in others[:1]:
        yield say("handout.next.otherwise", work=action.title)


def _takes(view: JobView) -> Iterator[str]:
    """Who, minutes, parts and amounts of the first piece of work."""
    if not view.actions or view.home.work == "none":
        return
    action = view.actions[0]
    if action.decision != view.decision.decision:
        return
    who = sentence(joined(action.who, say("handout.takes.or")))[:-1]
    yield say("handout.takes.line", who=who, minutes=action.minutes, shows=action.result_shows)
    if view.home.work != "steps":
        if action.takes:
            yield say("handout.takes.needs", things="; ".join(action.takes))
        return
    for amount in action.amounts:
        missing = joined(amount.missing, say("handout.takes.and"))
        if missing:
            yield say("handout.takes.unknown", amount=amount.text, missing=missing)
        else:
            yield say("handout.takes.how_much", amount=amount.text)


def _sold(view: JobView, left_out: int) -> Items | None:
    """What the customer takes along, each with a box that the shop ticks when it is really sold or lent."""
    first = view.actions[0].title if view.actions else ""
    also = {action.title for action in view.actions[1:]}
    lines = [line for line in view.parts if line.part in view.home.parts]
    told = " ".join(view.advice.meanwhile)
    items = tuple((_part(line, also - {first}, told), _aside(line.amount, told, left_out)) for line in lines)
    return Items(items, "tick") if items else None


def _part(line: PartLine, others: set[str], told: str) -> str:
    """A part with its amount, and the work it is for where that is not the first; nothing is told twice."""
    below = line.amount.working and line.amount.working in told
    amount = say("handout.sold.below") if below else line.amount.text
    if line.work in others:
        return say("handout.sold.for", part=line.name, work=line.work, amount=amount)
    return say("handout.sold.tick", part=line.name, amount=amount)


def _aside(amount: Amount, told: str, left_out: int) -> str:
    """How an amount was worked out, what to mind with it, and what is missing for it, unless told elsewhere."""
    missing = joined(amount.missing, say("handout.takes.and"))
    lacks = say("handout.sold.missing", missing=missing) if missing else ""
    working = amount.working if left_out < _NO_WORKING else ""
    return " ".join(text for text in (working, amount.care, lacks) if text and text not in told)


def _by_day(view: JobView) -> tuple[str, ...]:
    """The day by which the shop wants to hear, where no other day is told; none where the sheet bears no date."""
    if view.home.work == "none" or view.keep_away:
        return ()
    try:
        today = datetime.date.fromisoformat(view.head.date[:10])
        day = today + datetime.timedelta(days=_CALL_WITHIN_DAYS)
    except (ValueError, OverflowError):
        return ()
    if any(_DAY.search(line) for line in view.advice.come_back):
        return ()
    return (say("handout.back.by", date=day),)


def _care(view: JobView, left_out: int) -> Table | None:
    """The calendar of upkeep; none where nobody is to go near the pool."""
    if view.keep_away or not view.causes or left_out >= _NO_CALENDAR:
        return None
    rows = [
        (say("handout.care.week"), say("handout.care.week_what")),
        (say("handout.care.month"), say("handout.care.month_what")),
    ]
    missing: dict[str, None] = {}
    for line in view.plan if left_out < _NO_PLAN else ():
        missing.update(dict.fromkeys(line.amount.missing))
        # What is not worked out yet has no figure to keep to.
        if not line.amount.missing or any(char.isdigit() for char in line.amount.text):
            rows.append((line.about, sentence(line.amount.text)))
    if missing:
        lacks = joined(missing, say("handout.takes.and"))
        rows.append((say("handout.care.more"), say("handout.care.more_what", missing=lacks)))
    if view.plan and left_out >= _NO_PLAN:
        rows.append((say("handout.care.more"), say("handout.care.ask")))
    return Table((say("handout.care.when"), say("handout.care.what")), tuple(rows))


def _care_elsewhere(view: JobView, left_out: int) -> Iterator[Block]:
    if view.plan and left_out >= _NO_CALENDAR:
        yield Paragraph(say("handout.care.on_request"))


def _blocks(block: Block | None) -> Iterator[Block]:
    if block is not None:
        yield block
