"""Laws of the shop's sheet: with the handout it holds all that the view tells; it packs and asks for what applies."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hypothesis import HealthCheck, given, settings

from engine.foundation.texts import said
from engine.knowledge.model import SIGNALS
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import CautionBox, Document, Heading, Items, NewPage, Paragraph, Work
from reports.phrases import day_in_words, percent
from reports.renderers.text import text_form
from reports.sheets.coming_back import call_by, day_to_come_back
from reports.sheets.customer import customer_handout
from reports.sheets.sections import behind
from reports.sheets.shop import shop_sheet
from reports.view import JobView, job_view, view_data
from tests.example_counts import up_to
from tests.reports.jobs import AT, DATE, answers, called, job, jobs, opened
from tests.reports.sheets.papers import NAMES, headings, numbers, of_each, page, seen
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
DANGER = next(answer.id for answer in KNOWLEDGE.checks["danger_now"].answers if answer.reports)
SLOW = settings(
    max_examples=up_to(40), deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
NO_TEXT = {
    *("check", "finding", "cause", "repair", "part", "caution", "decision", "when", "plant", "left", "later", "voice"),
    *("signal", "counted_in", "home", "packing", "opened", "date", "shop", "job", "unit_assumed", "place"),
    *("movement", "gauges", "limits", "record", "in_short", "shop_bare"),
}
"""Fields of the view that are ids, drawn and not told, stand at the head and foot, or instead of another text."""
GEAR = {
    "isolating": {"acid_clean", "new_cell", "renew_cell_lead", "renew_power_pack", "new_flow_sensor"},
    "splashing": {"acid_clean", "superchlorinate"},
    "acid": {"acid_clean"},
    "spent_acid": {"acid_clean"},
}
"""What a visit takes along, and some of the works that need it."""
MEANT_FOR_THE_CODE = {"decibans", "probability", "times_rarer", "minutes", "days"}


def texts_of(data: Any, name: str = "") -> Iterator[str]:
    """Every text of a view that somebody is to read."""
    if name in NO_TEXT or name in MEANT_FOR_THE_CODE:
        return
    if isinstance(data, dict):
        for key, value in data.items():
            yield from texts_of(value, key)
    elif isinstance(data, (list, tuple)):
        for value in data:
            yield from texts_of(value, name)
    elif isinstance(data, str) and data:
        yield data


def squeezed(text: str) -> str:
    """A text without what a sentence around it may change: case of letters, full stops, spaces."""
    return "".join(char.lower() for char in text if not char.isspace() and char not in ".;")


def cautions(document: Document) -> list[str]:
    return [block.caution for block in document.blocks if isinstance(block, CautionBox)]


def lawful(view: JobView) -> None:
    sheet = shop_sheet(view, annex=True)
    both = squeezed(page(sheet) + page(customer_handout(view)) + sheet.foot)
    assert [text for text in texts_of(view_data(view)) if squeezed(text) not in both] == []
    assert [line.caution for line in view.cautions] == cautions(sheet)
    assert len(cautions(sheet)) == len(set(cautions(sheet)))
    ranks = [SIGNALS.index(block.signal) for block in sheet.blocks if isinstance(block, CautionBox)]
    assert ranks == sorted(ranks)
    assert sum(isinstance(block, NewPage) for block in sheet.blocks) <= 1
    for cause in view.causes:
        assert percent(cause.probability) in page(sheet)
    assert view.head.knowledge in sheet.foot


@of_each(NAMES)
def test_handout_and_shop_sheet_hold_all_that_the_view_tells(name: str) -> None:
    lawful(seen(name))


@SLOW
@given(jobs())
def test_handout_and_shop_sheet_of_any_job_hold_all_that_its_view_tells(session: Session) -> None:
    lawful(job_view(session, DATE, voice="counter"))


@of_each(NAMES)
def test_every_number_is_one_of_the_view_or_of_the_words(name: str) -> None:
    view = seen(name)
    known = numbers(str(view_data(view))) | numbers(" ".join(said("shop").values()))
    known |= {part for cause in view.causes for part in numbers(percent(cause.probability))}
    known |= {str(action.minutes) for action in view.actions} | numbers(day_in_words(str(call_by(view))))
    assert numbers(page(shop_sheet(view, annex=True))) <= known


@of_each(NAMES)
def test_a_visit_packs_the_parts_instruments_and_protection_of_its_work(name: str) -> None:
    view = seen(name)
    sheet = page(shop_sheet(view, annex=True))
    visit = view.decision.decision in ("send_technician", "order_and_return") and not view.solved
    assert view.packing.visit == visit
    assert ("Pack for the visit" in sheet) == (visit and bool(view.packing.parts or view.packing.needs))
    if visit:
        repairs = [KNOWLEDGE.repairs[action.repair] for action in view.actions]
        needed = {need.part for repair in repairs for need in repair.parts}
        assert {part for part, _ in view.packing.parts} == needed
        for part, place in view.packing.parts:
            assert (place == "van") == KNOWLEDGE.parts[part].in_van
        for repair in repairs:
            assert repair.needs == "nothing" or said("shop.pack.needs")[repair.needs] in sheet
            for things, repairs_with in GEAR.items():
                assert said("shop.pack.gear")[things] in sheet or repair.id not in repairs_with


@of_each(NAMES)
def test_bring_in_stands_only_where_something_is_brought_in(name: str) -> None:
    view = seen(name)
    found = headings(shop_sheet(view, annex=True))
    assert ("If the cell comes in" in found) == (view.decision.decision == "bring_cell")
    assert ("If the power pack comes in" in found) == (view.decision.decision == "bring_pack")


def test_the_dummy_spool_is_explained_where_a_cell_comes_in() -> None:
    sheet = page(
        shop_sheet(job_view(called("warm pool with a high pH, unit asks for salt", "counter"), DATE), annex=True)
    )
    assert "takes the cell's place so that the pump can run while the cell is out" in sheet


def test_a_power_pack_is_never_opened() -> None:
    sheet = page(shop_sheet(job_view(called("fuse goes again even without the cell", "phone"), DATE), annex=True))
    assert "Never open it at the counter or at home." in sheet


def test_questions_stand_in_the_customers_words_with_how_to_look() -> None:
    view = seen("supply-fault-counter")
    asked = {item for block in shop_sheet(view, annex=True).blocks if isinstance(block, Items) for item in block.items}
    assert view.would_help
    assert {(line.asked, line.how) for line in view.would_help} <= asked
    assert view.keep_away
    assert "Ask only once it has been declared safe:" in page(shop_sheet(view, annex=True))


@of_each(NAMES)
def test_every_part_has_an_amount_or_says_what_is_missing(name: str) -> None:
    view = seen(name)
    sold = {said("view.work.sources")[name] for name in ("sell_now", "put_aside", "lend_now", "sell_when_known")}
    screen, whole = page(shop_sheet(view)), page(shop_sheet(view, annex=True))
    for line in view.parts:
        named = f"{line.name}: {line.amount.text}"
        assert named in whole
        # What is told in danger, or only once another work has failed, is no part of the first screen.
        assert named not in screen or not line.later
        assert named in screen or line.later or line.source not in sold
        assert all(missing in whole for missing in line.amount.missing)


@of_each(NAMES)
def test_the_workings_come_last(name: str) -> None:
    blocks = shop_sheet(seen(name), annex=True).blocks
    turned = blocks.index(Heading("Workings"))
    assert not any(isinstance(block, (CautionBox, Work)) for block in blocks[turned:])


def test_a_page_is_turned_for_many_workings_and_not_for_few() -> None:
    assert NewPage() in shop_sheet(seen("all-tested-counter"), annex=True).blocks
    assert NewPage() not in behind("Annex", (Paragraph("A few words."),))


def test_what_is_waited_for_stands_on_both_papers() -> None:
    salt = [*opened("counter", "low-salt"), *answers(tested_salt=2500.0)]
    view = job_view(job(*salt, Event("deferred", AT, about="add_salt", text="saturday")), DATE)
    assert "saturday" in view.waiting[0].text
    assert all(
        line.text in page(paper) for line in view.waiting for paper in (shop_sheet(view), customer_handout(view))
    )


@of_each(NAMES)
def test_what_could_not_be_done_is_told_without_a_second_mark_behind_a_question(name: str) -> None:
    assert "?:" not in page(shop_sheet(seen(name), annex=True))


def test_the_sheet_begins_with_what_to_read_out_in_danger() -> None:
    view = seen("danger-phone")
    danger, decision, first, *_ = shop_sheet(view).blocks
    assert isinstance(danger, Paragraph)
    assert danger.text.startswith(view.danger)
    assert isinstance(decision, Paragraph)
    assert decision.text.startswith(view.decision.shop)
    assert first == Items(tuple((step, "") for step in view.advice.first), "number")


def test_who_is_called_back_stands_on_the_screen_also_in_danger() -> None:
    told = [Event("recorded", AT, about="customer", value="Ann Example")]
    told.append(Event("recorded", AT, about="telephone", value="555 0134"))
    for more in (answers(tested_salt=2400.0), [*answers(danger_now=DANGER)]):
        view = job_view(job(*opened("phone", "no-output")[:2], *more, *told), DATE, voice="phone")
        assert "Ann Example, 555 0134" in text_form((shop_sheet(view),))


def test_it_is_one_screen_of_24_lines() -> None:
    lines = {name: len(text_form((shop_sheet(seen(name)),)).splitlines()) for name in NAMES}
    assert {name: count for name, count in lines.items() if count > 24} == {}


@of_each(NAMES)
def test_the_first_screen_says_when_the_customer_is_back_or_has_a_day_to_fill_in(name: str) -> None:
    view = seen(name)
    screen = text_form((shop_sheet(view),), 10_000)
    if view.keep_away or view.advice.first:
        return
    day = day_to_come_back(view)
    assert day is None or f"by {day_in_words(day.isoformat(), soon=True)}" in screen
    assert "_____" in screen or day is not None or view.advice.come_back[0] in screen


@of_each(NAMES)
def test_the_first_screen_tells_no_step_without_its_caution(name: str) -> None:
    view = seen(name)
    screen = shop_sheet(view)
    assert not any(isinstance(block, Work) for block in screen.blocks)
    if view.cautions:
        assert (
            cautions(screen) == [line.caution for line in view.cautions]
            or "annex first" in page(screen).lower()
            or (view.advice.first and all(line.in_short in page(screen) for line in view.cautions))
        )
