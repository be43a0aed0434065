"""What learners ask in their own words is the check that they mean, far oftener than not; the lines are our own."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Check
from engine.session.availability import asked_checks
from interview.understanding.nearest import MOST_MEANT, Index, SpokenOf, checks_meant
from tests.shipped import knowledge

HERE = Path(__file__).parent
LEAST_SURE, MOST_OTHER = {"en": 0.8, "es": 0.7}, 0.1


@pytest.mark.parametrize(("language", "file"), [("en", "learner_lines.yaml"), ("es", "learner_lines_es.yaml")])
def test_most_lines_mean_one_check_and_few_another(language: str, file: str) -> None:
    lines: dict[str, str] = yaml.safe_load((HERE / file).read_text(encoding="utf-8"))
    use_language(language)
    try:
        known = load_knowledge(HERE.parents[2] / "faults", language)
        meant = {line: checks_meant(known, line) for line in lines}
    finally:
        use_language("en")
    assert all(check in known.checks for check in lines.values())
    one = [line for line, check in lines.items() if meant[line] == (check,)]
    other = [line for line, check in lines.items() if check not in meant[line]]
    assert len(one) >= LEAST_SURE[language] * len(lines), {line: meant[line] for line in lines if line not in one}
    assert len(other) <= MOST_OTHER * len(lines), other


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
