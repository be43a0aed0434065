"""Lines that never end."""

from __future__ import annotations

import io
import itertools

from interview.frontends.bounded_line import read_line


class Endless(io.StringIO):
    """A file that goes on and on without an end of line."""

    def readline(self, size: int = -1, /) -> str:  # type: ignore[override]
        return "x" * size


def test_lines_come_as_they_are() -> None:
    source = io.StringIO("one\ntwo\n\nlast")
    assert list(itertools.takewhile(bool, iter(lambda: read_line(source), None))) == ["one\n", "two\n", "\n", "last"]


def test_a_line_that_is_far_too_long_is_one_line_and_the_next_is_the_next() -> None:
    for length in (19_999, 20_000, 20_001, 40_000, 100_000):
        source = io.StringIO("x" * length + "\nnext\n")
        assert set(read_line(source).rstrip("\n")) == {"x"}
        assert read_line(source) == "next\n", length


def test_a_line_without_end_is_the_end() -> None:
    assert read_line(Endless()) == ""
