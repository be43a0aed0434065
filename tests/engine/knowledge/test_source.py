"""A source is one text, or says who says what, when, and how sure; both are the same to all that reads it."""

from __future__ import annotations

import pytest

from engine.foundation.problems import KnowledgeError
from engine.knowledge.answers_written import with_answers
from engine.knowledge.loader import knowledge_from, read_folder
from tests.overlay import GOOD, NAME, contents_of

FILE = "causes/cell.yaml"
TEXT = contents_of(GOOD)[FILE].decode()


def with_source(source: str) -> dict[str, bytes]:
    assert "  source: judgement" in TEXT
    return {**contents_of(GOOD), FILE: TEXT.replace("  source: judgement", f"  source: {source}", 1).encode()}


SOURCES = {
    "judgement": "judgement",
    "{says: judgement}": "judgement",
    "{says: judgement, who: Maria, when: 2026-03, sure: fairly sure}": "judgement (Maria, 2026-03, fairly sure)",
    "{says: a handbook, when: 2024}": "a handbook (2024)",
    "\n    says: judgement\n    who: Maria": "judgement (Maria)",
}


@pytest.mark.parametrize("source", SOURCES)
def test_a_source_is_read_as_one_line(source: str) -> None:
    folder, problems = read_folder(NAME, with_source(source))
    assert problems == []
    assert folder.causes["cell_scaled"].form.source == SOURCES[source]


@pytest.mark.parametrize("source", ["{}", "{who: Maria}", "{says: ''}", "{says: x, by: y}", "{says: [x]}", "[x]", "''"])
def test_any_other_source_is_told_in_its_line(source: str) -> None:
    with pytest.raises(KnowledgeError) as refused:
        knowledge_from(NAME, with_source(source))
    line = TEXT[: TEXT.index("  source:")].count("\n") + 1
    assert {problem.line for problem in refused.value.problems} == {line}


@pytest.mark.parametrize("source", SOURCES)
def test_what_was_elicited_is_added_to_either(source: str) -> None:
    content = with_source(source)[FILE]
    made = with_answers(FILE, content, "cell_scaled", {"cell_plates": {"white_scale": 0.9}}, "of 20 pools 18 (Ann)")
    folder, problems = read_folder(NAME, {**contents_of(GOOD), FILE: made})
    assert problems == []
    kept = folder.causes["cell_scaled"].form.source
    assert "of 20 pools 18 (Ann)" in kept
    assert kept.startswith(SOURCES[source].partition(" (")[0])
