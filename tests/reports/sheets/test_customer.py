"""Laws of the customer's handout: plain words, one page, every caution of what it tells, no work that is not theirs."""

from __future__ import annotations

import dataclasses
import re
import statistics
from collections.abc import Mapping

import pytest
import textstat
from hypothesis import HealthCheck, given, settings

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said, say
from engine.knowledge.model import SIGNALS
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import CautionBox, Document, Items, NewPage, Paragraph, Table
from reports.phrases import sentence
from reports.sheets.beside import step_of, used_at
from reports.sheets.choose import sheets
from reports.sheets.customer import customer_handout, gear_at_home
from reports.sheets.glossary import words_of
from reports.view import JobView, job_view, view_data
from tests.benchmarks.handouts import as_counter, in_use, measured
from tests.benchmarks.papers import calls
from tests.example_counts import up_to
from tests.reports.jobs import AT, DATE, answers, called, job, jobs, opened
from tests.reports.sheets.papers import CALLS, NAMES, headings, leads, numbers, of_each, page, seen, ticked
from tests.reports.test_golden_sheets import SHEETS
from tests.shipped import knowledge, models_in

KNOWLEDGE = knowledge()
SLOW = settings(
    max_examples=up_to(40), deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
GRADE = 7.0
LONGEST_PAGE, MIDDLE_PAGE, OPENS_BY = 450, 300, 12
"""Words of the longest page and of the middle one in text, and the line by which it says what to do first.

By that line the first numbered step, or its first box, stands on the middle page too.
"""
LONGEST_CALLS = (
    "tablets in the skimmer beside the salt unit since May",
    "flood water over the coping, now it is soup",
    "pH climbs, alkalinity of two hundred, and flakes since July",
)
EXPLAINED = ("union", "flow sensor", "power pack", "calcium hardness", "alkalinity", "reagents", "cell lead")
"""Words of the trade that a pool owner need not know; common practice, no source."""
NEVER = re.compile(
    r"\b(electrolysis|hypochlorite|cyanuric|residual[- ]current|rectifier|polarity|electrode|multiport|impeller|DPD|"
    r"salinity|decibans?|posterior|probability|bathers?|dosing)\b"
)
"""Words that have no place on it, explained or not."""
BLAME = re.compile(r"\b(you should have|your fault|you forgot|you failed|your mistake)\b", re.IGNORECASE)


def as_told(session: Session) -> JobView:
    return job_view(session, DATE, voice="counter")


def prose(document: Document) -> str:
    """The page as sentences, each item of a list one, for the Flesch-Kincaid grade."""
    return " ".join(sentence(text) for text in words_of(document.blocks) if text)


def cautions(document: Document) -> list[str]:
    return [block.caution for block in document.blocks if isinstance(block, CautionBox)]


def ranks_side_by_side(document: Document) -> list[list[int]]:
    """The signal words of cautions that stand at one step, as they stand; the gravest has the least number."""
    runs: list[list[int]] = [[]]
    for block in document.blocks:
        if isinstance(block, CautionBox):
            runs[-1].append(SIGNALS.index(block.signal))
        else:
            runs.append([])
    return runs


def told_steps(view: JobView, document: Document) -> list[str]:
    """The repairs whose steps stand on the page."""
    listed = {text for block in document.blocks if isinstance(block, Items) for text, _ in block.items}
    return [action.repair for action in view.actions if action.steps and set(action.steps) <= listed]


def lawful(view: JobView) -> None:
    document = customer_handout(view)
    shown = cautions(document)
    for ranks in ranks_side_by_side(document):
        assert ranks == sorted(ranks)
    assert len(set(shown)) == len(shown)
    for repair in told_steps(view, document):
        assert "owner" in KNOWLEDGE.repairs[repair].who or view.home.work == "leave"
    if view.keep_away and told_steps(view, document):
        assert view.decision.decision == "call_electrician"
    assert not any(isinstance(block, NewPage) for block in document.blocks)
    assert not BLAME.search(page(document))
    assert textstat.flesch_kincaid_grade(prose(document)) <= GRADE


@of_each(NAMES)
def test_a_handout_of_a_shipped_job_keeps_the_laws(name: str) -> None:
    lawful(seen(name))


@SLOW
@given(jobs())
def test_a_handout_of_any_job_keeps_the_laws(session: Session) -> None:
    lawful(as_told(session))


@of_each(NAMES)
def test_no_word_of_the_trade_stands_without_its_explanation(name: str) -> None:
    document = customer_handout(seen(name))
    *blocks, last = document.blocks
    told = "\n".join(words_of(blocks))
    explained = last.text if isinstance(last, Paragraph) and last.kind == "small" else ""
    missing = [
        word
        for word in EXPLAINED
        if re.search(rf"(?<!\w){word}s?(?!\w)", told) and not re.search(rf"(?<!\w){word}s? = \w", explained)
    ]
    assert missing == []
    assert NEVER.findall(told) == []


def short(views: Mapping[str, JobView]) -> None:
    pages = [measured(name, in_use(customer_handout(view))) for name, view in views.items()]
    assert {page.name: page.words for page in pages if page.words > LONGEST_PAGE} == {}
    assert {page.name: page.opens for page in pages if page.opens > OPENS_BY} == {}
    assert statistics.median(page.step for page in pages if page.step) <= OPENS_BY


@of_each(NAMES)
def test_what_nobody_does_meanwhile_stands_before_what_is_wrong(name: str) -> None:
    view = seen(name)
    if view.danger and view.advice.first:
        return
    told = page(customer_handout(view))
    opening = told[: told.index(say("handout.wrong.was" if view.solved else "handout.wrong.heading", what=""))]
    assert [line for line in (view.advice.bathing, *view.advice.hands_off) if line not in opening] == []
    assert [line for line in (view.advice.bathing, *view.advice.hands_off) if line and told.count(line) > 1] == []


def test_a_page_is_short_and_says_at_once_what_to_do_first() -> None:
    short({name: seen(name) for name in NAMES})


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_longest_pages_of_all_worked_calls_are_as_short(language: str) -> None:
    """Which they are, `tests/benchmarks/handouts.py` tells; a pool whose size is known has a dose more to be told."""
    use_language(language)
    try:
        models = models_in(language)
        for call in (call for call in calls(1) if call.name in LONGEST_CALLS):
            told = as_counter(models, call)
            size = Event("answered", AT, about="pool_volume", value=50.0)
            for events in (told.events, (*told.events[:-1], size, *told.events[-1:])):
                handout = in_use(sheets(Session(models, events), DATE, "customer")[0])
                assert measured(call.name, handout).words <= LONGEST_PAGE
    finally:
        use_language("en")


@pytest.mark.e2e
@pytest.mark.no_cover  # a hundred papers through branches that the kept sheets take too
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_middle_of_the_pages_of_worked_calls_is_short(language: str) -> None:
    """Of each sixth call; `tests/benchmarks/handouts.py` takes all."""
    use_language(language)
    try:
        models = models_in(language)
        handouts = ((call.name, sheets(as_counter(models, call), DATE, "customer")[0]) for call in calls(6))
        assert statistics.median(measured(name, in_use(page)).words for name, page in handouts) <= MIDDLE_PAGE
    finally:
        use_language("en")


def test_a_page_in_spanish_is_as_short() -> None:
    jobs_told = {name: called(name, role) for name, role in CALLS if role == "counter"}
    jobs_told |= {name: make() for name, make in SHEETS.items()}
    use_language("es")
    try:
        models = models_in("es")
        short({name: job_view(Session(models, told.events), DATE, voice="counter") for name, told in jobs_told.items()})
    finally:
        use_language("en")


def test_a_page_opens_with_what_to_do_first_and_its_amount() -> None:
    for name in NAMES:
        view = seen(name)
        first, document = view.advice.opening, customer_handout(view)
        if not view.danger:
            assert first
            assert document.blocks[0] == Paragraph(first, "lead") or view.keep_away
        poured = [part for part in view.parts if part.part in view.home.parts and part.amount.missing == ()]
        if view.home.work == "steps" and (mine := [part for part in poured if part.work == view.actions[0].title]):
            amounts = {part.amount.text for part in mine if " " in part.amount.text and part.amount.working}
            assert not amounts or any(amount in first for amount in amounts)


@of_each(NAMES)
def test_what_is_explained_stands_on_the_page(name: str) -> None:
    *blocks, last = customer_handout(seen(name)).blocks
    told = "\n".join(words_of(blocks)).lower()
    forms, means = said("handout.glossary.forms"), said("handout.glossary.means")
    assert set(forms) == set(means)
    if isinstance(last, Paragraph) and last.kind == "small":
        for word, meaning in means.items():
            if f"= {meaning}" in last.text:
                assert any(form.strip().lower() in told for form in forms[word].split(","))


@of_each(NAMES)
def test_every_number_is_one_of_the_view_or_of_the_words(name: str) -> None:
    view = seen(name)
    known = numbers(str(view_data(view))) | numbers(" ".join((*said("handout").values(), "11 May 2026")))
    places = re.compile(r"\(steps? [0-9, and]+\)")
    assert numbers(places.sub("", page(customer_handout(view)))) <= known


@of_each(NAMES)
def test_everything_taken_home_has_an_amount_or_says_what_is_missing(name: str) -> None:
    for text, aside in ticked(customer_handout(seen(name))):
        if text.lower().rstrip(".") == ", ".join(gear_at_home(seen(name))).lower():
            continue
        amount = text.rpartition(": ")[2]
        assert any(char.isdigit() for char in amount) or "see “" in text or "We need: " in aside


@pytest.mark.parametrize("danger", [answer.id for answer in KNOWLEDGE.checks["danger_now"].answers if answer.reports])
def test_in_danger_nothing_else_stands_on_the_page(danger: str) -> None:
    view = as_told(job(*opened("phone", "no-output")[:2], *answers(danger_now=danger), *answers(tested_salt=2500.0)))
    document = customer_handout(view)
    assert headings(document)[0] == "Danger"
    assert leads(document) == [view.danger]
    steps = [block for block in document.blocks if isinstance(block, Items) and block.mark == "number"]
    assert [text for text, _ in steps[0].items] == list(view.advice.first)
    assert len(steps) == 1
    assert ticked(document) == []
    assert not any(isinstance(block, Table) for block in document.blocks)
    assert len(headings(document)) == 2
    assert view.home.cautions
    assert {line.caution for line in view.home.cautions} == set(cautions(document))


def test_whoever_must_keep_away_is_told_so_before_anything_else_and_takes_nothing_out() -> None:
    view = as_told(called("customer wants a cell because the house trips", "counter"))
    document = customer_handout(view)
    assert view.keep_away
    assert headings(document)[0] == "Until it works again"
    assert "Upkeep" not in headings(document)
    assert not any(step in page(document) for step in said("handout.bring_pack").values())
    assert {"tingle_keep_out", "licensed_electrician"} <= set(cautions(document))


def test_acid_work_is_not_told_to_whoever_is_to_bring_the_cell_in() -> None:
    view = as_told(called("warm pool with a high pH, unit asks for salt", "phone"))
    document = customer_handout(view)
    assert view.home.work == "bring_cell"
    assert "one part acid" not in page(document)
    assert leads(document)[0].startswith("Take out the cell (")


def test_a_cell_already_at_the_shop_leaves_a_gap_to_close() -> None:
    events = [*opened("counter", "low-salt", brought="water_sample+cell")]
    view = as_told(job(*events, *answers(tested_salt=3400.0, unit_salt=2300.0, cell_plates="white_scale")))
    document = customer_handout(view)
    assert view.home.work == "fit_spool"
    assert {"switch_off_and_lock", "release_pressure"} <= set(cautions(document))
    assert any(text.startswith("Spacer pipe") for text, _ in ticked(document))


def test_work_that_goes_with_the_first_is_named_with_where_to_ask_or_who_does_it() -> None:
    view = as_told(called("cell in a bucket and a bottle of pool water", "phone"))
    salt, clean, *_ = view.actions
    assert (salt.repair, clean.repair) == ("add_salt", "acid_clean")
    rests = "Ask us how first. Switch on only the pump until it is done."
    for work, ends in ((clean, "We do that here: bring it in."), (salt, rests)):
        other = clean if work is salt else salt
        both = dataclasses.replace(view, actions=(other, dataclasses.replace(work, when="also")))
        lines = page(customer_handout(both)).split("\n")
        assert [line.endswith(ends) for line in lines if line.startswith(f"Also needed: {work.title}")] == [True]
        assert [line for line in lines if "% acid" in line and work is clean] == []


def test_a_cell_that_lies_at_the_counter_is_cleaned_before_the_salt_goes_in() -> None:
    view = as_told(called("cell in a bucket and a bottle of pool water"))
    assert [(action.repair, action.when) for action in view.actions[:2]] == [
        ("acid_clean", "first"),
        ("add_salt", "also"),
    ]
    document = customer_handout(view)
    assert "Once the cell is back in: Add the right amount of salt" in page(document)
    assert "witch the chlorinator on" not in page(document)


@of_each(NAMES)
def test_every_caution_and_every_step_stands_and_each_at_its_place(name: str) -> None:
    """A caution that has a word of a step stands before the first such step, and after the steps before it."""
    view = seen(name)
    document, words = customer_handout(view), said("handout.beside.cautions")
    if view.home.work != "steps":
        return
    steps = [
        text
        for block in document.blocks
        if isinstance(block, Items) and block.mark == "number"
        for text, _ in block.items
    ]
    assert steps == list(view.actions[0].steps)
    done = 0
    for block in document.blocks:
        if isinstance(block, Items) and block.mark == "number":
            assert block.first == done + 1
            done += len(block.items)
        if isinstance(block, CautionBox) and block.caution not in view.home.beside_dose:
            assert done + 1 == (step_of(words.get(block.caution, ""), steps) or 1)


def steps_told(view: JobView) -> list[tuple[str, str]]:
    blocks = customer_handout(view).blocks
    return [item for block in blocks if isinstance(block, Items) and block.mark == "number" for item in block.items]


def test_what_was_worked_out_stands_at_the_step_that_uses_it() -> None:
    met = 0
    for view in map(seen, NAMES):
        if view.home.work == "steps" and not view.danger:
            worked = [p for p in view.parts if p.amount.working and p.work == view.actions[0].title]
            for part in (p for p in worked if any(map(str.isdigit, p.amount.text))):
                asides = [aside for step, aside in steps_told(view) if used_at(part.part, [step])]
                assert not asides or part.amount.text[1:] in asides[0]
                met += bool(asides)
    assert met > 2


@of_each(NAMES)
def test_nothing_beside_a_step_says_it_again(name: str) -> None:
    for step, aside in steps_told(seen(name)):
        there = set(re.findall(r"\w+", step.casefold()))
        for part in re.split(r"[;.]", aside):
            words = set(re.findall(r"\w+", part.casefold()))
            assert not words or words - there, (step, aside)


def test_minutes_of_work_with_a_day_of_waiting_in_it_say_so() -> None:
    view = as_told(job(*opened("counter", "low-salt"), *answers(tested_salt=2400.0, pool_volume=50.0)))
    assert any("Run the pump for a day" in step for step in view.actions[0].steps)
    assert "What to do (30 minutes, plus waiting)" in headings(customer_handout(view))


def test_a_recorded_name_stands_on_the_page_before_all_else() -> None:
    told = Event("recorded", AT, about="customer", value="Ann Example")
    view = as_told(job(*opened("counter", "low-salt"), *answers(tested_salt=2400.0), told))
    assert customer_handout(view).blocks[0] == Paragraph("For Ann Example")


def test_every_caution_has_words_by_which_its_step_is_known() -> None:
    assert set(said("handout.beside.cautions")) <= set(KNOWLEDGE.cautions)
    assert set(said("handout.beside.parts")) <= set(KNOWLEDGE.parts)
    assert set(KNOWLEDGE.cautions) - set(said("handout.beside.cautions")) <= {"low_voltage_high_current"}


def test_a_looked_for_answer_is_given_to_what_people_come_for() -> None:
    enough = as_told(job(*opened("counter", "low-salt"), *answers(tested_salt=3500.0, unit_salt=2300.0)))
    assert "No salt today: the test shows 3500 ppm, and that is enough." in page(customer_handout(enough))
    lacking = as_told(job(*opened("counter", "low-salt"), *answers(tested_salt=2300.0, pool_volume=50.0)))
    assert not any(line.startswith("No salt") for line in lacking.advice.answers)
    tablets = as_told(job(*opened("counter", "no-output"), *answers(stabiliser=150.0, free_chlorine=0.2)))
    assert any(line.startswith("Stop using chlorine tablets") for line in tablets.advice.answers)


def test_the_day_to_call_by_is_a_week_off_where_no_other_day_is_told() -> None:
    document = customer_handout(seen("two bags later it still wants salt, counter"))
    assert "Call us by 11 May." in page(document)
    undated = customer_handout(job_view(called("cell in a bucket and a bottle of pool water", "phone"), "one day"))
    assert "Call us by" not in page(undated)


def test_an_old_danger_that_nobody_could_rule_out_heads_the_page() -> None:
    said_before = opened("counter", "low-salt")
    said_before[2] = said_before[2].__class__("dont_know", AT, about="danger_now")
    document = customer_handout(as_told(job(*said_before, *answers(tested_salt=2500.0))))
    assert headings(document)[0] == "Danger not ruled out"
