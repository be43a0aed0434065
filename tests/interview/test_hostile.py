"""A small form of what `tests/benchmarks/hostile.py` and `tests/benchmarks/kills.py` try at length."""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.benchmarks import hostile, hostile_folders, hostile_texts, kills


def test_what_steers_is_told_from_what_does_not() -> None:
    assert [text for text in hostile_texts.HOSTILE[:4] if not hostile.steers(text)] == []
    assert not hostile.steers("plain, ñ, \u20ac and\na line\t")


def test_a_count_counts_what_fails() -> None:
    count = hostile.Count("x")
    with count.one("good"):
        pass
    with count.one("bad"):
        raise ValueError("broken")
    with count.one("worse") as wrong:
        wrong.append("lost")
    assert count.tried == 3
    assert [each.partition(":")[0] for each in count.wrong] == ["'bad'", "'worse'"]


def test_changed_knowledge_is_used_or_refused_and_never_breaks_the_program() -> None:
    assert hostile.knowledge_files(random.Random(11), 8).wrong == []


def test_changed_folders_are_looked_through_and_never_break_the_program() -> None:
    assert hostile_folders.folders(random.Random(16), 12).wrong == []


def test_hostile_lines_break_no_interview() -> None:
    assert hostile.dialogue(random.Random(12), 90).wrong == []


def test_spoilt_journals_lose_nothing_that_is_whole() -> None:
    assert [each for count in hostile.journals(random.Random(13), 12) for each in count.wrong] == []


def test_hostile_text_steers_no_paper() -> None:
    """A PDF is made and read back by programs: the large form does that, and the tests of PDF."""
    assert hostile.texts(3, ("text", "html", "markdown", "json")).wrong == []


@pytest.mark.e2e
@pytest.mark.parametrize("talk", [kills.by_pipe, kills.at_terminal], ids=lambda way: str(way.__name__))
def test_an_interview_that_is_killed_keeps_what_it_acknowledged(talk: Callable[[Path, float], tuple[int, str]]) -> None:
    if sys.platform == "win32" and talk is kills.at_terminal:
        pytest.skip("there is no such terminal here")
    count = kills.Count()
    kills.one(talk, 5.0, count)
    assert (count.killed, count.lost, count.stuck, count.tracebacks) == (1, 0, 0, 0)
