"""Slips of the fingers: one proposal at most, and none where it could be anything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from interview.messages import Choice
from interview.understanding.replies import slip
from interview.understanding.slips import meant_by
from tests.interview.people import COLOURS, SALT


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("lsit", "list"), ("finihs", "finish"), ("leav", "leave"), ("gray", "grey"), ("rinss", "rinses")],
)
def test_a_slip_in_a_command_or_an_answer_is_told(typed: str, meant: str) -> None:
    assert slip(typed, COLOURS) == meant


def test_a_command_with_a_slip_keeps_what_stands_behind_it() -> None:
    assert slip("chnage salt", COLOURS) == "change salt"
    assert slip("lsit", SALT) == "list"


@pytest.mark.parametrize("typed", ["", "ls", "xyz", "zebra crossing", "list", "back", "12345"])
def test_what_is_none_is_not_guessed(typed: str) -> None:
    assert slip(typed, COLOURS) == ""


def test_of_two_that_are_as_near_none_is_proposed() -> None:
    assert meant_by("beack", ("beach", "black")) == ""
    two = replace(COLOURS, choices=(Choice("beach", "Beach"), Choice("bleak", "Bleak")))
    assert slip("bleac", two) in ("", "bleak")
