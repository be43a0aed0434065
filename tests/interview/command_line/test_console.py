"""Output on a narrow terminal: folded between words, and whole for a program that reads it."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from interview.command_line.console import folded


class Terminal(io.StringIO):
    """An output that calls itself a terminal."""

    def isatty(self) -> bool:
        """Whether it is one."""
        return True


WORDS = st.lists(st.text("abcdefgh.,;", min_size=1, max_size=12), min_size=1, max_size=40)


@given(WORDS, st.integers(20, 120))
def test_every_word_is_kept_and_no_line_is_too_long(words: list[str], columns: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", str(columns))
        shown = folded(" ".join(words), Terminal())
    assert shown.split() == words
    assert all(len(line) <= columns for line in shown.splitlines())
    assert all(line.startswith("  ") for line in shown.splitlines()[1:])


@given(WORDS)
def test_a_program_gets_each_line_whole(words: list[str]) -> None:
    text = " ".join(words)
    assert folded(text, io.StringIO()) == text


def test_an_indented_line_keeps_its_indent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "24")
    shown = folded("first\n      one two three four five", Terminal())
    assert shown.splitlines() == ["first", "      one two three four", "        five"]
