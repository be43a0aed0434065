"""The picture of a pool's readings: every visit a mark, in the order of days, and its words for whoever hears it."""

from __future__ import annotations

import datetime
import re

from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st

from reports.charts.canvas import WIDTH
from reports.charts.over_time import Strip, over_time_picture

READINGS = st.lists(
    st.tuples(st.dates(datetime.date(2020, 1, 1), datetime.date(2030, 1, 1)), st.floats(0, 9000)),
    min_size=2,
    max_size=9,
)


def strip(read: list[tuple[datetime.date, float]], name: str = "Salt <test>") -> Strip:
    """A strip of these readings, the oldest first."""
    return Strip(name, tuple((day, number, f"{number:g} ppm") for day, number in sorted(read)))


@given(READINGS)
def test_every_visit_has_its_mark_inside_the_picture(read: list[tuple[datetime.date, float]]) -> None:
    picture = over_time_picture("Ann Example: readings", [strip(read)])
    assert picture is not None
    root = fromstring(picture.svg)
    discs = [node for node in root.iter() if node.tag.endswith("circle")]
    height = float(root.attrib["viewBox"].split()[3])
    assert len(discs) == len(read)
    across = [float(node.attrib["cx"]) for node in discs]
    assert across == sorted(across)
    assert all(0 < x < WIDTH for x in across)
    assert all(0 < float(node.attrib["cy"]) < height for node in discs)


def test_the_words_tell_each_reading_with_its_day() -> None:
    picture = over_time_picture(
        "x", [strip([(datetime.date(2026, 3, 1), 3300.0), (datetime.date(2026, 8, 1), 2700.0)])]
    )
    assert picture is not None
    assert picture.words == ("Salt <test>: 3300 ppm on 2026-03-01; 2700 ppm on 2026-08-01.",)
    assert not re.search("<test>", picture.svg)


def test_a_check_that_was_read_once_is_not_drawn() -> None:
    assert over_time_picture("x", [strip([(datetime.date(2026, 3, 1), 3300.0)])]) is None
