"""Findings in the forms of editors and code hosts.

SARIF by the OASIS standard 2.1.0, whose demands on what is used here stand below by section (from memory, but for
3.30.6, which was read). Annotations are the workflow commands that code hosts read: `%`, line ends, and in properties
`:` and `,` are escaped (from memory).
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.evaluation.look_over import look_over
from engine.evaluation.manual import manuals
from engine.foundation.problems import Grade, Problem
from interview.command_line.finding_forms import FORMS
from interview.commands.app import command_line
from tests.overlay import GOOD

GRADES: tuple[Grade, ...] = ("mistake", "danger", "look again")
plain = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=30)
rules, grades = st.sampled_from(sorted(manuals())), st.sampled_from(GRADES)
problems = st.builds(Problem, plain, st.integers(1, 999), st.integers(1, 99), plain, plain, rules, grades)


@given(st.lists(problems, max_size=4))
def test_sarif_holds_each_finding_with_its_rule_level_and_place(found: list[Problem]) -> None:
    log = json.loads(FORMS["sarif"](found, True))
    assert log["version"] == "2.1.0"  # 3.13.2
    (run,) = log["runs"]
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]  # 3.19.23: no id twice
    assert len(rules) == len(set(rules))
    assert run["columnKind"] == "unicodeCodePoints"  # 3.14.17
    assert len(run["results"]) == len(found)
    for result, problem in zip(run["results"], found, strict=True):
        assert result["ruleId"] in rules
        assert result["level"] in ("error", "warning", "note", "none")  # 3.27.10
        assert (result["level"] == "error") == (problem.grade != "look again")
        assert result["message"]["text"]  # 3.27.11
        place = result["locations"][0]["physicalLocation"]
        assert place["region"] == {"startLine": problem.line, "startColumn": problem.column}  # 3.30.5, 3.30.6: from 1
        uri = place["artifactLocation"]["uri"]  # 3.4.3: RFC 3986
        assert re.fullmatch(r"[\w.~!$&'()*+,;=:@%/?#\[\]-]+", uri, re.ASCII)
        if not Path(problem.file).is_absolute():
            assert unquote(uri) == Path(problem.file).as_posix()


def test_an_absolute_file_is_a_uri_of_its_own() -> None:
    problem = Problem("/a folder/x.yaml", 1, 2, "w", "a", "text")
    log = json.loads(FORMS["sarif"]([problem], True))
    uri = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    if Path("/a folder").is_absolute():
        assert urlsplit(uri).scheme == "file"
        assert uri.endswith("/a%20folder/x.yaml")


@given(problems)
def test_an_annotation_is_one_line_that_can_be_taken_apart_again(problem: Problem) -> None:
    line = FORMS["annotations"]([problem], True)
    assert "\n" not in line
    level, properties, message = re.fullmatch(r"::(error|warning) ([^:]*)::(.*)", line).groups()  # type: ignore[union-attr]
    fields = dict(each.split("=", 1) for each in properties.split(","))
    assert unquote(fields["file"]) == problem.file
    assert (int(fields["line"]), int(fields["col"]), fields["title"]) == (problem.line, problem.column, problem.rule)
    assert (level == "error") == (problem.grade != "look again")
    assert message


@given(st.lists(problems, max_size=4), st.booleans())
def test_json_says_all_and_whether_it_stops(found: list[Problem], stops: bool) -> None:
    data = json.loads(FORMS["json"](found, stops))
    assert data["stops"] == stops
    rows = [
        Problem(*(row[n] for n in ("file", "line", "column", "what", "advice", "rule", "grade")))
        for row in data["found"]
    ]
    assert rows == found
    assert [(row.rule, row.grade) for row in rows] == [(each.rule, each.grade) for each in found]


# --- the command -----------------------------------------------------------------------------------------------------


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GOOD, tmp_path / "mine"))


def test_a_doubt_is_told_and_leaves_with_0(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell = mine / "causes" / "cell.yaml"
    cell.write_text(cell.read_text(encoding="utf-8").replace("nearly always", "always", 1), encoding="utf-8")
    assert command_line(["check", str(mine)]) == 0
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith(f"{cell}:5:32: look again: ")
    assert line.endswith(" [certain-signs]")
    assert command_line(["check", str(mine), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["stops"] is False


def test_worked_calls_beside_the_trees_are_looked_through(mine: Path) -> None:
    calls = mine / "calls" / "example.yaml"
    text = calls.read_text(encoding="utf-8")
    calls.write_text(text.replace("complaint: low-salt", "complaint: low-slat", 1), encoding="utf-8")
    (mine / "calls" / "more.yml").write_text("call: x\n", encoding="utf-8")
    found = look_over(mine).found
    assert [(Path(each.file).name, each.rule) for each in found] == [("example.yaml", "calls"), ("more.yml", "files")]
    assert "did you mean `low-salt`?" in found[0].advice


def test_a_rule_explains_itself(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["check", "--explain", "certain-signs"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("certain-signs (look again)\n")
    assert "\nRight: " in told
    assert "\nWrong: " in told
    assert re.search(r"`meant: \{certain-signs: \w+\}`", told)
    assert command_line(["check", "--explain", "certain-sign"]) == 2
    assert "did you mean `certain-signs`?" in capsys.readouterr().err
    assert command_line(["check", "--explain", "all"]) == 0
    assert capsys.readouterr().out.count("\nRight: ") == len(manuals())
