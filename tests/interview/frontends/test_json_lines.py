"""JSON lines, version 1."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.session.journal import read_events
from interview.frontends.json_lines import PipeFrontEnd
from interview.messages import (
    CautionText,
    Choice,
    Control,
    FrontEnd,
    Given,
    Likely,
    Note,
    Question,
    Reply,
    Unable,
    nothing_more,
)
from tests.interview.people import COLOURS, SALT, PaperSheet, opened, run
from tests.shipped import models

DO = replace(
    COLOURS,
    kind="perform",
    about="acid_clean",
    before_steps="Mind the rings.",
    steps=("Rinse.",),
    details=("About 40 minutes.",),
    choices=(Choice("done", "Done"), Choice("could_not", "Could not", needs_reason=True)),
)


def talk(question: Question, *sent: object) -> tuple[Reply, list[dict[str, Any]]]:
    source = io.StringIO("".join((item if isinstance(item, str) else json.dumps(item)) + "\n" for item in sent))
    target = io.StringIO()
    front: FrontEnd = PipeFrontEnd(source, target)
    reply = front.put(question, nothing_more)
    return reply, [json.loads(line) for line in target.getvalue().splitlines()]


def test_a_question_is_one_line_with_all_that_the_contract_names() -> None:
    question = replace(
        COLOURS,
        cautions=(CautionText("splash", "WARNING", "It splashes."),),
        confirm_cautions=True,
        ranked=(Likely(("cell_scaled",), 0.75), Likely((), 0.25)),
    )
    _, (line,) = talk(question, {"answer": "grey"})
    assert line == {
        "v": 2,
        "ask": "plates",
        "text": "What colour are the plates?",
        "how": "Look through the clear end.",
        "answers": [{"id": choice.id, "text": choice.text} for choice in COLOURS.choices],
        "cautions": [{"id": "splash", "signal": "WARNING", "text": "It splashes."}],
        "ranked": [{"causes": ["cell_scaled"], "probability": 0.75}, {"causes": [], "probability": 0.25}],
    }


def test_a_number_names_its_unit_instead_of_answers() -> None:
    _, (line,) = talk(SALT, {"answer": 3200})
    assert line["unit"] == "ppm"
    assert "answers" not in line


def test_a_repair_is_something_to_do() -> None:
    _, (line,) = talk(DO, {"done": True})
    assert line["do"] == "acid_clean"
    assert "ask" not in line
    assert line["details"] == ["Mind the rings.", "1. Rinse.", "About 40 minutes."]


@pytest.mark.parametrize("kind", ["confirm", "verify"])
def test_confirming_and_verifying_say_what_about(kind: Any) -> None:
    _, (line,) = talk(replace(COLOURS, kind=kind), {"answer": "grey"})
    assert (line["ask"], line["about"]) == (kind, "plates")


@pytest.mark.parametrize(
    ("question", "sent", "reply"),
    [
        (COLOURS, {"answer": "white_scale"}, Given("white_scale", "white_scale")),
        (COLOURS, {"v": 1, "answer": "2"}, Given("white_scale", "2")),
        (SALT, {"answer": "3.2 g/L"}, Given(3200.0, "3.2 g/L")),
        (SALT, {"answer": 3200}, Given(3200.0, "3200")),
        (SALT, {"answer": 3200.5}, Given(3200.5, "3200.5")),
        (COLOURS, {"dont_know": True}, Control.UNKNOWN),
        (COLOURS, {"cant": "no meter"}, Unable("no meter")),
        (COLOURS, {"cant": "do that: no ladder"}, Unable("do that: no ladder")),
        (COLOURS, {"back": True}, Control.BACK),
        (DO, {"done": True}, Given("done", "done")),
        (DO, {"cant": "no acid"}, Unable("no acid")),
        (COLOURS, {"note": "hot"}, Note("hot")),
        (COLOURS, {"finish": True}, Control.FINISH),
        (COLOURS, {"leave": True}, Control.LEAVE),
    ],
)
def test_each_reply_of_the_contract(question: Question, sent: dict[str, object], reply: Reply) -> None:
    assert talk(question, sent)[0] == reply


BAD: list[object] = [
    "",
    "not json",
    "[1]",
    '"grey"',
    "{}",
    "nul",
    "[" * 100_000,
    {"answer": "purple"},
    {"answer": None},
    {"answer": True},
    {"answer": ["grey"]},
    {"answer": "grey", "back": True},
    {"dont_know": "yes"},
    {"done": True},
    {"cant": ""},
    {"cant": 3},
    {"note": ""},
    {"other": True},
    {"v": 3, "answer": "grey"},
    {"answer": "?"},
    {"answer": "\ud800"},
]


@pytest.mark.parametrize("sent", BAD, ids=[str(k) for k in range(len(BAD))])
def test_a_bad_line_gets_an_error_and_another_try(sent: object) -> None:
    reply, answers = talk(COLOURS, sent, {"answer": "grey"})
    assert reply == Given("grey", "grey")
    for line in answers[1:]:
        assert line["v"] == 2
        assert line["again"] is True
        assert line["error"]
    assert len(answers) == (1 if sent == "" else 2)


def test_a_number_that_is_hardly_meant_is_asked_back_once() -> None:
    reply, answers = talk(SALT, {"answer": 12}, {"answer": 12})
    assert reply == Given(12.0, "12")
    assert "12 g/L" in answers[1]["error"]


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(), lambda v: st.dictionaries(st.text(), v) | st.lists(v)
    )
)
def test_any_json_gets_a_reply_or_an_error(sent: object) -> None:
    _, answers = talk(COLOURS, json.dumps(sent), {"answer": "grey"})
    assert all("error" in line for line in answers[1:])


@given(st.sampled_from(["answer", "cant", "note", "done", "v"]), st.none() | st.booleans() | st.integers() | st.text())
def test_any_value_of_a_known_key_gets_a_reply_or_an_error(key: str, value: object) -> None:
    for question in (COLOURS, SALT, DO):
        _, answers = talk(question, {key: value}, {"answer": "grey"}, {"answer": 3200}, {"done": True})
        assert all("error" in line for line in answers[1:])


def test_the_end_of_input_is_leaving() -> None:
    assert talk(COLOURS)[0] is Control.LEAVE


def test_what_needs_no_reply_goes_with_the_next_line_and_the_sheet_is_an_object() -> None:
    target = io.StringIO()
    front = PipeFrontEnd(io.StringIO('{"answer": "grey"}\n'), target)
    front.tell("Mind this.", (CautionText("x", "DANGER", "It can kill."),))
    front.put(COLOURS, nothing_more)
    begun = opened(models_session(), ("role", "field"), ("danger_now", "tingle"))
    front.show_sheet(PaperSheet(begun))
    question, sheet = (json.loads(line) for line in target.getvalue().splitlines())
    assert question["said"][0]["text"] == "Mind this."
    assert question["said"][0]["cautions"][0]["id"] == "x"
    assert sheet == {"v": 2, "sheet": {"decision": "make_safe"}}


def models_session() -> Any:
    from engine.session.session import Session

    return Session(models())


def test_a_program_closes_without_being_asked() -> None:
    front = PipeFrontEnd(io.StringIO(""), target := io.StringIO())
    closing = replace(COLOURS, kind="close", choices=(Choice("close", "Close it"), Choice("keep", "Keep it open")))
    assert front.put(closing, nothing_more) == Given("close")
    # Where something waits, staying open stands first.
    waiting = replace(closing, choices=closing.choices[::-1])
    assert front.put(waiting, nothing_more) == Given("keep")
    assert target.getvalue() == ""


def test_a_whole_job_over_the_pipe_ends_with_its_sheet(tmp_path: Path) -> None:
    sent = [
        {"answer": "field"},
        {"dont_know": True},
        {"answer": "default"},
        {"answer": "no-output"},
        {"answer": "nonsense"},
        {"answer": "clear"},
        {"back": True},
        {"answer": "clear"},
        {"answer": "cell_service"},
        {"answer": "nothing"},
        {"answer": 14},
        {"cant": "no clamp"},
        {"done": True},
        {"answer": "white_scale"},
        {"done": True},
        {"done": True},
        {"answer": "helped"},
        {"answer": "normal"},
    ]
    done = run(tmp_path, "ask", "--pipe", typed="".join(json.dumps(item) + "\n" for item in sent))
    assert done.returncode == 0, done.stderr
    out = [json.loads(line) for line in done.stdout.splitlines()]
    assert all(line["v"] == 2 for line in out)
    named = [line.get("ask") or line.get("do") or ("error" if "error" in line else "sheet") for line in out]
    assert named[:6] == ["role", "danger_now", "unit", "complaint", "water_look", "error"]
    assert named[-5:] == ["acid_clean", "confirm", "verify", "unit_report", "sheet"]
    assert out[-1]["sheet"]["decision"]["decision"] == "repair_here"
    assert out[0]["ranked"] == []
    assert out[-2]["ranked"][0]["causes"] == ["cell_scaled"]
    (path,) = tmp_path.glob("*.jsonl")
    assert read_events(path)[-1].kind == "closed"


@pytest.mark.parametrize("key", ["note", "cant", "later", "say", "answer"])
def test_text_that_is_too_long_is_refused_whole_and_never_cut(key: str) -> None:
    reply, answers = talk(replace(COLOURS, may_wait=True), {key: "x" * 2001}, {"note": "y" * 2000})
    assert reply == Note("y" * 2000)
    assert "2000" in answers[1]["error"]
