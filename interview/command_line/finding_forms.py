"""Findings of a faults folder in the forms that people, editors and code hosts read."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from engine.evaluation.manual import manuals
from engine.foundation.problems import Grade, Problem, shown
from engine.foundation.texts import say

_SARIF = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS: Mapping[Grade, str] = {"mistake": "error", "danger": "error", "look again": "warning"}
_MOST_LINES = 500
"""So many findings are told at once in lines; who has mended those sees the others."""


def _lines(found: Sequence[Problem], _: bool) -> str:
    told = [f"{problem} [{problem.rule}]" if problem.rule else str(problem) for problem in found[:_MOST_LINES]]
    if len(found) > _MOST_LINES:
        told.append(say("command_line.more_mistakes", count=len(found) - _MOST_LINES))
    return "\n".join(told)


def _annotations(found: Sequence[Problem], _: bool) -> str:
    """One command line a finding, as code hosts mark lines by: `::error file=,line=,col=,title=::message`."""
    return "\n".join(
        f"::{_LEVELS[each.grade]} file={_property(each.file)},line={max(each.line, 1)},col={max(each.column, 1)},"
        f"title={_property(each.rule)}::{_escaped(_message(each))}"
        for each in found
    )


def _message(problem: Problem) -> str:
    return f"{problem.said()}; {shown(problem.advice)}"


def _escaped(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _escaped(text).replace(":", "%3A").replace(",", "%2C")


def _json(found: Sequence[Problem], stops: bool) -> str:
    rows = [
        {
            "file": each.file,
            "line": each.line,
            "column": each.column,
            "grade": each.grade,
            "rule": each.rule,
            "what": each.what,
            "advice": each.advice,
        }
        for each in found
    ]
    return json.dumps({"stops": stops, "found": rows}, ensure_ascii=False, indent=2)


def _sarif(found: Sequence[Problem], _: bool) -> str:
    """SARIF 2.1.0, the OASIS form of findings: one run, its rules with their manuals, one result a finding."""
    known = manuals()
    rules = [
        {
            "id": name,
            "shortDescription": {"text": manual.text.partition("\n\n")[0]},
            "fullDescription": {"text": manual.text},
            "defaultConfiguration": {"level": _LEVELS[manual.grade]},
        }
        for name, manual in known.items()
        if name in {each.rule for each in found}
    ]
    driver = {"name": "brinecall check", "rules": rules}
    results = [_result(each) for each in found]
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
    return json.dumps({"$schema": _SARIF, "version": "2.1.0", "runs": [run]}, ensure_ascii=False, indent=2)


def _uri(file: str) -> str:
    """A file's name as SARIF has it: a URI, or a part of one from the folder in which the command was typed."""
    path = Path(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())


def _result(problem: Problem) -> dict[str, object]:
    place = {
        "artifactLocation": {"uri": _uri(problem.file)},
        "region": {"startLine": max(problem.line, 1), "startColumn": max(problem.column, 1)},
    }
    result: dict[str, object] = {
        "level": _LEVELS[problem.grade],
        "message": {"text": _message(problem)},
        "locations": [{"physicalLocation": place}],
        "properties": {"grade": problem.grade},
    }
    return {"ruleId": problem.rule, **result} if problem.rule else result


FORMS: Mapping[str, Callable[[Sequence[Problem], bool], str]] = {
    "lines": _lines,
    "json": _json,
    "sarif": _sarif,
    "annotations": _annotations,
}
"""By its name, what writes findings in that form. Args: the findings, and whether they stop anything."""
