"""The shop's sheet: one screen of what to decide, sell, say, book and find out; behind it, where wished, all else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import language_in_use, said, say
from engine.session.decisions import ON_THE_BENCH, OWN_WORK
from reports.document import Block, Document, Heading, Items, Pairs, Paragraph, Work
from reports.page_fit import fits_a_screen
from reports.phrases import day_in_words, joined, percent, sentence
from reports.sheets.beside import step_of
from reports.sheets.coming_back import day_to_come_back
from reports.sheets.customer import gear_at_home
from reports.sheets.record import record_lines
from reports.sheets.sections import aside_of, behind, cautions, headed, listed, with_aside
from reports.sheets.workings import workings
from reports.view.model import Action, CautionLine, Head, JobView, PartLine

_NO_QUESTIONS, _UNFINISHED, _NO_OPENED, _NO_CAUSE, _NO_BENCH, _NO_STEPS = range(1, 7)
"""How much is left out where the screen would run over, each with what stands before it: what to find out, that
questions were cut short, what nobody opens, the likeliest cause, parts that are not sold now, and steps; the customer's
page and the annex tell them."""
_FIRST_STEPS = 2
"""So many of the customer's own steps until somebody comes are told at the counter: what is off, what to keep from."""
_CUSTOMER_DOES = OWN_WORK | {"bring_sample"}
_MOST_ASKED = 2
"""So many open questions stand on the first screen, the most telling ones."""


def shop_sheet(view: JobView, annex: bool = False) -> Document:
    """The shop's sheet of a job: 24 lines at 80 columns, half a page on paper.

    Args:
        view: the job in customer wording, as the person behind the counter reads it aloud.
        annex: whether all else stands behind it: packing, questions with how to look, steps, workings.
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
        blocks=(*_first_screen(view), *(_annex(view) if annex else ())),
        foot=say("shop.foot_annex" if annex else "shop.foot", knowledge=head.knowledge, opened=opened),
    )


def _first_screen(view: JobView) -> tuple[Block, ...]:
    """What the clerk does and says now; of what would run over the screen, the least urgent is left to the annex."""
    blocks: tuple[Block, ...] = ()
    for left_out in range(_NO_STEPS + 1 + len(view.advice.first)):
        blocks = tuple(_screen(view, left_out))
        if fits_a_screen(blocks):
            break
    return blocks


def _screen(view: JobView, left_out: int) -> Iterator[Block]:
    if view.advice.first:
        yield Paragraph(_danger(view, left_out), "lead")
        yield Paragraph(view.decision.shop, "lead")
        yield from _read_out(view.advice.first, left_out - _NO_CAUSE)
        # On the phone nobody has the customer's page: in short they stand here.
        yield from (Paragraph(_in_short(line)) for line in view.cautions)
        yield from [Pairs(whose)] if (whose := tuple(_whose(view))) else []
        return
    if view.danger:
        yield Paragraph(say("shop.screen.danger_open"), "lead")
    missing = _hangs_on(view)
    decided = view.decision.shop_bare if _sells_nothing(view) else view.decision.shop
    lead = say("shop.screen.lacks", missing=missing) if missing else decided
    # What the customer does first is read and said first; the page that tells the rest comes after it.
    yield Paragraph(" ".join((view.advice.opening, lead)) if _does_it(view) else lead, "lead")
    if found := tuple(_found(view, left_out)):
        yield Pairs(found)
    if items := (*_sold(view.parts, left_out, missing), *_carried(view), *_lent(view)):
        yield Items(items, "tick")
    yield Pairs((*_whose(view), *_told_and_booked(view, left_out)))
    if not _behind(view):
        yield from _boxes(view)


def _found(view: JobView, left_out: int) -> Iterator[tuple[str, str]]:
    """What goes before all that is sold and said: a danger reported, the likeliest cause, what nobody may do."""
    if view.danger_record and left_out < _NO_STEPS:
        yield say("shop.screen.reported"), " ".join(view.danger_record)
    if view.causes and not view.keep_away and left_out < _NO_CAUSE:
        cause = view.causes[0]
        told = say("shop.now.cause", cause=cause.text.rstrip("."), percent=percent(cause.probability))
        yield say("shop.screen.likely"), told
    if kept_from := _kept_from(view, left_out):
        yield say("shop.screen.keep_from"), kept_from
    if (lacks := _lacks_of_work(view)) and not view.keep_away:
        yield say("shop.screen.lacking"), sentence(joined(lacks))


def _whose(view: JobView) -> Iterator[tuple[str, str]]:
    """Who is told and called, where it was recorded."""
    if told := [part for part in (view.record.customer, view.record.telephone) if part]:
        yield say("shop.screen.customer"), ", ".join(told)


def _read_out(steps: Sequence[str], fewer: int) -> Iterator[Block]:
    """The steps of a danger; of two dangers the last ones are read from the customer's page, where all stand."""
    told = steps[: len(steps) - fewer] if fewer > 0 else steps
    yield Items(tuple((step, "") for step in told), "number")
    if len(told) < len(steps):
        yield Paragraph(say("shop.screen.read_on", first=len(told) + 1, last=len(steps)))


def _in_short(line: CautionLine) -> str:
    """A caution with its signal word in a line."""
    return say("shop.screen.caution", signal=say(f"pages.signals.{line.signal}"), text=line.in_short)


def _sells_nothing(view: JobView) -> bool:
    return all(line.later for line in view.parts)


def _hangs_on(view: JobView) -> str:
    """What is found out before anything is sold for the customer's own work, as its amount hangs on it."""
    when_known = said("view.work.sources")["sell_when_known"]
    waits = [line.amount for line in view.parts if line.source == when_known and not line.later]
    own = view.decision.decision in OWN_WORK
    return joined(dict.fromkeys(lack for amount in waits for lack in amount.missing)) if own else ""


def _lacks_of_work(view: JobView) -> list[str]:
    """What is missing for settings and the like of the customer's own work; what is poured in says it beside itself."""
    now = [action for action in view.actions if action.when != "otherwise" and action.decision in _CUSTOMER_DOES]
    open_amounts = [amount for action in now for amount in action.amounts if not any(map(str.isdigit, amount.text))]
    told = {lack for line in view.parts for lack in line.amount.missing}
    return [lack for lack in dict.fromkeys(lack for each in open_amounts for lack in each.missing) if lack not in told]


def _danger(view: JobView, left_out: int) -> str:
    """The danger, with what became of it where there is room."""
    return " ".join(view.danger_record) if left_out < _NO_CAUSE else view.danger


def _behind(view: JobView) -> bool:
    """Whether the boxes stand in the annex: beside the steps of the shop's own work, or where a danger's steps say all.

    They stand on the screen where something was found that keeps everybody away, and nothing else says so.
    """
    return bool(view.advice.first) or not (view.danger or view.keep_away)


def _boxes(view: JobView) -> tuple[Block, ...]:
    return cautions(view.cautions, view.in_a_line)


def _sold(parts: Sequence[PartLine], left_out: int, asked: str) -> Iterator[tuple[str, str]]:
    """Each part that is sold now; what is done with others alike, in one line. What only comes later is not named.

    `asked`: what the screen asks first for all amounts, and is not said of each again.
    """
    sources = said("view.work.sources")
    now = {sources[name] for name in ("sell_now", "put_aside", "lend_now", "sell_when_known")}
    others: dict[str, list[PartLine]] = {}
    for line in parts:
        if line.source in now and not line.later:
            yield _part(line, asked)
        elif not line.later:
            others.setdefault(line.source, []).append(line)
    for source, lines in others.items() if left_out < _NO_BENCH else ():
        things = "; ".join(_named(line) for line in lines)
        yield say("shop.now.others", source=sentence(source)[:-1], parts=things), ""


def _lent(view: JobView) -> Iterator[tuple[str, str]]:
    """What the customer's page tells to wear or to work with, and no part is."""
    lent = gear_at_home(view)
    if lent and not view.keep_away:
        yield say("shop.now.lent", things=joined(lent)), ""


def _carried(view: JobView) -> Iterator[tuple[str, str]]:
    """How chlorine and acid go home, where some is handed over."""
    sources = said("view.work.sources")
    handed = {sources[name] for name in ("sell_now", "put_aside", "sell_when_known")}
    if step_of(say("shop.now.carried_forms"), [line.name for line in view.parts if line.source in handed]):
        yield say("shop.now.carried"), ""


def _named(line: PartLine) -> str:
    return say("shop.now.named", part=line.name, amount=line.amount.text)


def _part(line: PartLine, asked: str) -> tuple[str, str]:
    text = say("shop.now.part", part=_named(line), source=sentence(line.source)[:-1])
    said_above = bool(asked) and joined(line.amount.missing) == asked
    # What has no warning of its own says from where to where it brings the water.
    return text, line.amount.care if said_above else aside_of(line.amount, working=not line.amount.care)


def _told_and_booked(view: JobView, left_out: int) -> Iterator[tuple[str, str]]:
    if _sells_nothing(view) and not gear_at_home(view) and not view.keep_away:
        yield say("shop.screen.sell"), say("shop.now.nothing")
    yield say("shop.screen.tell"), _told_now(view, left_out)
    yield from _still_to_mind(view, left_out)
    if view.packing.visit:
        minutes = sum(action.minutes for action in view.actions if action.when != "otherwise")
        visit = say("shop.screen.visit", minutes=minutes) if minutes else say("shop.screen.visit_alone")
        yield say("shop.screen.book"), visit
    if not view.keep_away and (back := _back(view)):
        yield say("shop.screen.back"), back
    if view.home.work in ("bring_cell", "bring_pack"):
        yield say("shop.screen.bring"), said(f"shop.bring.{view.home.work[6:]}")["who"]
    if view.cautions and _behind(view):
        read = say("shop.screen.cautions", signals=_signals(view))
        yield say("shop.screen.bench"), " ".join((*_mixed(view), read))
    if view.waiting:
        yield say("shop.screen.waiting"), " ".join(line.text for line in view.waiting)
    there = view.decision.decision == "repair_here" or left_out >= _NO_QUESTIONS
    asked = [] if there else [sentence(line.asked) for line in view.would_help[:_MOST_ASKED]]
    if asked and not view.keep_away:
        yield say("shop.screen.find_out"), " ".join(asked)
    if view.cut_short and left_out < _UNFINISHED:
        yield say("shop.screen.unfinished"), view.cut_short[0]


def _mixed(view: JobView) -> Iterator[str]:
    """How the shop mixes what it cleans with: nobody goes to the annex for a ratio with the acid in hand."""
    bench = (action for action in view.actions if action.when != "otherwise" and action.decision in ON_THE_BENCH)
    for action in bench:
        yield from (say("shop.screen.mix", amount=amount.text) for amount in action.amounts)


def _does_it(view: JobView) -> bool:
    """Whether the customer does the work at home, by steps of their own."""
    return view.home.work in ("steps", "fit_spool") and not view.keep_away


def _told_now(view: JobView, left_out: int) -> str:
    """What is said over the counter: the one thing to do, and what to keep from; all else stands on the other page."""
    title = sentence(view.decision.title)
    if _does_it(view):
        return title
    waits = view.home.work == "leave" and view.home.steps and left_out < _NO_STEPS
    steps = view.actions[0].steps[:_FIRST_STEPS] if waits else ()
    return " ".join(part for part in (title, view.decision.text, *steps) if part)


def _kept_from(view: JobView, left_out: int) -> str:
    """What the customer keeps from: what stays off, what nobody may do or need buy, before what nobody swims."""
    told = (view.advice.stays_off, *view.advice.answers, view.advice.bathing)
    lines = (*told, *(view.advice.hands_off[-1:] if left_out < _NO_OPENED else ()))
    return " ".join(line for line in lines if line)


def _still_to_mind(view: JobView, left_out: int) -> Iterator[tuple[str, str]]:
    """What is left once one fault is mended, where there is room."""
    if view.solved and view.advice.water and left_out < _NO_BENCH:
        yield say("shop.screen.left"), " ".join(view.advice.water)


def _back(view: JobView) -> str:
    """When the customer comes back or calls: the day, or words where none is told; empty where a visit is booked."""
    day = day_to_come_back(view)
    if day is not None:
        return say("shop.screen.by", date=day_in_words(day.isoformat(), soon=True))
    return "" if view.packing.visit else " ".join(view.advice.come_back[:1])


def _signals(view: JobView) -> str:
    return joined(dict.fromkeys(say(f"pages.signals.{line.signal}") for line in view.cautions))


def _annex(view: JobView) -> Iterator[Block]:
    yield from behind(say("shop.annex"), (Pairs(_head(view.head)), *_more(view)))


def _more(view: JobView) -> Iterator[Block]:
    """All that is not needed at the counter, in the order of use."""
    yield from headed(say("shop.cut_short"), listed(view.cut_short))
    yield from headed(say("shop.screen.reported"), listed(view.danger_record))
    if view.advice.first:
        yield from headed(say("shop.screen.tell"), Paragraph(f"{sentence(view.decision.title)} {view.decision.text}"))
    yield from headed(say("shop.why.decided"), listed(view.decision.why))
    yield from headed(say("shop.amounts"), with_aside([(_used(line), aside_of(line.amount)) for line in view.parts]))
    yield from _pack(view)
    yield from _phone(view)
    if view.advice.first:
        yield from headed(say("shop.waiting"), listed(line.text for line in view.waiting))
    read = [say("shop.shelf.line", part=p.name, read=p.before_ordering) for p in view.parts if p.before_ordering]
    yield from headed(say("shop.shelf.heading"), listed(read))
    yield from _bring_in(view)
    if _behind(view):
        yield from headed(say("shop.cautions"), *_boxes(view))
    yield from _work(view.actions)
    done = [say("shop.done.line", title=d.title, outcome=d.outcome, verified=d.verified) for d in view.done]
    yield from headed(say("shop.done.heading"), listed(done))
    yield from _told(view)
    lines = record_lines(view.record)
    yield from headed(say("shop.record"), Pairs(lines) if lines else None)
    yield Heading(say("shop.workings"))
    yield from workings(view)


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


def _used(line: PartLine) -> str:
    return say("shop.now.used", part=_named(line), source=sentence(line.source)[:-1], work=line.work)


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
