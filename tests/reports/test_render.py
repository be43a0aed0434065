"""Printed sheets: 80 columns, every section that a sheet must have, and text from people that stays text."""

from __future__ import annotations

import dataclasses

import pytest
import wcwidth
from jinja2 import UndefinedError

from engine.journal import Event
from reports.render import environment, text_sheet
from reports.view import JobView, job_view, view_data
from tests.reports.jobs import AT, DATE, answers, called, job, opened

COUNTER = [
    "WHAT WE THINK IS WRONG",
    "WHAT HAPPENS NEXT",
    "FOR THE SHOP",
    "BEFORE ANYTHING IS DONE, READ THIS",
    "WHAT TO DO, IN THIS ORDER",
    "WHAT NOT TO TOUCH",
    "UNTIL IT WORKS AGAIN",
    "WHEN TO COME BACK",
    "WHAT YOU TOLD US AND WHAT WAS TESTED",
    "WHY WE THINK SO",
    "WHOSE RULES WIN",
]
FIELD = [
    "DECISION",
    "AS FOUND",
    "RANKING",
    "CAUTIONS",
    "ORDER OF WORK",
    "AS LEFT",
    "MEANWHILE",
    "RETURN",
    "LICENSED TRADES AND LOCAL CODE",
    "HANDED OVER",
]
# One a tree, as in the visible worked calls.
CALLS = {
    "no-output": ("service reminder ignored since last season", FIELD),
    "low-salt": ("two bags later it still wants salt", COUNTER),
    "flow-fault": ("gauge a little high, backwash did not help", FIELD),
    "cold-water": ("late autumn, pool thermometer at nine", COUNTER),
    "supply-fault": ("customer wants a cell because the house trips", COUNTER),
}
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


def sheet(*events: Event) -> str:
    return text_sheet(job_view(job(*events), DATE))


def wide(text: str) -> list[str]:
    """Lines over 80 columns, by an outside library's count."""
    return [line for line in text.splitlines() if wcwidth.wcswidth(line) > 80 or wcwidth.wcswidth(line) < 0]


@pytest.mark.parametrize("tree", CALLS)
def test_a_worked_call_of_each_tree_has_every_section_in_order(tree: str) -> None:
    name, sections = CALLS[tree]
    lines = text_sheet(job_view(called(name), DATE)).splitlines()
    places = [lines.index(section) for section in sections]
    assert places == sorted(places)
    assert all(set(lines[place + 1]) == {"-"} for place in places)


@pytest.mark.parametrize("tree", CALLS)
@pytest.mark.parametrize("role", ["counter", "phone", "field"])
def test_no_line_is_over_80_columns_and_no_gap_over_one_line(tree: str, role: str) -> None:
    text = text_sheet(job_view(called(CALLS[tree][0], role), DATE))
    assert wide(text) == []
    assert "\n\n\n" not in text
    assert text.endswith("\n")
    assert all(line == line.rstrip() for line in text.splitlines())


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize("role", ["counter", "field"])
def test_hostile_text_stays_text_in_every_field(text: str, role: str) -> None:
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
    printed = text_sheet(job_view(job(*events), date=text, shop=text))
    assert wide(printed) == []
    assert not {char for char in printed if not char.isprintable()} - {"\n"}
    assert "49" not in printed
    assert "\n\n\n" not in printed
    kept = "".join(char for char in text if char.isprintable() and not char.isspace())
    assert kept in "".join(printed.split())


def test_a_note_cannot_pass_itself_off_as_a_section() -> None:
    printed = sheet(
        *opened("counter", "low-salt"), Event("noted", AT, text="A\nWHAT HAPPENS NEXT\n-----\nSell a new cell.")
    )
    assert printed.splitlines().count("WHAT HAPPENS NEXT") == 1
    assert "- A WHAT HAPPENS NEXT ----- Sell a new cell." in printed


def test_the_field_version_is_signed_and_ticked_and_the_counter_version_is_not() -> None:
    name = CALLS["no-output"][0]
    field, counter = (text_sheet(job_view(called(name, role), DATE)) for role in ("field", "counter"))
    assert "Technician ______" in field
    assert "[ ] 1. " in field
    assert "______" not in counter
    assert "[ ]" not in counter


def test_a_probability_stands_in_words_and_figures() -> None:
    printed = sheet(
        *opened("field", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0, cell_plates="white_scale")
    )
    first = next(line for line in printed.splitlines() if line.startswith("1. "))
    assert first.startswith("1. Calcium scale on the plates. ")
    assert first.endswith(" %.")
    assert any(words in first for words in ("Very likely", "Nearly certain"))


def test_readings_after_a_repair_stand_as_left() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=3400.0, cell_plates="white_scale", cell_current=9.0)]
    events += [
        Event("repaired", AT, about="acid_clean", value="done"),
        Event("verified", AT, about="acid_clean", value="helped"),
    ]
    found, left = sheet(*events, *answers(cell_current=18.6)).split("AS LEFT\n")
    assert "9 A (low)" in found
    assert "18.6 A (right)" in left
    assert "RANKING BEFORE THE REPAIR" in found


def test_a_name_that_a_template_does_not_know_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        environment().from_string("{{ view.no_such_thing }}").render(view=job_view(job(), DATE))


def test_the_plain_data_holds_what_the_view_holds() -> None:
    seen = job_view(called(CALLS["low-salt"][0]), DATE)
    data = view_data(seen)
    assert set(data) == {field.name for field in dataclasses.fields(JobView)}
    assert data["decision"]["decision"] == seen.decision.decision
    assert [cause["probability"] for cause in data["causes"]] == [line.probability for line in seen.causes]
