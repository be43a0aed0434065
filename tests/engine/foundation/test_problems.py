"""Problems: their text, their order, and what they suggest."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import KnowledgeError, Problem, advice_for, nearest, shown

PROBLEMS = st.lists(
    st.builds(
        Problem,
        file=st.sampled_from(["causes/cell.yaml", "checks/seen.yaml"]),
        line=st.integers(1, 30),
        column=st.integers(1, 30),
        what=st.sampled_from(["this is wrong", "that is wrong"]),
        advice=st.just("write it right"),
    )
)


def test_a_problem_says_its_place_as_editors_read_it() -> None:
    problem = Problem("causes/cell.yaml", 12, 3, "`coment` is not a field here", "did you mean `comment`?")
    assert str(problem) == "causes/cell.yaml:12:3: `coment` is not a field here; did you mean `comment`?"


@given(PROBLEMS)
def test_an_error_holds_every_problem_once_in_order_of_place(problems: list[Problem]) -> None:
    error = KnowledgeError(problems)
    assert set(error.problems) == set(problems)
    places = [(problem.file, problem.line, problem.column) for problem in error.problems]
    assert places == sorted(places)
    assert len(error.problems) == len(set(problems))
    assert str(error).splitlines() == [str(problem) for problem in error.problems[:20]]


@given(st.lists(st.text("abc_", min_size=1, max_size=8), min_size=1))
def test_a_known_word_is_nearest_to_itself(words: list[str]) -> None:
    assert nearest(words[0], words) == words[0]


def test_what_is_like_nothing_known_gets_no_suggestion() -> None:
    assert nearest("zebra", ["cell_scaled", "salt_low"]) is None


def test_a_short_list_of_known_words_is_told_and_a_long_one_is_not() -> None:
    assert advice_for("zebra", ["kit", "tools"]) == "allowed here: kit, tools"
    assert advice_for("zebra", [f"cause_{n}" for n in range(40)]) == "none of the 40 known names is similar"
    assert advice_for("zebra", []) == "nothing is allowed here"


def test_a_message_is_one_plain_line_of_a_bounded_length() -> None:
    bad = "\x1b]52;c;eA==\x07\u202e\n" + "x" * 100_000
    for line in (str(Problem(bad[:20], 1, 1, bad, bad)), shown(bad), shown(bad, 60)):
        assert line.isprintable()
        assert len(line) < 1000
    assert shown("short and plain") == "short and plain"
    assert len(shown("x" * 1000, 60)) <= 60
    assert len(str(KnowledgeError(Problem("f", n, 1, bad, bad) for n in range(1000)))) < 50_000
