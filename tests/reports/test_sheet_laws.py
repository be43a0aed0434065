"""Laws of the sheet, over random jobs at any moment: each test's name is the law."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator
from typing import get_args

import pytest
import wcwidth
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.knowledge.model import SIGNALS
from engine.knowledge.properties import DECISIONS
from engine.quantities.unit_systems import System
from engine.session.session import Session
from reports.document import Audience, CautionBox
from reports.phrases import chance_in_words, percent
from reports.renderers.text import RECEIPT, text_form
from reports.sheets.choose import sheets, view_for
from reports.view import job_view, view_data
from tests.example_counts import up_to
from tests.paper_rules import asked_of, boxes_of, words_out_of_place
from tests.reports.jobs import DATE, jobs

pytestmark = pytest.mark.no_cover  # hundreds of papers through branches that the kept sheets take too

SLOW = settings(
    max_examples=up_to(60), deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def squeezed(text: str) -> str:
    """A text without its spaces and without the sides of boxes."""
    return "".join(text.replace("|", " ").split())


def texts_of(value: object) -> Iterator[str]:
    """Every text of a paper, all the way down."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from texts_of(part)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from texts_of(getattr(value, field.name))


@SLOW
@given(jobs(), st.sampled_from(get_args(Audience)))
def test_no_caution_is_missing_none_out_of_place_the_gravest_first(session: Session, reader: Audience) -> None:
    seen = view_for(session, DATE, reader)
    boxes, said = boxes_of(seen, reader)
    asked = asked_of(seen, session, reader)
    assert asked.missing(boxes, said) == set()
    assert asked.strange(boxes, said) == set()
    assert list(words_out_of_place(seen, reader)) == []
    lines = seen.home.cautions if reader == "customer" else seen.cautions
    assert [SIGNALS.index(line.signal) for line in lines] == sorted(SIGNALS.index(line.signal) for line in lines)


@SLOW
@given(jobs(), st.sampled_from(get_args(Audience)))
def test_every_caution_of_the_view_is_printed_whole(session: Session, reader: Audience) -> None:
    seen = view_for(session, DATE, reader)
    papers = sheets(session, DATE, reader, annex=True)
    told = {block.caution for block in papers[0].blocks if isinstance(block, CautionBox)}
    home = seen.home
    fewer = reader == "customer" and home.work == "leave" and told != boxes_of(seen, reader)[0]
    boxes, lines = (
        (home.cautions_without_steps, home.in_a_line_without_steps)
        if fewer
        else (home.cautions, home.in_a_line)
        if reader == "customer"
        else (seen.cautions, seen.in_a_line)
    )
    assert told == {line.caution for line in boxes}
    for width in (80, RECEIPT):
        printed = squeezed(text_form(papers, width))
        assert all(squeezed(line.signal + line.text) in printed for line in boxes)
        assert all(squeezed(line.text) in printed for line in lines)


@SLOW
@given(jobs(), st.sampled_from(get_args(System)))
def test_every_line_fits_and_holds_nothing_that_a_printer_would_obey(session: Session, units: System) -> None:
    papers = [sheets(session, DATE, audience, units=units, annex=True) for audience in get_args(Audience)]
    for width in (80, RECEIPT):
        printed = "".join(text_form(paper, width) for paper in papers)
        assert max(wcwidth.wcswidth(line) for line in printed.splitlines()) <= width
        assert all(char.isprintable() or char in "\n\u200c\u200d" for char in printed)
        assert "\n\n\n" not in printed


@SLOW
@given(jobs())
def test_together_the_sheets_of_a_job_hold_all_that_is_known_of_it(session: Session) -> None:
    seen = job_view(session, DATE)
    printed = squeezed(
        " ".join(text for paper in sheets(session, DATE, annex=True) for text in texts_of(paper))
    ).lower()
    owed = [seen.danger, seen.decision.title, *seen.advice.first, *seen.notes, *seen.advice.meanwhile]
    owed += [*seen.advice.come_back, *seen.advice.hands_off, *seen.advice.local_code, *seen.cut_short, *seen.not_known]
    owed += [text for cause in seen.causes for text in (cause.text.rstrip("."), percent(cause.probability))]
    owed += [w.said for cause in seen.causes for w in (*cause.speaks_for, *cause.speaks_against)]
    owed += [text for line in seen.found for text in (line.asked, line.said, line.verdict, line.given_by)]
    owed += [text for line in seen.derived for text in (line.about, line.said, line.figure, *line.readings)]
    owed += [text for act in seen.actions for text in (act.title, *act.steps, act.done_when, act.result_shows)]
    amounts = [a for act in seen.actions for a in act.amounts] + [part.amount for part in seen.parts]
    amounts += [line.amount for line in seen.plan]
    owed += [text for amount in amounts for text in (amount.text, amount.working, amount.care, *amount.missing)]
    owed += [text for part in seen.parts for text in (part.name, part.before_ordering)]
    owed += [text for line in seen.done for text in (line.title, line.outcome, line.verified)]
    owed += [text for line in seen.would_help for text in (line.asked, line.how)]
    owed += [text for line in seen.not_done for text in (line.asked, line.reason)]
    lost = [text for text in owed if squeezed(text).lower().rstrip(".") not in printed]
    assert lost == []


@SLOW
@given(jobs())
def test_probabilities_are_those_of_the_belief_and_add_up_to_one_and_the_pairs(session: Session) -> None:
    seen = job_view(session, DATE)
    shares = [line.probability for line in seen.causes]
    assert shares == sorted(shares, reverse=True)
    assert all(0 <= line.probability <= 1 and line.chance == chance_in_words(line.probability) for line in seen.causes)
    done = {repair for repair, outcome in session.job.repaired.items() if outcome == "done"}
    if seen.causes and done <= set(session.job.failed):
        pairs = sum(share for causes, share in session.hypotheses() if len(causes) == 2)
        assert sum(shares) <= 1 + pairs + 1e-9
        believed = {**session.marginals(), "": dict(session.hypotheses())[()]}
        assert all(abs(believed[line.cause] - line.probability) < 1e-12 for line in seen.causes)
        left_out = {
            cause: share for cause, share in believed.items() if cause not in {line.cause for line in seen.causes}
        }
        assert max(left_out.values(), default=0.0) <= max(shares)


@SLOW
@given(jobs())
def test_a_sheet_always_decides_warns_and_tells_what_to_do_meanwhile(session: Session) -> None:
    seen = job_view(session, DATE)
    assert seen.decision.decision in (*DECISIONS, "")
    assert seen.decision.title
    assert seen.decision.text
    assert any(word in " ".join(seen.advice.meanwhile).lower() for word in ("swim", "in the water", "out", "cleared"))
    assert seen.advice.come_back
    assert seen.advice.local_code
    if seen.keep_away:
        assert "chlorine_for_hand_dosing" not in {part.part for part in seen.parts if part.work in ("meanwhile",)}


@SLOW
@given(jobs())
def test_printing_changes_nothing_and_says_the_same_again(session: Session) -> None:
    events = list(session.events)
    seen = job_view(session, DATE)
    assert session.events == events
    assert job_view(Session(session.models, events), DATE) == seen
    assert json.loads(json.dumps(view_data(seen)))["decision"]["decision"] == seen.decision.decision
