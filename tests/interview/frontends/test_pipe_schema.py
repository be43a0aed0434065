"""Whatever goes over the pipe keeps to its published schema, by the reference library for JSON Schema."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from engine.session.journal import RECORDED
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.frontends import json_lines
from interview.frontends.json_lines import PipeFrontEnd
from tests.interview.people import Memory, PaperSheet, clock
from tests.shipped import models

SCHEMA = json.loads(Path(json_lines.__file__).with_name("pipe-2.json").read_text(encoding="utf-8"))
REPLIES: list[dict[str, Any]] = [
    {"say": "unit says no flow, might be scale on the plates, gauge 100 kPa over clean, salt 3400"},
    {"answer": "field"},
    {"why": 1},
    {"answer": "none"},
    {"answer": "nonsense"},
    {"answer": "default"},
    {"answer": "flow-fault"},
    {"ask": "pump_running"},
    {"answer": "running"},
    {"back": True},
    {"note": "the gate was open"},
    {"record": {"customer": "Ann O'Dell", "travel": 25, "labour": "1.5h", "part:cell": 1}},
    {"later": "tomorrow"},
    {"dont_know": True},
    {"list": True},
    {"cant": "no key"},
    {"finish": True},
]


def spoken(*replies: dict[str, Any]) -> list[dict[str, Any]]:
    target = io.StringIO()
    source = io.StringIO("".join(f"{json.dumps(reply)}\n" for reply in replies))
    DialogueManager(Session(models()), PipeFrontEnd(source, target), Memory(), clock, PaperSheet).run()
    return [json.loads(line) for line in target.getvalue().splitlines()]


def valid(line: dict[str, Any], kind: str) -> bool:
    return Draft202012Validator({"$ref": f"#/$defs/{kind}", "$defs": SCHEMA["$defs"]}).is_valid(line)


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def test_all_that_is_written_and_read_keeps_to_the_schema() -> None:
    lines = spoken(*REPLIES)
    assert len(lines) > len(REPLIES)
    assert [line for line in lines if not valid(line, "written")] == []
    assert [reply for reply in REPLIES if not valid(reply, "read")] == []
    kinds = {
        kind for line in lines for kind in ("question", "heard", "refused", "reasons", "sheet") if valid(line, kind)
    }
    assert kinds == {"question", "heard", "refused", "reasons", "sheet"}


def test_what_is_recorded_is_kept_with_the_job_or_said_to_be_none() -> None:
    sent = [
        {"answer": "counter"},
        {"answer": "none"},
        {"record": {"customer": 'Ann O\'Dell; "Pools"', "travel": 25, "labour": "1.5h", "part:cell": 1}},
        {"record": {"boat": "blue"}},
        {"record": {"travel": True}},
        {"finish": True},
    ]
    target, source = io.StringIO(), io.StringIO("".join(f"{json.dumps(line)}\n" for line in sent))
    memory = Memory()
    DialogueManager(Session(models()), PipeFrontEnd(source, target), memory, clock, PaperSheet).run()
    kept = {event.about: event.value for event in memory.events if event.kind == RECORDED}
    assert kept == {"customer": 'Ann O\'Dell; "Pools"', "travel": 25.0, "labour": 90.0, "part:cell": 1.0}
    lines = [json.loads(line) for line in target.getvalue().splitlines()]
    assert any("boat cannot be recorded" in told["text"].lower() for line in lines for told in line.get("said", []))
    assert [line["error"] for line in lines if "error" in line] == [
        '"record" takes an object such as {"customer": "Ann", "travel": 25, "part:cell": 1}.'
    ]


def test_an_offer_is_a_check_with_its_answer() -> None:
    heard = next(line for line in spoken(REPLIES[0]) if "understood" in line)
    assert heard["v"] == 2
    offered = [
        item for item in heard["unclear"] if {"ask": "cell_plates", "answer": "white_scale"} in item["candidates"]
    ]
    assert len(offered) == 1


@pytest.mark.parametrize("first", [{"v": 1, "say": "salt 3400"}, {"v": 1, "list": True}])
def test_version_one_is_spoken_from_the_line_on_that_asks_for_it(first: dict[str, Any]) -> None:
    lines = spoken(first, {"say": "salt 3400"})
    assert [line["v"] for line in lines][:2] == [2, 1]
    heard = [line for line in lines if "understood" in line]
    assert {candidate for line in heard for item in line["unclear"] for candidate in item["candidates"]} == {
        "unit_salt",
        "tested_salt",
    }


@pytest.mark.parametrize("wrong", [{"v": 2}, {"say": ""}, {"answer": None}, {"say": "a", "note": "b", "v": 2}])
def test_what_is_no_reply_breaks_the_schema(wrong: dict[str, Any]) -> None:
    assert not valid(wrong, "read") or len(wrong.keys() - {"v"}) != 1
