"""The rules: each is broken by some example, explains itself, and lets the good folder pass."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import Problem
from engine.knowledge.catalogue import Folder
from engine.knowledge.loader import read_folder
from engine.knowledge.rules import RULES, rule_problems
from tests.overlay import GOOD, NAME, contents_of, mistakes, overlaid

Rule = Callable[[Folder], Iterator[Problem]]
FILES = contents_of(GOOD)
TREE = FILES["trees/low-salt.yaml"].decode()
CELL = FILES["causes/cell.yaml"].decode()
TESTED = FILES["checks/tested.yaml"].decode()


@pytest.fixture(scope="module")
def broken() -> dict[str, Folder]:
    """Each mistake's folder, as far as it could be read."""
    return {mistake: read_folder(NAME, overlaid(mistake))[0] for mistake in mistakes()}


def name_of(rule: Rule) -> str:
    return str(getattr(rule, "__name__", rule))


def told(files: dict[str, str]) -> list[str]:
    folder, problems = read_folder(NAME, {**FILES, **{name: text.encode() for name, text in files.items()}})
    assert problems == []
    return [problem.what for problem in rule_problems(folder)]


def test_the_good_folder_breaks_no_rule() -> None:
    assert told({}) == []


def test_no_answer_tells_two_complaints() -> None:
    tells = TREE.replace("\ngiven:", "\ntold_by: {unit_report: [low_salt_running]}\ngiven:", 1)
    again = tells.replace("tree: low-salt", "tree: salt-again")
    assert told({"trees/low-salt.yaml": tells}) == []
    (what,) = told({"trees/low-salt.yaml": tells, "trees/salt-again.yaml": again})
    assert what == "`low_salt_running` of `unit_report` already indicates the complaint `low-salt`"


def test_each_rule_is_broken_by_some_example(broken: dict[str, Folder]) -> None:
    asleep = [rule for rule in RULES if not any(any(rule(folder)) for folder in broken.values())]
    assert [name_of(rule) for rule in asleep] == []


def test_each_rule_explains_itself_with_a_right_and_a_wrong_example() -> None:
    manuals = {name_of(rule): rule.__doc__ or "" for rule in RULES}
    silent = [name for name, text in manuals.items() if not ("\n    Right: " in text and "\n    Wrong: " in text)]
    assert silent == []


def test_no_rule_stands_twice() -> None:
    assert len(set(RULES)) == len(RULES)


@given(st.lists(st.integers(1, 97), min_size=3, max_size=3))
def test_calls_must_add_up_to_100(numbers: list[int]) -> None:
    a, b, c = numbers
    counts = f"salt_low: {a}, cell_scaled: {b}, salt_undissolved: {c}"
    tree = TREE.replace("salt_low: 60, cell_scaled: 30, salt_undissolved: 6", counts)
    wrong = [f"`of_100_calls` adds up to {a + b + c + 4}, not to 100"]
    assert told({"trees/low-salt.yaml": tree}) == ([] if a + b + c == 96 else wrong)


@given(st.integers(1, 99).map(lambda n: n / 100), st.integers(1, 99).map(lambda n: n / 100))
def test_shares_of_two_answers_must_make_one_where_none_is_left(first: float, second: float) -> None:
    """The check has these two answers only, so the shares must make 1."""
    cause = CELL.replace("{white_scale: nearly always}", f"{{white_scale: {first}, clean: {second}}}")
    assert bool(told({"causes/cell.yaml": cause})) == (round(first * 100) + round(second * 100) != 100)


@given(st.permutations([2000, 3000, 4000]))
def test_only_rising_bands_pass(ends: list[int]) -> None:
    bands = f"{{low: under {ends[0]}, right: under {ends[1]}, rather_high: under {ends[2]}, high: the rest}}"
    tested = TESTED.replace("{low: under salt.low, right: under salt.high, high: the rest}", bands)
    tested = tested.replace("{right: 94, low: 4, high: 2}", "{right: 93, low: 4, rather_high: 1, high: 2}")
    assert (told({"checks/tested.yaml": tested}) == []) == (ends == sorted(ends))


@given(st.integers(1, 1700))
def test_a_band_may_be_two_errors_wide_and_no_less(error_ppm: int) -> None:
    """The band `right` reaches from 2800 to 4500 in the default profile, so it is 1700 wide."""
    tested = TESTED.replace("error: 5 % or 100", f"error: {error_ppm}")
    assert (told({"checks/tested.yaml": tested}) == []) == (2 * error_ppm <= 1700)


def test_a_limit_is_held_against_every_profile_and_told_once() -> None:
    unit = FILES["units/default.yaml"].decode()
    colder = unit.replace("lockout: 11", "lockout: 16")
    cold = {f"units/cold_{n}.yaml": colder.replace("unit: default", f"unit: cold_{n}") for n in (1, 2)}
    (what,) = told(cold)
    assert what.endswith("`cool` ends at 15, not above the end of `cold`, 16, for the unit profile `cold_1`")


def test_never_and_always_may_stand_where_something_is_true_by_definition() -> None:
    cause = CELL.replace("{white_scale: nearly always}", "{white_scale: always, clean: never}")
    assert told({"causes/cell.yaml": cause}) == []


def test_exclusion_on_one_side_is_enough() -> None:
    water = FILES["causes/water.yaml"].decode()
    water = water.replace("  repairs: [add_salt]", "  repairs: [add_salt]\n  not_with: [cell_scaled]")
    assert told({"causes/water.yaml": water}) == ["`salt_low` and `cell_scaled` exclude each other under `not_with`"]
