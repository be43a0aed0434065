"""A learner's interview: it costs what the folder says, and the program's own way with that person is the usual."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine.evaluation.simulate import run_call
from engine.knowledge.model import frozen
from engine.proving.drawn import Drawing, answering
from engine.proving.practice import Practice
from tests.benchmarks import plain_knowledge as plain
from tests.shipped import models, visible_calls

CALL = next(call for call in visible_calls() if call.role == "field" and call.causes)


def practice() -> Practice:
    return Practice(models(), CALL, lambda _, check: CALL.facts.get(check))


def test_minutes_are_those_of_the_files_and_a_question_again_is_free() -> None:
    """Read again from the YAML by other code."""
    made = practice()
    checks = [check for check in CALL.facts if check != "danger_now"][:4]
    for check in (*checks, checks[0]):
        asked = made.ask(check)
        assert asked.said == CALL.facts[check] or asked.why in ("needs", "never_known")
    forms = {str(form["check"]): form for form in plain._entries("checks/*.yaml")}
    role = next(form for form in plain._entries("roles.yaml") if form["role"] == "field")
    question = float(plain._group(role["minutes"])["question"])
    assert [each.check for each in made.questions] == checks
    for asked in made.questions:
        minutes = forms[asked.check]["minutes"]
        own = float(minutes) if isinstance(minutes, str) else float(plain._group(minutes)["field"])
        # Whatever needs the supply switched takes that too.
        assert asked.minutes >= own + question - 1e-9
    assert made.minutes == pytest.approx(sum(asked.minutes for asked in made.questions))


def test_the_programs_own_way_is_that_of_the_worked_call() -> None:
    made = practice()
    made.ask("cell_plates")
    ended = made.end(CALL.causes or (), None)
    usual = run_call(models(), CALL)
    assert ended.program.session.job.asked == usual.session.job.asked
    assert ended.program.decided == usual.decided
    assert ended.right is True
    assert made.end((), None).right is False


def test_a_danger_that_nobody_asked_of_is_told() -> None:
    call = replace(CALL, facts=frozen({**CALL.facts, "danger_now": "tingle"}))
    made = Practice(models(), call, lambda _, check: call.facts.get(check))
    assert made.end((), None).danger_unasked
    assert made.ask("danger_now").said == "tingle"
    assert not made.end((), None).danger_unasked


def test_a_drawn_person_says_the_same_to_the_program_and_the_learner() -> None:
    rng = np.random.default_rng(4)
    call = replace(CALL, complaint="low-salt", facts=frozen({}), causes=("salt_low",))
    made = Practice(models(), call, answering(models(), Drawing("low-salt"), rng, 0))
    said = {check: made.ask(check).said for check in ("cell_plates", "tested_salt", "months_since_clean")}
    job = made.end(("salt_low",), "add_salt").program.session.job
    for check, answer in said.items():
        if check in job.answers:
            assert job.answers[check].reading.value == answer
