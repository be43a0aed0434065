"""The four pictures of a sheet: for any job and any wording nothing overlaps, is cut, or says other than the words."""

from __future__ import annotations

import dataclasses
import itertools
import math
from functools import cache
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.evaluation.calls import WorkedCall
from engine.foundation.plain_text import cleaned
from engine.knowledge.model import PLACES
from engine.session.journal import Event
from engine.session.session import Session
from reports.charts.lettering import lines_in, width_of
from reports.charts.movement import apart, movement_picture
from reports.charts.plant import place_picture
from reports.charts.ranges import ranges_picture
from reports.charts.ranking import ranking_picture
from reports.document import Picture
from reports.phrases import percent
from reports.view import JobView, job_view
from reports.view.drawn import GaugeBand, GaugeLine, GaugeReading, Movement, MovementLine
from reports.view.model import CauseLine
from tests.example_counts import up_to
from tests.reports.charts.looking import SVG, boxes, contrast, drawing_problems, letters, texts
from tests.reports.jobs import DATE, answers, called, job, jobs, opened
from tests.shipped import knowledge, visible_calls

PICTURES = (ranking_picture, movement_picture, ranges_picture, place_picture)
NASTY = ["<script>alert(1)</script>", "]]>&amp;\"'", "W" * 200, "a" * 90, "\u202egnp.exe", "漢字" * 30, "é" * 40, "x"]
texts_of_people = st.one_of(st.sampled_from(NASTY), st.text(min_size=1, max_size=80))
chances = st.floats(0, 1)


def drawn(view: JobView) -> list[Picture]:
    return [picture for draw in PICTURES if (picture := draw(view)) is not None]


@cache
def a_view() -> JobView:
    return job_view(job(*opened("field", "low-salt"), *answers(tested_salt=2300.0, unit_salt=2200.0)), DATE)


@settings(max_examples=up_to(30), deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_for_any_job_every_picture_can_be_read(session: Session) -> None:
    for picture in drawn(job_view(session, DATE)):
        assert drawing_problems(picture.svg) == []
        assert picture.title
        assert all(picture.words)


@st.composite
def hostile(draw: st.DrawFn) -> JobView:
    """A view whose every name is what a careless or malicious translator might have written."""
    causes = [
        CauseLine(f"cause_{k}", draw(texts_of_people), draw(chances), draw(texts_of_people), place=draw(places))
        for k in range(draw(st.integers(1, 6)))
    ]
    steps = tuple(draw(st.lists(texts_of_people, min_size=1, max_size=10)))
    shares = st.lists(chances, min_size=len(steps) + 1, max_size=len(steps) + 1).map(tuple)
    lines = tuple(MovementLine(c.cause, c.text, draw(shares)) for c in causes[:4])
    names = draw(st.lists(texts_of_people, min_size=2, max_size=5))
    limits = [None, *range(1000, 1000 * len(names), 1000), None]
    bands = tuple(
        GaugeBand(str(k), name, limits[k], limits[k + 1], f"{limits[k]} ppm", f"{limits[k + 1]} ppm")
        for k, name in enumerate(names)
    )
    readings = tuple(
        GaugeReading(source, draw(st.floats(-1e6, 1e6)), draw(texts_of_people)[:30], "0", draw(texts_of_people))
        for source in ("test", "unit")
    )
    gauge = GaugeLine(draw(st.sampled_from(["salt", "chlorine"])), bands, readings)
    moved = Movement(steps, lines, draw(st.integers(0, 30)))
    return dataclasses.replace(a_view(), causes=tuple(causes), movement=moved, gauges=(gauge,))


places = st.sampled_from(["", *PLACES])


@settings(max_examples=up_to(60), deadline=None, suppress_health_check=list(HealthCheck))
@given(hostile())
def test_no_name_breaks_a_picture(view: JobView) -> None:
    for picture in drawn(view):
        assert drawing_problems(picture.svg) == []


@settings(max_examples=up_to(40), deadline=None, suppress_health_check=list(HealthCheck))
@given(jobs())
def test_no_label_is_cut_and_every_number_stands_in_the_ranking(session: Session) -> None:
    view = job_view(session, DATE)
    picture = ranking_picture(view)
    assert (picture is None) == (not view.causes)
    if picture is not None:
        written = letters(picture.svg)
        for cause in view.causes:
            assert "".join(cause.text.split()).rstrip(".") in written
            assert "".join(percent(cause.probability).split()) in written


def test_a_bar_is_as_long_as_its_share() -> None:
    """Two bars of 60 and 30 per cent: the first twice as long."""
    view = dataclasses.replace(
        a_view(), causes=(CauseLine("a", "A.", 0.6, "likely"), CauseLine("b", "B.", 0.3, "possible"))
    )
    picture = ranking_picture(view)
    assert picture is not None
    first, second = [box.right - box.left for box in boxes(picture.svg)[1:]]
    assert first / second == pytest.approx(2.0, rel=0.01)


@pytest.mark.parametrize("call", visible_calls()[::4], ids=lambda call: call.name)
def test_the_movement_ends_where_the_ranking_stands(call: WorkedCall) -> None:
    view = job_view(called(call.name), DATE)
    if view.movement is None:
        return
    now = {cause.cause: cause.probability for cause in view.causes}
    for line in view.movement.lines:
        assert len(line.probabilities) == len(view.movement.steps) + 1
        assert all(0 <= share <= 1 for share in line.probabilities)
        if line.cause in now:
            assert math.isclose(line.probabilities[-1], now[line.cause], abs_tol=1e-12)


def test_the_movement_begins_at_the_tree_s_own_shares() -> None:
    """As many calls as the tree counts are low salt as the main cause, and up to a tenth more with the pairs."""
    alone = knowledge().trees["low-salt"].singles["salt_low"]
    view = job_view(job(*opened("field", "low-salt"), *answers(tested_salt=2300.0)), DATE)
    assert view.movement is not None
    salt = next(line for line in view.movement.lines if line.cause == "salt_low")
    assert alone <= salt.probabilities[0] <= alone + 0.1
    assert salt.probabilities[-1] > salt.probabilities[0]


def test_an_answer_that_was_taken_back_moves_nothing() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=2300.0)]
    back = Event("taken_back", DATE)
    assert job_view(job(*events, back), DATE).movement is None


def test_readings_stand_on_the_bands_of_the_unit_profile() -> None:
    """2300 is under the default profile's stop at 2400 ppm; 3500 lies between low 2800 and high 4500."""
    view = job_view(
        job(*opened("field", "low-salt"), *answers(tested_salt=3500.0, unit_salt=2300.0, free_chlorine=2.0)), DATE
    )
    salt, chlorine = view.gauges
    assert [(r.source, r.band) for r in salt.readings] == [("test", "right"), ("unit", "very_low")]
    assert [band.high for band in salt.bands] == [1000, 2400, 2800, 4500, None]
    assert [r.band for r in chlorine.readings] == ["fine"]


@given(st.lists(st.floats(-1e6, 1e6, allow_nan=False), min_size=2, max_size=2))
def test_a_higher_reading_never_stands_further_left(values: list[float]) -> None:
    low, high = sorted(values)
    salt = job_view(job(*opened("field", "low-salt"), *answers(tested_salt=3000.0)), DATE).gauges[0]

    def mark(value: float) -> float:
        gauge = dataclasses.replace(salt, readings=(dataclasses.replace(salt.readings[0], value=value),))
        picture = ranges_picture(dataclasses.replace(a_view(), gauges=(gauge,)))
        assert picture is not None
        shapes = [e.get("points", "") for e in ElementTree.fromstring(picture.svg).iter(f"{SVG}polygon")]
        return float(shapes[-1].split(",")[0])

    assert mark(low) <= mark(high)


@pytest.mark.parametrize("place", PLACES)
def test_each_place_can_be_marked(place: str) -> None:
    causes = tuple(CauseLine(name, f"{name}.", 0.3, "possible", place=place) for name in ("one", "two", "three"))
    picture = place_picture(dataclasses.replace(a_view(), causes=causes))
    assert picture is not None
    assert drawing_problems(picture.svg) == []
    assert picture.svg.count('stroke-width="4"') == 1
    assert sorted(box.text for box in texts(picture.svg) if box.text in "123") == ["1", "1", "2", "2", "3", "3"]


def test_without_a_likely_place_there_is_no_drawing_of_it() -> None:
    view = dataclasses.replace(a_view(), causes=(CauseLine("", "Something else.", 0.9, "likely"),))
    assert place_picture(view) is None


def test_contrast_is_measured_as_the_guidelines_do() -> None:
    """Black on white is 21 to 1; #767676 on white is the usual example of just 4.54 (WCAG examples, from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@given(st.text(max_size=120), st.floats(30, 400))
def test_lines_lose_no_letter_and_keep_their_width(text: str, width: float) -> None:
    lines = lines_in(text, width, 11.0)
    assert "".join("".join(line.split()) for line in lines) == "".join(cleaned(text).split())
    assert all(width_of(line, 11.0) <= width or len(line) == 1 for line in lines)


sized = st.tuples(st.floats(-50, 300), st.floats(5, 60))


@given(st.lists(sized, min_size=1, max_size=6))
def test_things_set_apart_never_meet(things: list[tuple[float, float]]) -> None:
    wanted, sizes = zip(*things, strict=True)
    tops = apart(wanted, sizes, 0.0, 2.0)
    spans = sorted((top, top + size) for top, size in zip(tops, sizes, strict=True))
    assert all(end <= start + 1e-9 for (_, end), (start, _) in itertools.pairwise(spans))
