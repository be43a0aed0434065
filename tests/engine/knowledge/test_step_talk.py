"""What steps tell people to do is held to what the work is made of, in each language; steps that hurt nobody pass.

The steps are our own, made up for this test; which of them hurt is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.yaml_reader import read_document
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import contents_of
from engine.knowledge.held_beside import SPOKEN
from engine.knowledge.loader import read_folder
from engine.knowledge.schema import ByReaderForm, RepairForm
from engine.knowledge.step_talk import ActWords, plain
from engine.knowledge.translation import overlay_of
from tests.overlay import NAME

SHIPPED = files("faults")
STEPS: Any = read_document("steps.yaml", (Path(__file__).parents[2] / "examples/slips/steps.yaml").read_bytes()).data
HARMLESS = "retest_salt"
LEAST_TOLD = 0.9


@cache
def in_language(language: str) -> Folder:
    folder = read_folder(NAME, contents_of(SHIPPED)[0])[0]
    if language == "en":
        return folder
    return overlay_of(folder, language, contents_of(SHIPPED / "languages" / language)[0]).folder


def told(language: str, step: str) -> list[str]:
    """What is told of a harmless work of the shipped folder, for owners alone, with this step alone in it."""
    folder = in_language(language)
    placed = folder.repairs[HARMLESS]
    steps = placed.form.steps.model_copy(update={"customer": [step], "technician": ["-"]})
    work: dict[str, object] = {"steps": steps, "does": ByReaderForm(), "who": ["owner"]}
    alone = {HARMLESS: replace(placed, form=placed.form.model_copy(update=work))}
    checks: dict[str, Any] = {"checks": {}, "repairs": alone, "parts": folder.parts, "dangers": {}, "cautions": {}}
    # Cautions are looked up by the rules of acts alone, which name them by their ids.
    return [str(doubt.saying.fields) for rule in SPOKEN for doubt in rule(replace(folder, **checks), language)]


@pytest.mark.parametrize("language", STEPS)
def test_steps_that_hurt_are_told_and_few_are_silent(language: str) -> None:
    silent = [step for step in STEPS[language]["hurts"] if not told(language, step)]
    assert len(silent) <= (1 - LEAST_TOLD) * len(STEPS[language]["hurts"]), silent


@pytest.mark.parametrize("language", STEPS)
def test_steps_that_hurt_nobody_pass(language: str) -> None:
    assert {step: told(language, step) for step in STEPS[language]["harmless"] if told(language, step)} == {}


@pytest.mark.parametrize("language", STEPS)
def test_most_work_is_told_where_all_its_acts_are_forgotten(language: str) -> None:
    folder = in_language(language)
    bare = {
        name: replace(placed, form=placed.form.model_copy(update={"does": ByReaderForm()}))
        for name, placed in folder.repairs.items()
    }
    doubts = SPOKEN[0](replace(folder, repairs=bare), language)
    found = {d.placed.form.repair for d in doubts if isinstance(d.placed.form, RepairForm)}
    hazardous = {
        n for n, p in folder.repairs.items() if any(folder.acts[a].form.steps_say for _, i in p.form.does for a in i)
    }
    assert len(found & hazardous) >= 0.8 * len(hazardous), hazardous - found


WORDS = st.lists(st.sampled_from(["open", "the", "union", "slowly", "pump", "pit"]), max_size=8)


@given(before=WORDS, after=WORDS)
def test_a_phrase_is_found_wherever_its_words_stand_in_a_sentence_and_denied_just_before_them(
    before: list[str], after: list[str]
) -> None:
    phrases = ActWords(["climb* + shaft/manhole"], "en")
    line = " ".join([*before, "climbing", "down", "the", "shaft", *after])
    assert phrases.told_in(plain(line))
    assert phrases.told_in(plain(line.upper()))
    assert not phrases.told_in(plain(line.replace("climbing", "never climbing")))
    assert not phrases.told_in(plain(line.replace("down", "down. Look at")))
    assert not phrases.told_in(plain(line.replace("shaft", "shafting")))


@given(st.text(max_size=60))
def test_any_text_can_be_looked_through(text: str) -> None:
    assert not ActWords(["climb* + shaft", "undo* the unions"], "en").told_in(plain(text)) or "shaft" in text.lower()
