"""The shop's sheet: what to sell, book, pack, ask and take in, for the person behind the counter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import language_in_use, said, say
from reports.document import Block, Document, Heading, Items, Pairs, Paragraph, Work
from reports.phrases import joined, percent, sentence
from reports.sheets.sections import aside_of, behind, cautions, headed, listed, with_aside
from reports.sheets.workings import workings
from reports.view.model import Action, Head, JobView, PartLine

_WORTH_SAYING = 0.20


def shop_sheet(view: JobView) -> Document:
    """The shop's sheet of a job: what to do now on the first page, the workings on the last.

    Args:
        view: the job in customer wording, as the person behind the counter reads it aloud.
    """
    head = view.head
    opened = say("shop.opened", fingerprint=head.opened) if head.opened else ""
    return Document(
        audience="shop",
        language=language_in_use(),
        shop=head.shop,
        date=head.date,
        job=head.job,
        title=say("shop.title"),
        blocks=tuple(_blocks(view)),
        foot=say("shop.foot", knowledge=head.knowledge, opened=opened),
    )


def _blocks(view: JobView) -> Iterator[Block]:
    yield from _danger(view)
    yield Pairs(_head(view.head))
    yield from _now(view)
    yield from headed(say("shop.parts"), _parts(view))
    yield from _pack(view)
    yield from _phone(view)
    yield from headed(say("shop.waiting"), listed(line.text for line in view.waiting))
    read = [say("shop.shelf.line", part=p.name, read=p.before_ordering) for p in view.parts if p.before_ordering]
    yield from headed(say("shop.shelf.heading"), listed(read))
    yield from _bring_in(view)
    yield from headed(say("shop.cautions"), *cautions(view.cautions, view.in_a_line))
    yield from _work(view.actions)
    done = [say("shop.done.line", title=d.title, outcome=d.outcome, verified=d.verified) for d in view.done]
    yield from headed(say("shop.done.heading"), listed(done))
    yield from _told(view)
    yield from behind(say("shop.workings"), tuple(workings(view)))


def _danger(view: JobView) -> Iterator[Block]:
    if view.danger:
        title = say("shop.danger.now" if view.advice.first else "shop.danger.doubt")
        yield from headed(title, Paragraph(view.danger, "lead"), listed(view.advice.first, "number"))
    yield from headed(say("shop.danger.record"), listed(view.danger_record))


def _head(head: Head) -> tuple[tuple[str, str], ...]:
    unit = head.unit or say("shop.head.not_said")
    pairs = [
        (say("shop.head.trouble"), head.complaint or say("shop.head.not_said")),
        (say("shop.head.unit"), say("shop.head.assumed", unit=unit) if head.unit_assumed and head.unit else unit),
        (say("shop.head.taken"), head.role or say("shop.head.not_said")),
    ]
    if head.brought:
        pairs.append((say("shop.head.brought"), joined(head.brought, say("shop.head.and"))))
    return tuple(pairs)


def _now(view: JobView) -> Iterator[Block]:
    """The decision, what to do about it in the shop, and why."""
    yield Heading(say("shop.now.heading"))
    yield Paragraph(view.decision.shop, "lead")
    yield Paragraph(say("shop.now.told", title=sentence(view.decision.title), text=view.decision.text))
    likely = [cause for place, cause in enumerate(view.causes) if not place or cause.probability >= _WORTH_SAYING]
    if likely:
        named = [
            say("shop.now.cause", cause=cause.text.rstrip("."), percent=percent(cause.probability)) for cause in likely
        ]
        yield Paragraph(say("shop.now.causes", causes="; ".join(named)))
    if (why := listed(view.decision.why)) is not None:
        yield why
    yield from headed(say("shop.cut_short"), listed(view.cut_short))


def _parts(view: JobView) -> Block:
    if not view.parts:
        return Paragraph(say("shop.now.nothing"))
    return Items(tuple(_part(line) for line in view.parts), "tick")


def _part(line: PartLine) -> tuple[str, str]:
    text = say(
        "shop.now.part", part=line.name, amount=line.amount.text, source=sentence(line.source)[:-1], work=line.work
    )
    return text, aside_of(line.amount)


def _pack(view: JobView) -> Iterator[Block]:
    """What goes into the van for a visit: parts, instruments, protection, and what is still to be tested."""
    packing = view.packing
    if not packing.visit:
        return
    lines = {line.part: line for line in view.parts}
    things = [
        say(
            "shop.pack.part", part=lines[part].name, amount=lines[part].amount.text, place=say(f"shop.pack.places.{at}")
        )
        for part, at in packing.parts
        if part in lines
    ]
    things += [say(f"shop.pack.needs.{need}") for need in packing.needs]
    things += [text for occasion, text in said("shop.pack.gear").items() if occasion in packing.occasions]
    yield from headed(say("shop.pack.heading"), listed(things, "tick"))
    if packing.checks:
        yield Paragraph(say("shop.pack.checks", checks=joined(packing.checks, say("shop.head.and"))))


def _phone(view: JobView) -> tuple[Block, ...]:
    """What to ask the customer, most telling first, in words to be read aloud."""
    questions = [(line.asked, line.how) for line in view.would_help]
    if view.packing.visit:
        questions += [(text, "") for text in said("shop.phone.visit").values()]
    later = Paragraph(say("shop.phone.later")) if view.keep_away and view.would_help else None
    return headed(say("shop.phone.heading"), later, with_aside(questions))


def _bring_in(view: JobView) -> Iterator[Block]:
    if view.decision.decision == "bring_cell":
        yield from headed(say("shop.bring.heading_cell"), listed(said("shop.bring.cell").values()))
    if view.decision.decision == "bring_pack":
        yield from headed(say("shop.bring.heading_pack"), listed(said("shop.bring.pack").values()))


def _work(actions: Sequence[Action]) -> Iterator[Block]:
    if not actions:
        return
    yield Heading(say("shop.work.heading"))
    for number, action in enumerate(actions, 1):
        title = say(f"shop.work.when.{action.when}", title=action.title)
        yield Work(number, title, tuple(_about(action)), action.steps, action.done_when, ticked=False)


def _about(action: Action) -> Iterator[str]:
    who = sentence(joined(action.who, say("shop.head.or")))[:-1]
    by = sentence(action.by)
    yield say("shop.work.about", who=who, minutes=action.minutes, shows=action.result_shows, by=by)
    if action.helps:
        causes = "; ".join(cause.rstrip(".") for cause in action.helps)
        yield say("shop.work.helps", causes=causes)
    if action.takes:
        yield say("shop.work.takes", things="; ".join(action.takes))
    for amount in action.amounts:
        yield say("shop.work.amount", amount=amount.text, working=aside_of(amount)).strip()
    if action.lead:
        yield action.lead


def _told(view: JobView) -> Iterator[Block]:
    """What holds meanwhile and whose rules win; in danger also what the handout then leaves out."""
    advice = view.advice
    until = say("shop.told.swim" if view.solved else "shop.told.until")
    yield from headed(until, listed(advice.meanwhile))
    if advice.first:
        yield from headed(say("shop.told.hands_off"), listed(advice.hands_off))
    yield from headed(say("shop.told.rules"), listed(advice.local_code))
