"""Which sheets a job has, in whose words; and that what people typed stays text on each."""

from __future__ import annotations

from typing import get_args

import pytest
import wcwidth
from hypothesis import given

from engine.knowledge.model import RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import Audience
from reports.letterhead import Letterhead
from reports.renderers.text import text_form
from reports.sheets.choose import sheets, view_for
from tests.reports.jobs import AT, DATE, answers, called, job, jobs, opened
from tests.reports.test_sheet_laws import SLOW

HOSTILE = [
    "{{ 7 * 7 }}{% for x in y %}{# gone #}",
    "{{ view.head.__class__.__mro__ }}",
    "\x1b[2J\x1b[31mred\x07",
    "\u202egnp.exe\u2066",
    "<script>alert(1)</script> & 'quotes' \"double\"",
    "%s %d {} {0} $HOME `ls` \\n",
    "x" * 10_000,
    "水泳" * 2_000,
    "A\nHEADING\n-------\n\n\n\nmore",
]
CALL = "service reminder ignored since last season"


@pytest.mark.parametrize(
    ("role", "audiences"),
    [("field", ["technician"]), ("counter", ["customer", "shop"]), ("phone", ["customer", "shop"])],
)
def test_a_job_has_the_sheets_of_its_role(role: RoleId, audiences: list[str]) -> None:
    assert [paper.audience for paper in sheets(called(CALL, role), DATE)] == audiences


@SLOW
@given(jobs())
def test_every_audience_has_its_sheet_of_any_job(session: Session) -> None:
    audiences: tuple[Audience, ...] = get_args(Audience)
    for audience in audiences:
        (paper,) = sheets(session, DATE, audience)
        assert paper.audience == audience
        assert paper.title
        assert paper.blocks
        assert paper.date == DATE


@pytest.mark.parametrize("role", ["field", "counter", "phone"])
def test_each_is_told_in_its_readers_words(role: RoleId) -> None:
    session = called(CALL, role)
    assert view_for(session, DATE, "technician").voice == "field"
    assert view_for(session, DATE, "customer").voice == ("counter" if role == "field" else role)
    assert view_for(session, DATE).voice == role


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize("role", ["counter", "field"])
def test_what_people_typed_stays_text_in_every_field(text: str, role: str) -> None:
    events = opened("counter", "low-salt")
    events[0] = Event("opened", AT, value=text, text=text)
    events[1] = Event("answered", AT, about="role", value=role)
    events += [
        Event("answered", AT, about="tested_salt", value=3000.0, text=text, by=text),
        Event("cant", AT, about="cell_current", reason=text),
        Event("noted", AT, text=text),
        Event("repaired", AT, about="acid_clean", value="could_not", reason=text),
        Event("closed", AT, value="send_technician", reason=text),
    ]
    shop = Letterhead(text, text, text, text, text, text)
    printed = text_form(sheets(job(*events), date=text, letterhead=shop, annex=True))
    assert all(0 <= wcwidth.wcswidth(line) <= 80 for line in printed.splitlines() if line)
    assert not {char for char in printed if not char.isprintable()} - {"\n"}
    assert "49" not in printed
    assert "\n\n\n" not in printed
    kept = "".join(char for char in text if char.isprintable() and not char.isspace())
    assert kept in "".join(printed.split())


def test_probabilities_are_the_same_on_every_sheet() -> None:
    session = job(*opened("counter", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0))
    shares = [
        [cause.probability for cause in view_for(session, DATE, audience).causes]
        for audience in ("technician", "customer", "shop")
    ]
    assert shares[0] == shares[1] == shares[2]


@pytest.mark.parametrize(("role", "by"), [("field", "test kit"), ("counter", "tested at the counter")])
def test_who_gave_a_reading_is_the_same_for_every_reader(role: RoleId, by: str) -> None:
    session = job(*opened(role, "low-salt", brought="water_sample"), *answers(tested_salt=3000.0))
    for audience in ("technician", "customer", "shop"):
        (line,) = [line for line in view_for(session, DATE, audience).found if line.check == "tested_salt"]
        assert line.given_by == by


@pytest.mark.parametrize("audience", ["technician", "shop"])
def test_every_reading_is_told_in_the_units_asked_for(audience: Audience) -> None:
    # 27 degC is 80.6 degF by the definition of the scale, 48 m3 are 12 680 US gallons of 3.785411784 L (NIST SP 811).
    session = job(*opened("counter", "no-output"), *answers(water_temp=27.0, pool_volume=48.0))
    metric, us = (text_form(sheets(session, DATE, audience, units=units, annex=True)) for units in ("metric", "us"))
    assert "27 °C" in metric
    assert "48 m³" in metric
    assert any(shown in us for shown in ("80.6 °F", "81 °F"))
    assert "US gal" in us
    assert not {"°C", "m³"} & set(us.split())
