"""Slips of form: told in their own line, in words of the slip, with what to write instead."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.hand_slips import slip_in
from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import knowledge_from
from tests.overlay import GOOD, NAME, contents_of

SLIPS = Path(__file__).parents[2] / "examples" / "slips" / "form.yaml"
FILES = contents_of(GOOD)
MOST_WRONG = 2


@dataclass(frozen=True)
class Slip:
    slip: str
    file: str
    old: str
    new: str
    says: tuple[str, ...]
    below: int = 0

    def told(self) -> list[Problem]:
        text = FILES[self.file].decode()
        assert text.count(self.old) >= 1, self.slip
        try:
            knowledge_from(NAME, {**FILES, self.file: text.replace(self.old, self.new, 1).encode()})
        except KnowledgeError as error:
            return list(error.problems)
        return []

    def is_right(self) -> bool:
        """Whether the first message is at the slip's own line, and says all that is needed to mend it."""
        text = FILES[self.file].decode()
        line = text[: text.index(self.old)].count("\n") + 1 + self.below
        told = self.told()
        if not told or (told[0].file, told[0].line) != (f"{NAME}/{self.file}", line):
            return False
        return all(each in f"{told[0].what}; {told[0].advice}" for each in self.says)


@cache
def slips() -> tuple[Slip, ...]:
    data: Any = read_document(str(SLIPS), SLIPS.read_bytes()).data
    return tuple(Slip(**{**each, "says": tuple(map(str, each["says"]))}) for each in data)


def test_nearly_every_slip_of_form_is_told_at_its_line_in_its_words_with_its_mend() -> None:
    wrong = [slip.slip for slip in slips() if not slip.is_right()]
    assert len(slips()) >= 40
    assert len(wrong) <= MOST_WRONG, wrong


def test_what_follows_from_a_slip_is_not_told_beside_it() -> None:
    several = {slip.slip: len(slip.told()) for slip in slips() if len(slip.told()) > 1}
    # A list that serves both readers is read for each.
    assert set(several) <= {"missing comma in list"}


@pytest.mark.parametrize("file", sorted(FILES))
def test_sound_lines_show_no_slip(file: str) -> None:
    wrong = [line for line in FILES[file].decode().splitlines() if slip_in(line) is not None]
    assert wrong == []


@given(st.integers(0, 999), st.integers(0, 99), st.sampled_from(["error: {}", "x: {{y: {}, z: 1}}", "- minutes: {}"]))
def test_a_number_with_a_decimal_comma_is_told_with_its_point(whole: int, rest: int, form: str) -> None:
    slip = slip_in(form.format(f"{whole},{rest:02d}"))
    assert slip is not None
    assert f"`{whole}.{rest:02d}`" in slip.advice
    assert form.format("_")[slip.column - 1] == "_"


@given(st.text(max_size=80))
def test_no_line_is_too_odd_to_be_looked_at(line: str) -> None:
    slip = slip_in(line)
    assert slip is None or 1 <= slip.column <= len(line) + 1
