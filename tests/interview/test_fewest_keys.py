"""Plain counter calls from the bare start, key by key in a terminal: how many prompts and keystrokes they take."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pexpect
import pytest

from tests.interview.people import LIMIT_S, PROGRAM, environment

pytestmark = pytest.mark.e2e

MOST_PROMPTS, MOST_KEYS = 9, 47
"""What a plain counter call with three known facts may take, from its first prompt to its decision.

Judgement, no source: nine prompts, of which six are where, danger, trouble, what was brought, the facts, and what was
done just before. Where a story may begin with a figure, as for where and for the trouble, the figure takes a Return.
"""
RETURN = "\r"
OPENING = (("Say it as you would", "1" + RETURN), ("Safety first.", "1" + RETURN))


@dataclass(frozen=True)
class Call:
    """What someone at the counter tells, the keys hit at each prompt by words of it, and what the sheet must say.

    The decisions and causes: judgement, common practice, no source.
    """

    told: str
    keys: tuple[tuple[str, str], ...]
    decision: str
    cause: str
    more: tuple[int, int] = (0, 0)
    """Prompts and keystrokes beyond these, where an amount is sold: the pool's size, and whether more is lost."""


CALLS = {
    "salt": Call(
        "The unit warns of low salt; the strip and the unit both say 1500; the pool holds 50 cubic metres.",
        (
            ("What is the problem?", "2" + RETURN),
            ("bring?", "1"),
            ("Already know something?", "salt test 1500, unit 1500" + RETURN),
            ("just before this began?", "1"),
            ("last put salt", "1"),
            ("where the pipes join", "1"),
            ("newly filled", "1"),
            ("How much water does the pool hold?", "50 m3" + RETURN),
            ("lose or gain a lot of", "1"),
        ),
        "You can do this yourself at home.",
        "too little salt",
        more=(2, 0),
    ),
    "worn": Call(
        "The unit warns of low salt; the strip says 3500; the plates show bare metal; the cell is eight years old.",
        (
            ("What is the problem?", "2" + RETURN),
            ("bring?", "1"),
            ("Already know something?", "salt test 3500, cell bare, age 8" + RETURN),
            ("just before this began?", "1"),
            ("last put salt", "1"),
        ),
        "Bring the cell to the shop.",
        "end of its life",
    ),
    "cold": Call(
        "The unit says cold water and rests; it shows 9 degrees, and so does the thermometer. Nothing was brought.",
        (
            ("What is the problem?", "cold water, water 9 C, unit 9 C" + RETURN),
            ("bring?", "1"),
            ("pump running?", "1"),
            ("just before this began?", "1"),
            ("heater", "1"),
        ),
        "Wait, then look again.",
        "too cold",
    ),
    "colder": Call(
        "The same in winter, from the list of troubles: 6 degrees by both, and no bubbles in the cell.",
        (
            ("What is the problem?", "6" + RETURN),
            ("bring?", "1"),
            ("Already know something?", "water 6 C, unit 6 C, no bubbles" + RETURN),
            ("pump running?", "1"),
            ("just before this began?", "1"),
            ("heater", "1"),
            ("What salt number", "dk" + RETURN),
        ),
        "Wait, then look again.",
        "too cold",
    ),
}


@pytest.mark.parametrize("name", CALLS)
def test_a_plain_counter_call_with_three_known_facts_is_short(name: str, tmp_path: Path) -> None:
    call = CALLS[name]
    typed = (*OPENING, *call.keys)
    assert len(typed) <= MOST_PROMPTS + call.more[0]
    assert sum(len(keys) for _, keys in typed) <= MOST_KEYS + call.more[1]
    env = {key: value for key, value in environment(tmp_path).items() if key != "COLUMNS"}
    program = pexpect.spawn(PROGRAM[0], PROGRAM[1:], env=env, dimensions=(60, 80), timeout=LIMIT_S, encoding="utf-8")
    for question, keys in typed:
        program.expect_exact(question)
        program.expect_exact("or ? >")
        program.send(keys)
    program.expect_exact("Close this job?")
    shown = " ".join(str(program.before).split())
    program.close(force=True)
    assert call.decision in shown
    (kept,) = tmp_path.glob("*.txt")
    sheet = " ".join(kept.read_text(encoding="utf-8").split())
    assert call.cause in sheet.split("What is wrong: ", 1)[1].split(" WHAT ", 1)[0]
