"""What learners ask in their own words is the check that they mean, far oftener than not; the lines are our own."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.model import Check
from engine.session.availability import asked_checks
from interview.understanding.nearest import MOST_MEANT, Index, SpokenOf, checks_meant
from tests.shipped import knowledge

LINES: dict[str, str] = yaml.safe_load(Path(__file__).with_name("learner_lines.yaml").read_text(encoding="utf-8"))


def test_most_lines_mean_one_check_and_few_another() -> None:
    meant = {line: checks_meant(knowledge(), line) for line in LINES}
    assert all(check in knowledge().checks for check in LINES.values())
    one = [line for line, check in LINES.items() if meant[line] == (check,)]
    other = [line for line, check in LINES.items() if check not in meant[line]]
    assert len(one) >= 0.8 * len(LINES), {line: found for line, found in meant.items() if line not in one}
    assert len(other) <= 0.1 * len(LINES), other


@pytest.mark.parametrize("check", asked_checks(knowledge()), ids=lambda check: check.id)
def test_a_check_is_meant_by_its_own_question(check: Check) -> None:
    assert check.id in checks_meant(knowledge(), check.wording.customer)


@given(st.text(max_size=60))
def test_any_line_means_few_checks_or_none(line: str) -> None:
    assert len(checks_meant(knowledge(), line)) <= MOST_MEANT


ENTRIES = {
    "one": SpokenOf(("red pump",), ("runs",)),
    "two": SpokenOf(("blue pump",), ("runs",)),
    "three": SpokenOf((), ()),
}


def test_a_rare_word_decides_and_a_common_one_leaves_both() -> None:
    index = Index(knowledge(), ENTRIES)
    assert index.meant("the blue one runs") == ("two",)
    assert set(index.meant("it runs")) == {"one", "two"}
    assert index.meant("green") == ()
