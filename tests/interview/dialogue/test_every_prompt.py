"""The words that hold everywhere hold at every prompt: each is done, or one sentence says why not."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.frontends.lines import LineFrontEnd
from tests.interview.frontends.test_lines import Typist
from tests.interview.people import Memory, PaperSheet, clock, opened
from tests.shipped import models

FACT = "salt test 3000"
WORDS = ("dk", "can't", "can't no time", "later", "?", "help", "list", FACT, "note hello")
STARTED = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
PROMPTS: dict[str, tuple[tuple[tuple[str, str | float], ...], tuple[str, ...]]] = {
    "danger": ((("role", "phone"),), ()),
    "complaint": ((("role", "phone"), ("danger_now", "none")), ()),
    "making safe": ((("role", "phone"), ("danger_now", "tingle")), ()),
    "danger asked back": ((("role", "phone"), ("danger_now", "none")), ("maybe a burnt smell",)),
    "asked back": (STARTED, ("say 3000 ppm",)),
    "cautions": (STARTED, ("ask volts",)),
    "close": (STARTED, ("finish",)),
}


def typed(said: tuple[tuple[str, str | float], ...], lines: tuple[str, ...]) -> tuple[Session, Typist]:
    session, typist = opened(Session(models()), *said), Typist(list(lines), height=None)
    DialogueManager(session, LineFrontEnd(typist), Memory(), clock, PaperSheet).run()
    return session, typist


def cases() -> Iterator[tuple[str, str]]:
    yield from ((prompt, word) for prompt in PROMPTS for word in WORDS)


@pytest.mark.parametrize(("prompt", "word"), list(cases()))
def test_each_word_is_answered_at_each_prompt(prompt: str, word: str) -> None:
    said, first = PROMPTS[prompt]
    _, before = typed(said, first)
    session, after = typed(said, (*first, word))
    shown = after.shown[len(before.shown) :]
    assert any(line.strip() for line in shown) or len(after.prompts) > len(before.prompts), "nothing was said"
    if word == FACT and prompt != "making safe":
        kept = "tested_salt" in session.job.answers
        assert kept or "First this, then that." in shown or any("Noted" in line for line in shown)
    if word == "list":
        assert any("1. " in line or "Nothing has been said" in line for line in after.shown)


def test_what_is_said_while_a_danger_is_asked_back_is_taken_after_it() -> None:
    session, _ = typed(PROMPTS["danger asked back"][0], ("maybe a burnt smell", FACT, "no"))
    assert session.job.danger is None
    assert session.job.answers["tested_salt"].reading.value == 3000.0


@pytest.mark.parametrize("name", ["trouble", "place", "unit", "1", "salt", "salt test", "plates", "danger"])
def test_change_knows_every_name_of_the_list(name: str) -> None:
    session, typist = typed(STARTED, ("say salt test 3000, plates white", f"change {name}"))
    assert not any("is not in the list" in line for line in typist.shown)
    assert session.job.answers
