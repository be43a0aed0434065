"""A language laid over the knowledge: its texts count and nothing else of it, and each mistake is told at its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from engine.foundation.problems import KnowledgeError
from engine.knowledge.loader import load_knowledge
from engine.knowledge.translation_check import languages_of, look_through
from tests.overlay import GOOD


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
    assert load_knowledge(folder) == english


def test_one_text_serves_both_audiences_and_bands_take_words(folder: Path) -> None:
    lay(folder, "checks/tested.yaml", "- check: tested_salt\n  how: Uu.\n  band_words: {low: ll}\n")
    check = load_knowledge(folder, "xx").checks["tested_salt"]
    assert (check.how.customer, check.how.technician) == ("Uu.", "Uu.")
    assert {answer.id: answer.wording.customer for answer in check.answers}["low"] == "ll"
    assert {answer.id: answer.wording.customer for answer in check.answers}["right"] == "right"


def test_a_language_that_the_folder_lacks_leaves_it_in_english(folder: Path) -> None:
    assert load_knowledge(folder, "xx") == load_knowledge(folder)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("- cause: cell_scald\n", ":1:10: there is no cause `cell_scald`; did you mean `cell_scaled`?"),
        ("- cause: cell_scaled\n  source: x\n", ":2:3: `source` holds no words; leave it out"),
        (
            "- cause: cell_scaled\n  custumer: x\n",
            ":2:3: `custumer` is no text of this entry; did you mean `customer`?",
        ),
        ("- cause: cell_scaled\n  customer: 3\n", ":2:13: `customer` holds something else here; write one text"),
        ("- cause: cell_scaled\n  customer: ''\n", ":2:13: `customer` holds something else here; write one text"),
        ("- cause: cell_scaled\n  names: yy\n", ":2:10: `names` holds something else here; write a list"),
        ("- cause: cell_scaled\n- cause: cell_scaled\n", ":2:10: the cause `cell_scaled` was said before"),
        ("cause: cell_scaled\n", ":1:1: this is not a list of entries; begin each entry with `- cause: ...`"),
        ("- customer: x\n", ":1:3: this is no entry; begin it with `cause: ...`"),
        ("- cause: cell_scaled\n  customer: a\n  customer: b\n", ":3:3: `customer` stands here a second time"),
    ],
)
def test_a_mistake_is_told_with_its_place_and_never_used(folder: Path, text: str, told: str) -> None:
    path = lay(folder, "causes/cell.yaml", text)
    assert any(str(problem).startswith(f"{path}{told}") for problem in look_through(folder).problems)
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(folder, "xx")
    assert f"{path}{told}" in str(caught.value)
    assert load_knowledge(folder).causes


def test_what_is_missing_is_told_apart_from_what_is_wrong(folder: Path) -> None:
    path = lay(folder, "causes/cell.yaml", "- cause: cell_scaled\n  customer: Xx.\n")
    looked = look_through(folder)
    assert looked.problems == ()
    told = [str(problem) for problem in looked.missing["xx"]]
    assert f"{path}:1:3: `technician` is missing in this language; write it below this entry" in told
    assert any("causes/water.yaml:1:1: the cause `salt_low` is missing" in line for line in told)
    assert any("words/opening.yaml:1:1: `noted` is missing" in line for line in told)


@pytest.mark.parametrize("place", ["words", "languages/xx/words"])
@pytest.mark.parametrize(
    ("file", "text", "told"),
    [
        ("opening.yaml", "notid: x\n", ":1:1: the program never says `notid`; did you mean `noted`?"),
        ("opening.yaml", "noted: '{name} x'\n", ":1:8: the fields here are {name}, not none; keep each {name}"),
        ("openings.yaml", "noted: x\n", ":1:1: the program has no words file of this name; did you mean `opening`?"),
        ("opening.yaml", "noted: '{a.b}'\n", ":1:8: a field is amiss"),
    ],
)
def test_words_that_are_never_said_or_lack_their_fields_are_told(
    folder: Path, place: str, file: str, text: str, told: str
) -> None:
    path = folder / place / file
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    assert any(str(problem).startswith(f"{path}{told}") for problem in look_through(folder).problems)


def test_a_folders_own_languages_are_known_beside_the_shipped_ones(folder: Path) -> None:
    (folder / "languages" / "xx").mkdir(parents=True)
    known = languages_of(folder)
    assert known[0] == "en"
    assert {"xx", "es"} <= set(known)
