"""Dangers and doubts: what is hardly meant is found where it was slipped in, and answered once, never for good.

The slips are our own, made up for this test as plausible as could be; no rule was bent to one of them. Which of them
only a person could know is our choice too, so the share of silent ones says how far rules reach, not how people slip.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from engine.evaluation.manual import manuals
from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.yaml_reader import read_document
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.loader import knowledge_from, read_folder
from engine.knowledge.rules import rule_problems
from engine.knowledge.second_look import DOUBTS, findings_of
from engine.knowledge.translation import overlay_of
from tests.overlay import GOOD, NAME
from tests.overlay import contents_of as files_of

SHIPPED = files("faults")
CONTENTS = contents_of(SHIPPED)[0]
SLIPS = Path(__file__).parents[2] / "examples" / "slips" / "content.yaml"
MOST_SILENT = 0.15


@dataclass(frozen=True)
class Slip:
    """One slip in a file of the shipped folder, and the rule that must tell it."""

    slip: str
    file: str
    behind: str
    old: str
    new: str
    found: str

    def made(self) -> str:
        """The file with the slip in it."""
        text = CONTENTS[self.file].decode()
        at = text.index(self.old, text.index(self.behind))
        return text[:at] + self.new + text[at + len(self.old) :]


@cache
def sound() -> Folder:
    return read_folder(NAME, CONTENTS)[0]


@cache
def slips() -> tuple[Slip, ...]:
    data: Any = read_document(str(SLIPS), SLIPS.read_bytes()).data
    return tuple(Slip(**{name: str(value) for name, value in each.items()}) for each in data)


def with_file(file: str, text: str) -> tuple[Folder, list[Problem]]:
    """The shipped folder with one file written anew; only that one is read again."""
    part, problems = read_folder(NAME, {file: text.encode()})
    (kind,) = (kind.name for where, kind in FILES.items() if file.startswith(where))
    name = f"{kind}s"
    kept = {i: p for i, p in sound().of_kind(kind).items() if p.document.file != f"{NAME}/{file}"}
    changed: Any = {name: {**kept, **part.of_kind(kind)}}
    return replace(sound(), **changed), [each for each in problems if each.file == f"{NAME}/{file}"]


def found_by(slip: Slip) -> list[str]:
    folder, problems = with_file(slip.file, slip.made())
    problems = [*problems, *rule_problems(folder)] or findings_of(folder)
    if not problems:
        spanish = overlay_of(folder, "es", contents_of(SHIPPED / "languages" / "es")[0])
        problems = [replace(each, rule="translations") for each in spanish.stale]
    return [each.rule for each in problems]


@pytest.mark.e2e
@pytest.mark.no_cover  # dozens of folders through rules that the small folder goes too
def test_each_slip_of_content_is_told_by_its_rule_and_few_are_silent() -> None:
    told = {slip: found_by(slip) for slip in slips()}
    assert {
        s.slip: rules for s, rules in told.items() if s.found not in rules and (rules or s.found != "nothing")
    } == {}
    assert len(told) >= 51
    assert sum(not rules for rules in told.values()) <= MOST_SILENT * len(told)


def test_the_shipped_folder_has_no_unanswered_finding_and_no_needless_answer() -> None:
    assert [str(problem) for problem in findings_of(sound())] == []


# --- on the small folder ---------------------------------------------------------------------------------------------

FILE = "causes/cell.yaml"
CELL = files_of(GOOD)[FILE].decode()
CERTAIN = CELL.replace("cell_plates: {white_scale: nearly always}", "cell_plates: {white_scale: always}")


def small(file: str, text: str) -> list[str]:
    folder, problems = read_folder(NAME, {**files_of(GOOD), file: text.encode()})
    assert problems == []
    return [problem.rule for problem in findings_of(folder)]


def answered(text: str, answer: str) -> str:
    return text.replace("  repairs: [acid_clean]", f"  repairs: [acid_clean]\n  meant: {answer}")


def test_the_good_folder_has_no_finding() -> None:
    assert small(FILE, CELL) == []


@pytest.mark.parametrize(
    "answer", ["{certain-signs: by definition it is}", "{certain-signs: {cell_plates: it just is}}"]
)
def test_a_finding_is_answered_once_in_its_entry(answer: str) -> None:
    assert small(FILE, CERTAIN) == ["certain-signs"]
    assert small(FILE, answered(CERTAIN, answer)) == []


def test_an_answer_about_one_thing_leaves_others_told() -> None:
    other = CERTAIN.replace("salt_gap: {reads_low: usually}", "salt_gap: {reads_low: always}")
    assert small(FILE, other) == ["certain-signs", "certain-signs"]
    assert small(FILE, answered(other, "{certain-signs: {cell_plates: it just is}}")) == ["certain-signs"]


@pytest.mark.parametrize("answer", ["{certain-signs: by definition it is}", "{certain-signs: {salt_gap: it just is}}"])
def test_an_answer_to_nothing_is_told(answer: str) -> None:
    assert small(FILE, answered(CELL, answer)) == ["answers-are-needed"]


@pytest.mark.parametrize(
    "answer", ["{certain-signs: because}", "{certain-signs: {cell_plates: 1}}", "[certain-signs]", "{}"]
)
def test_an_answer_has_a_reason(answer: str) -> None:
    _, problems = read_folder(NAME, {**files_of(GOOD), FILE: answered(CELL, answer).encode()})
    assert [problem.rule for problem in problems] == ["form"]


def test_a_doubt_stops_nobody_and_a_danger_does_until_it_is_answered() -> None:
    assert knowledge_from(NAME, {**files_of(GOOD), FILE: CERTAIN.encode()}).causes
    cautions = files_of(GOOD)["cautions.yaml"].decode()
    at = cautions.index("- caution: tingle_keep_out")
    mild = cautions[:at] + cautions[at:].replace("signal: DANGER", "signal: CAUTION", 1)
    with pytest.raises(KnowledgeError) as error:
        knowledge_from(NAME, {**files_of(GOOD), "cautions.yaml": mild.encode()})
    assert {problem.grade for problem in error.value.problems} == {"danger"}


# --- manuals ---------------------------------------------------------------------------------------------------------


def test_each_rule_tells_itself_with_a_right_and_a_wrong_example() -> None:
    known = manuals()
    assert DOUBTS.keys() <= known.keys()
    assert [
        name for name, manual in known.items() if not ("\nRight: " in manual.text and "\nWrong: " in manual.text)
    ] == []
    assert [name for name, manual in known.items() if "Args:" in manual.text or "Raises:" in manual.text] == []


CALLS = "of_100_calls: {salt_low: 60, cell_scaled: 30, salt_undissolved: 6, something_else: 4}"
SMALL_SLIPS = {
    "no-cause-is-nearly-all": ("trees/low-salt.yaml", CALLS, CALLS.replace("60", "89").replace("30", "1")),
    "something-else-stays-possible": ("trees/low-salt.yaml", CALLS, CALLS.replace("60", "30").replace("e: 4", "e: 34")),
    "causes-can-bring-the-complaint": (FILE, "salt_gap: {", "unit_report: {normal: 0.995}\n    salt_gap: {"),
    "signs-say-something": (FILE, "{white_scale: nearly always}", "{white_scale: 0.12}"),
    "questions-ask": ("checks/seen.yaml", "customer: Has salt been added lately?", "customer: salt_added"),
    "twin-causes": (
        "causes/water.yaml",
        "shows: {salt_added: {within_a_day: nearly always}}",
        "shows: {tested_salt: {low: nearly always}, unit_salt: {low: 0.9}}",
    ),
}


@pytest.mark.parametrize("rule", SMALL_SLIPS)
def test_a_slip_in_the_small_folder_is_told(rule: str) -> None:
    file, old, new = SMALL_SLIPS[rule]
    text = files_of(GOOD)[file].decode()
    assert old in text
    assert set(small(file, text.replace(old, new, 1))) == {rule}


def test_each_doubt_is_told_of_some_slip() -> None:
    assert DOUBTS.keys() - {slip.found for slip in slips()} - SMALL_SLIPS.keys() == set()
