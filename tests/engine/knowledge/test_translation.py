"""A language laid over the knowledge: its texts count and nothing else of it, and each mistake is told at its place."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import languages_of
from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import load_knowledge
from engine.knowledge.stamps import stamp_of
from engine.knowledge.translation_check import look_through
from engine.knowledge.upgrade import restamp
from tests.overlay import GOOD, entries_of


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "mine"
    shutil.copytree(GOOD, place)
    return place


def lay(folder: Path, file: str, text: str) -> Path:
    path = folder / "languages" / "xx" / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_texts_are_replaced_and_what_is_not_said_stays_english(folder: Path) -> None:
    english = load_knowledge(folder)
    lay(folder, "causes/cell.yaml", "- cause: cell_scaled\n  customer: Xx xx.\n  names: [yy]\n")
    other = load_knowledge(folder, "xx")
    assert other.causes["cell_scaled"].wording.customer == "Xx xx."
    assert other.causes["cell_scaled"].wording.technician == english.causes["cell_scaled"].wording.technician
    assert other.causes["cell_scaled"].names == ("yy",)
    assert other.causes["salt_low"] == english.causes["salt_low"]
    assert other.fingerprint == english.fingerprint
    assert replace(load_knowledge(folder), dangers_elsewhere={}) == replace(english, dangers_elsewhere={})


def test_one_text_serves_both_audiences_and_bands_take_words(folder: Path) -> None:
    lay(folder, "checks/tested.yaml", "- check: tested_salt\n  how: Uu.\n  band_words: {low: ll}\n")
    check = load_knowledge(folder, "xx").checks["tested_salt"]
    assert (check.how.customer, check.how.technician) == ("Uu.", "Uu.")
    assert {answer.id: answer.wording.customer for answer in check.answers}["low"] == "ll"
    assert {answer.id: answer.wording.customer for answer in check.answers}["right"] == "right"


def test_a_language_that_the_folder_lacks_leaves_it_in_english(folder: Path) -> None:
    other, english = load_knowledge(folder, "xx"), load_knowledge(folder)
    assert replace(other, dangers_elsewhere={}) == replace(english, dangers_elsewhere={})
    assert other.dangers_elsewhere == {**english.dangers_elsewhere, "en": english.dangers}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("- cause: cell_scald\n", ":1:10: there is no cause `cell_scald`; did you mean `cell_scaled`?"),
        ("- cause: cell_scaled\n  source: x\n", ":2:3: `source` contains no words; leave it out"),
        (
            "- cause: cell_scaled\n  custumer: x\n",
            ":2:3: `custumer` is not a text of this entry; did you mean `customer`?",
        ),
        ("- cause: cell_scaled\n  customer: 3\n", ":2:13: `customer` has the wrong form here; write one text"),
        ("- cause: cell_scaled\n  customer: ''\n", ":2:13: `customer` has the wrong form here; write one text"),
        ("- cause: cell_scaled\n  names: yy\n", ":2:10: `names` has the wrong form here; write a list"),
        ("- cause: cell_scaled\n  customer: Etwa [7,2 g/L] Kalk.\n", ":2:13: `[7,2 g/L]` is not a quantity"),
        ("- cause: cell_scaled\n- cause: cell_scaled\n", ":2:10: the cause `cell_scaled` is already in"),
        ("cause: cell_scaled\n", ":1:1: this is not a list of entries; begin each entry with `- cause: ...`"),
        ("- customer: x\n", ":1:3: this is not an entry; begin it with `cause: ...`"),
        ("- cause: cell_scaled\n  customer: a\n  customer: b\n", ":3:3: `customer` appears here a second time"),
    ],
)
def test_a_mistake_is_told_with_its_place_and_never_used(folder: Path, text: str, told: str) -> None:
    path = lay(folder, "causes/cell.yaml", text)
    assert any(
        str(problem).startswith(f"{path}{told}") for problem in look_through(folder, entries_of(folder)).problems
    )
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(folder, "xx")
    assert f"{path}{told}" in str(caught.value)
    assert load_knowledge(folder).causes


def test_what_is_missing_is_told_apart_from_what_is_wrong(folder: Path) -> None:
    path = lay(folder, "causes/cell.yaml", "- cause: cell_scaled\n  customer: Xx.\n")
    looked = look_through(folder, entries_of(folder))
    assert [problem for problem in looked.problems if problem.grade != "look again"] == []
    told = [str(problem) for problem in looked.missing["xx"]]
    assert f"{path}:1:3: `technician` is missing in this language; write it below this entry" in told
    assert any("causes/water.yaml:1:1: the cause `salt_low` is missing" in line for line in told)
    assert any("words/opening.yaml:1:1: `noted` is missing" in line for line in told)


@pytest.mark.parametrize("place", ["words", "languages/xx/words"])
@pytest.mark.parametrize(
    ("file", "text", "told"),
    [
        ("opening.yaml", "notid: x\n", ":1:1: the program never uses `notid`; did you mean `noted`?"),
        ("opening.yaml", "noted: '{name} x'\n", ":1:8: the fields here are {name}, not none; keep each {name}"),
        ("openings.yaml", "noted: x\n", ":1:1: the program has no words file of this name; did you mean `opening`?"),
        ("opening.yaml", "noted: '{a.b}'\n", ":1:8: a field in this text is wrong"),
    ],
)
def test_words_that_are_never_said_or_lack_their_fields_are_told(
    folder: Path, place: str, file: str, text: str, told: str
) -> None:
    path = folder / place / file
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    assert any(
        str(problem).startswith(f"{path}{told}") for problem in look_through(folder, entries_of(folder)).problems
    )


def test_a_folders_own_languages_are_known_beside_the_shipped_ones(folder: Path) -> None:
    (folder / "languages" / "xx").mkdir(parents=True)
    known = languages_of(folder)
    assert known[0] == "en"
    assert {"xx", "es"} <= set(known)


# The stamp of a translated safety text.

ACID = "- caution: acid_into_water\n  {of}customer: Aa.\n  technician: Bb.\n"
CLEAN = "- repair: acid_clean\n  {of}steps: [Cc.]\n"


def told_of(folder: Path) -> list[str]:
    return [
        str(problem).removeprefix(f"{folder}/languages/xx/")
        for problem in look_through(folder, entries_of(folder)).problems
    ]


def stamp_told(message: str) -> str:
    found = re.search(r"then write `of: ([a-p]{8})` below its id$", message)
    assert found is not None, message
    return found[1]


def change(folder: Path, file: str, before: str, after: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), encoding="utf-8")


def stamped(folder: Path, file: str, text: str) -> str:
    """Lay a translation, write the stamp that its message gives, and return the stamp."""
    lay(folder, file, text.format(of=""))
    (message,) = told_of(folder)
    stamp = stamp_told(message)
    lay(folder, file, text.format(of=f"of: {stamp}\n  "))
    return stamp


@pytest.mark.parametrize(
    ("file", "text", "what"),
    [
        ("cautions.yaml", ACID, "the caution `acid_into_water`"),
        ("repairs.yaml", CLEAN, "the repair `acid_clean`"),
    ],
)
def test_a_safety_text_without_a_stamp_is_told_with_the_one_to_write(
    folder: Path, file: str, text: str, what: str
) -> None:
    lay(folder, file, text.format(of=""))
    (message,) = told_of(folder)
    assert message.startswith(f"{file}:1:{text.index(':') + 3}: ")
    assert f"{what} does not say which English text it translates; read both again, update this one" in message
    lay(folder, file, text.format(of=f"of: {stamp_told(message)}\n  "))
    assert told_of(folder) == []


@pytest.mark.parametrize(
    ("file", "text", "english", "other"),
    [
        ("cautions.yaml", ACID, "never water into acid", "never acid into water"),
        ("cautions.yaml", ACID, "technician: Acid into water.", "technician: Acid into much water."),
        ("repairs.yaml", CLEAN, "clean it, rinse it", "rinse it, clean it"),
    ],
)
def test_an_english_safety_text_that_changes_makes_its_translation_stale(
    folder: Path, file: str, text: str, english: str, other: str
) -> None:
    former = stamped(folder, file, text)
    change(folder, file, english, other)
    (message,) = told_of(folder)
    assert message.startswith(f"{file}:2:7: the English text of the ")
    assert "has changed since it was translated; read both again" in message
    assert stamp_told(message) != former
    # It is said all the same: who reads that language understands it better than English.
    there = load_knowledge(folder, "xx")
    said = there.cautions["acid_into_water"].wording.customer, *there.repairs["acid_clean"].steps.customer
    assert {"Aa.", "Cc."} & set(said)
    change(folder, file, other, english)
    assert told_of(folder) == []


def test_what_is_no_safety_text_and_how_lines_break_makes_nothing_stale(folder: Path) -> None:
    stamped(folder, "cautions.yaml", ACID)
    change(folder, "cautions.yaml", "Pour acid into water, never", "Pour acid into\n    water, never")
    change(folder, "cautions.yaml", "signal: WARNING", "signal: DANGER")
    change(folder, "cautions.yaml", "Never let acid and chlorine meet", "Never let chlorine and acid meet")
    stamped(folder, "repairs.yaml", CLEAN)
    change(folder, "repairs.yaml", "customer: Clean the cell in acid", "customer: Clean the cell")
    change(folder, "repairs.yaml", "minutes: 40", "minutes: 45")
    assert told_of(folder) == []


def test_what_has_no_text_that_is_stamped_carries_no_stamp(folder: Path) -> None:
    lay(folder, "repairs.yaml", "- repair: acid_clean\n  customer: Xx.\n")
    lay(folder, "causes/cell.yaml", "- cause: cell_scaled\n  names: [xx]\n")
    assert told_of(folder) == []


def test_what_hurts_nobody_is_doubted_where_its_english_has_changed(folder: Path) -> None:
    lay(folder, "causes/cell.yaml", "- cause: cell_scaled\n  customer: Xx.\n  technician: Yy.\n")
    (told,) = told_of(folder)
    assert told.startswith("causes/cell.yaml:1:10: look again: the cause `cell_scaled` does not say which English")
    restamp(folder)
    assert told_of(folder) == []
    change(folder, "causes/cell.yaml", "Lime has built up", "No lime has built up")
    (told,) = told_of(folder)
    assert told.startswith("causes/cell.yaml:2:7: look again: the English text of the cause `cell_scaled` has changed")


def test_stamps_that_were_read_are_renewed_and_each_is_named(folder: Path) -> None:
    former = stamped(folder, "cautions.yaml", ACID + "# kept\n")
    change(folder, "cautions.yaml", "never water into acid", "and never water into acid")
    path = lay(folder, "repairs.yaml", CLEAN.format(of=""))
    stale = [stamp_told(message) for message in told_of(folder)]
    renewed = [str(problem).removeprefix(f"{folder}/languages/xx/") for problem in restamp(folder)]
    assert renewed == [
        "cautions.yaml:1:3: the stamp of the caution `acid_into_water` now matches the English; "
        "make sure that somebody has read both",
        "repairs.yaml:1:3: the stamp of the repair `acid_clean` now matches the English; "
        "make sure that somebody has read both",
    ]
    assert told_of(folder) == []
    assert path.read_text(encoding="utf-8") == CLEAN.format(of=f"of: {stale[1]}\n  ")
    there = (folder / "languages" / "xx" / "cautions.yaml").read_text(encoding="utf-8")
    assert there == (ACID + "# kept\n").format(of=f"of: {stale[0]}\n  ")
    assert former != stale[0]
    assert restamp(folder) == []


def test_nothing_is_stamped_in_a_folder_with_mistakes(folder: Path) -> None:
    path = lay(folder, "cautions.yaml", ACID.format(of=""))
    change(folder, "cautions.yaml", "signal: WARNING", "signal: WARNIN")
    with pytest.raises(KnowledgeError):
        restamp(folder)
    assert path.read_text(encoding="utf-8") == ACID.format(of="")


@given(st.lists(st.text(st.characters(categories=["L", "N", "P", "Zs"])), min_size=1, max_size=3))
def test_a_stamp_is_read_from_yaml_as_the_word_that_it_is(said: list[str]) -> None:
    stamp = stamp_of(((str(at),), text) for at, text in enumerate(said))
    assert read_document("", f"of: {stamp}".encode()).data == {"of": stamp}
    assert stamp == stamp_of(((str(at),), f" {text}\n") for at, text in enumerate(said))
    assert stamp != stamp_of(((str(at),), f"{text} not") for at, text in enumerate(said))
