"""The customer's handout: one page that opens with what to do first, and puts each caution beside its step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from engine.foundation.texts import language_in_use, said, say
from engine.session.decisions import NOT_YET, ON_THE_BENCH
from engine.treatment.at_home import HomeWork
from reports.document import Block, Document, Heading, Items, Paragraph
from reports.phrases import day_in_words, joined, lowered, sentence, when_it_shows
from reports.sheets.beside import steps_with_cautions, used_at
from reports.sheets.coming_back import call_by
from reports.sheets.gear import gear_named
from reports.sheets.glossary import word_count, words_explained, words_of
from reports.sheets.sections import cautions, headed, listed
from reports.view.model import Action, CauseLine, CautionLine, JobView, PartLine

_WORTH_NAMING, _WORTH_SAYING = 0.60, 0.30
"""From these probabilities the first cause is named as such, and else a second one at all; less would only worry."""
_LOOKS = 3
"""So many looks at the pool are asked for at most, the most telling first: judgement."""
_FULL = 420
"""Words of a page, beside its head, foot and numbers of steps, from which on upkeep is left out: it can wait for
another day, and a long page is not read; judgement."""
_HOUR_MIN = 60
"""Work of an hour and more takes waiting within it, which its minutes of handiwork do not tell: they are left out."""

_BY_OTHERS = ("repair_here", "order_and_return", "send_technician")
"""Where this is decided of a work a technician does it, whoever may."""
_AT_HOME = ("steps", "bring_cell", "fit_spool", "bring_pack")
"""What the customer does at home by the handout."""


def customer_handout(view: JobView) -> Document:
    """The handout of a job for the customer, on one page of A4 or Letter.

    Args:
        view: the job in customer wording (the voice of the counter or the phone).
    """
    if view.danger and view.advice.first:
        blocks = _explained(_danger(view))
    else:
        blocks = _explained(_usual(view, gear_at_home(view)))
        if word_count(blocks) > _FULL:
            blocks = _explained(_usual(view, gear_at_home(view), with_care=False))
    return Document(
        audience="customer",
        language=language_in_use(),
        shop=view.head.shop,
        date=view.head.date,
        job=view.head.job,
        title=say("handout.title"),
        blocks=(*_addressed(view), *blocks),
        foot=say("handout.foot"),
    )


def _addressed(view: JobView) -> Iterator[Block]:
    """Whose page it is, where that was recorded."""
    if view.record.customer:
        yield Paragraph(say("handout.for", customer=view.record.customer))


def _explained(blocks: Iterable[Block]) -> tuple[Block, ...]:
    """Blocks with the trade words that stand in them explained below."""
    told = tuple(blocks)
    words = [say("handout.words.word", word=word, means=means) for word, means in words_explained(told)]
    return (*told, Paragraph(say("handout.words.line", words="; ".join(words)), "small")) if words else told


def _danger(view: JobView) -> Iterator[Block]:
    """The danger and what to do first; nothing that would turn the eye away from it."""
    lead = Paragraph(view.danger, "lead")
    yield from headed(say("handout.danger.now"), lead, listed(view.advice.first, "number"), listed(view.danger_record))
    yield from cautions(view.home.cautions)
    yield from headed(say("handout.back.heading"), listed(view.advice.come_back))


def _usual(view: JobView, gear: Sequence[str] = (), with_care: bool = True) -> Iterator[Block]:
    if view.danger:
        yield from headed(say("handout.danger.doubt"), Paragraph(view.danger, "lead"))
        yield Heading(say("handout.next.heading"))
    yield Paragraph(view.advice.opening, "lead")
    yield from _blocks(listed((*view.advice.answers, *_kept_from(view))))
    yield Paragraph(" ".join(part for part in (_wrong(view), view.advice.likelier) if part))
    yield from headed(say("handout.danger.record"), listed(view.danger_record))
    until = headed(say(f"handout.until.{_until(view)}"), *_beside_dose(view), listed(_meanwhile(view)))
    if view.keep_away:
        yield from until
    yield from _next(view)
    yield from headed(say(f"handout.waiting.{'yours' if view.home.waits else 'ours'}"), _waiting(view))
    yield from headed(say("handout.sold.heading"), _sold(view, gear))
    if not view.keep_away:
        yield from until
    yield from headed(say("handout.back.heading"), listed((*view.advice.come_back, *_by_day(view), *_telephone(view))))
    if with_care:
        yield from headed(say("handout.care.heading"), _care(view))


def _kept_from(view: JobView) -> tuple[str, ...]:
    """What nobody does meanwhile: it stands in the opening, where it is read."""
    told = (view.advice.stays_off, view.advice.by_hand, view.advice.bathing)
    return (*(line for line in told if line), *view.advice.hands_off)


def _until(view: JobView) -> str:
    """Which heading stands over what holds meanwhile: nothing has to work again where nothing is broken."""
    return "swim" if view.solved or view.decision.decision in ("nothing_to_repair", "close_pool") else "heading"


def _meanwhile(view: JobView) -> tuple[str, ...]:
    """What holds meanwhile, without the opening's part of it and the tests that are put right by the work."""
    elsewhere = {view.advice.stays_off, view.advice.bathing, *view.advice.water}
    return tuple(line for line in view.advice.meanwhile if line not in elsewhere)


def _beside_dose(view: JobView) -> tuple[Block, ...]:
    """The cautions of a dose by hand, beside it."""
    dose, lines = view.home.beside_dose, told_in_a_line(view)
    return cautions(
        [line for line in _boxes(view) if line.caution in dose], [line for line in lines if line.caution in dose]
    )


def _boxes(view: JobView) -> tuple[CautionLine, ...]:
    """The cautions that the handout tells in boxes."""
    whole = view.home.steps or view.home.work in _AT_HOME
    return view.home.cautions if whole else view.home.cautions_without_steps


def _waiting(view: JobView) -> Items | None:
    return listed(line.text for line in view.waiting)


def _wrong(view: JobView) -> str:
    """What is wrong and how sure that is, in one sentence; a second cause where it is likely enough."""
    was = "was" if view.solved else "heading"
    if not view.causes:
        return say(f"handout.wrong.{was}", what=say("handout.wrong.unknown"))
    first, *others = view.causes
    sure = first.probability >= _WORTH_NAMING
    told = say(f"handout.wrong.{'cause' if sure else 'unsure'}", chance=first.chance, cause=_named_cause(first))
    for cause in [cause for cause in others if cause.probability >= _WORTH_SAYING and not sure][:1]:
        told = say("handout.wrong.also", first=told, chance=cause.chance, cause=_named_cause(cause))
    if view.cut_short:
        told = say("handout.wrong.cut_short", first=told)
    return say(f"handout.wrong.{was}", what=sentence(told))


def _named_cause(cause: CauseLine) -> str:
    """A cause as it stands inside a sentence."""
    return lowered(cause.text.rstrip("."))


def _next(view: JobView) -> Iterator[Block]:
    """The steps with the cautions of each, and what comes after them; elsewhere what happens now."""
    work = view.home.work
    at_home = work in _AT_HOME
    elsewhere = "heading_solved" if view.solved else "heading_leave"
    inside = [*_done(view), *_work(view, work), *_blocks(listed(_then(view)))]
    if not at_home and view.decision.decision in NOT_YET and view.decision.text:
        inside[:0] = [Paragraph(view.decision.text), *_looks(view)]
    if inside:
        yield Heading(_headed(view) if at_home else say(f"handout.next.{elsewhere}"))
        yield from inside
    if view.solved:
        yield from headed(say("handout.next.heading_left"), listed(view.advice.water))


def _looks(view: JobView) -> Iterator[Block]:
    """What the customer looks at and calls about, where that is decided."""
    if view.decision.decision == "look_and_call":
        looks = (" ".join(part for part in (line.asked, line.how) if part) for line in view.would_help[:_LOOKS])
        yield from _blocks(listed(looks))


def _done(view: JobView) -> tuple[Block, ...]:
    return tuple(
        _blocks(
            listed(say("handout.next.done", work=line.title.rstrip("."), verified=line.verified) for line in view.done)
        )
    )


def _work(view: JobView, work: HomeWork) -> Iterator[Block]:
    """The steps, each with its cautions; cautions of what is done without steps stand by themselves."""
    home, action = view.home, view.actions[0] if view.actions else None
    own = _own_steps(work)
    if work == "steps" and action is not None:
        yield from _blocks(listed((*([action.lead] if action.lead else ()), *_amounts(view, action))))
    told = own or (action.steps if home.steps and action is not None else ())
    boxes = [line for line in _boxes(view) if line.caution not in home.beside_dose]
    lines = [line for line in told_in_a_line(view) if line.caution not in home.beside_dose]
    if told:
        yield from steps_with_cautions(told, boxes, lines, _amounts_at(view, told))
    else:
        yield from cautions(boxes, lines)
    if work == "steps" and action is not None and action.done_when:
        yield Paragraph(action.done_when)


def _amounts_at(view: JobView, steps: Sequence[str]) -> dict[int, str]:
    """What was worked out of the first work's parts, by the number of the first step that uses each."""
    at: dict[int, list[str]] = {}
    first = view.actions[0].title if view.actions else ""
    for line in view.parts:
        if line.amount.working and line.work == first and any(map(str.isdigit, line.amount.text)):
            for number in used_at(line.part, steps)[:1]:
                at.setdefault(number, []).append(sentence(line.amount.text))
    return {number: " ".join(told) for number, told in at.items()}


def _own_steps(work: HomeWork) -> tuple[str, ...]:
    """How to take a cell or a power pack out, or to close the gap; the shop's words, as no repair is done at home."""
    if work == "bring_cell":
        return tuple(said("handout.bring_cell").values())
    if work == "fit_spool":
        return tuple(said("handout.fit_spool").values())
    return tuple(said("handout.bring_pack").values()) if work == "bring_pack" else ()


def told_in_a_line(view: JobView) -> tuple[CautionLine, ...]:
    """The cautions that the handout tells in a line."""
    whole = view.home.steps or view.home.work in _AT_HOME
    return view.home.in_a_line if whole else view.home.in_a_line_without_steps


def _headed(view: JobView) -> str:
    """The heading of what is done at home, with its minutes, where they are those of the customer's own work.

    Where the result shows later, the steps have waits, in which nobody works.
    """
    minutes = view.actions[0].minutes if view.actions and view.home.work == "steps" else 0
    if not 0 < minutes < _HOUR_MIN:
        return say("handout.next.heading")
    at_once = view.actions[0].result_shows == when_it_shows("at once", "")
    return say(f"handout.next.{'minutes' if at_once else 'minutes_waits'}", minutes=minutes)


def _amounts(view: JobView, action: Action) -> Iterator[str]:
    """How much of what the first work takes that is not sold (water, a setting, a mix), or what is missing for it.

    What the opening has told already is not told again.
    """
    for amount in action.amounts:
        missing = joined(amount.missing, say("handout.takes.and"))
        key = "unknown" if missing else "how_much"
        told = say(f"handout.takes.{key}", amount=amount.text, missing=missing)
        opened = amount.text in view.advice.opening or (missing and missing in view.advice.opening)
        if opened:
            lacks = missing and missing not in view.advice.opening
            told = say("handout.takes.still", missing=missing) if lacks else ""
        line = " ".join(part for part in (told, amount.care) if part)
        yield from [line] if line else []


def _then(view: JobView) -> Iterator[str]:
    """What comes after the first work, each a job of its own with its amount: other work, tests to put right."""
    if view.keep_away or view.solved or (view.home.work == "none" and not view.advice.water):
        return
    if view.home.work != "none":
        yield from (_goes_with(view, action) for action in view.actions[1:] if action.when == "also")
    yield from view.advice.water


def _goes_with(view: JobView, action: Action) -> str:
    """A work that goes with the first, with its amounts; what the shop does has none, as nobody does it by them."""
    work = action.title.rstrip(".")
    if action.decision in ON_THE_BENCH:
        return say("handout.next.bench", work=work)
    if action.decision in _BY_OTHERS:
        return say("handout.next.theirs", work=work)
    amounts = "; ".join(amount.text for amount in action.amounts if any(map(str.isdigit, amount.text)))
    told = say("handout.next.takes", work=work, amounts=amounts) if amounts else work
    away = view.home.work in ("bring_cell", "fit_spool") and action.plant == "running"
    first = view.actions[0]
    rests = action.keeps_unit_off and first.plant == "isolated" and view.home.work == "steps"
    return say(f"handout.next.{'once_back' if away else 'unit_rests' if rests else 'as_well'}", work=told)


def _sold(view: JobView, gear: Sequence[str]) -> Items | None:
    """What the customer takes along, each with a box that the shop ticks when it is sold or lent, and its place."""
    items = list[tuple[str, str]]()
    told = view.advice.opening
    for line in (line for line in view.parts if line.part in view.home.parts):
        aside = _aside(line)
        items.append((_named(view, line), "" if aside in told else aside))
        told += aside
    if gear:
        items.append((sentence(", ".join(gear)), ""))
    return Items(tuple(items), "tick") if items else None


def gear_at_home(view: JobView) -> tuple[str, ...]:
    """What the page tells to wear or to work with, and no part is; nothing where a danger is all that it tells."""
    danger = view.keep_away or bool(view.danger and view.advice.first)
    return () if danger else gear_named(tuple(words_of(tuple(_usual(view)))))


def _named(view: JobView, line: PartLine) -> str:
    """A part with its amount and its place; what is told of it elsewhere is not told twice."""
    place = _place(view, line)
    elsewhere = (view.advice.opening, *view.advice.meanwhile)
    told_there = line.amount.working and any(line.amount.text in text for text in elsewhere)
    if told_there or not any(map(str.isdigit, line.amount.text)):
        return say("handout.sold.place", part=line.name, place=place)
    return say("handout.sold.placed", part=line.name, amount=line.amount.text, place=place)


def _place(view: JobView, line: PartLine) -> str:
    """Where on the page a part is used: the steps that name it, another work, or what holds until all works again."""
    own = _own_steps(view.home.work)
    first = view.actions[0] if view.actions else None
    steps = own or (first.steps if first is not None and view.home.steps else ())
    mine = first is not None and line.work == first.title
    numbers = used_at(line.part, steps) if mine or own else ()
    if numbers:
        key = "step" if len(numbers) == 1 else "steps"
        return say(f"handout.sold.{key}", steps=joined([str(number) for number in numbers]))
    if mine and view.home.steps:
        return say("handout.sold.first")
    if line.work in {action.title for action in view.actions}:
        return say("handout.sold.also")
    return say("handout.sold.until", heading=say(f"handout.until.{_until(view)}"))


def _aside(line: PartLine) -> str:
    """What is missing for an amount, and what to mind with it."""
    missing = joined(line.amount.missing, say("handout.takes.and"))
    told = say("handout.sold.missing", missing=missing) if missing else ""
    return " ".join(part for part in (told, line.amount.care) if part)


def _by_day(view: JobView) -> tuple[str, ...]:
    """The day by which the shop wants to hear, where no other day is told."""
    day = call_by(view)
    return () if day is None else (say("handout.back.by", date=day_in_words(day.isoformat(), soon=True)),)


def _telephone(view: JobView) -> tuple[str, ...]:
    """The shop's number, where the shop has told it."""
    head = view.head
    if not head.telephone:
        return ()
    key = "phone_hours" if head.hours else "phone"
    return (say(f"handout.back.{key}", telephone=head.telephone, hours=head.hours),)


def _care(view: JobView) -> Items | None:
    """Upkeep in three lines; none where nobody is to go near the pool, or others say what may be done to it."""
    if view.keep_away or view.may_infect or not view.causes:
        return None
    lines = [say("handout.care.week"), say("handout.care.month")]
    if view.plan and not view.plan[0].amount.missing:
        first = view.plan[0]
        lines.append(say("handout.care.plan", about=first.about, when=sentence(first.amount.text)))
    return listed(lines)


def _blocks(block: Block | None) -> Iterator[Block]:
    if block is not None:
        yield block
