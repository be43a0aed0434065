"""A folder of an older form becomes one of the present form, letter for letter as a person would rewrite it."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import read_document
from engine.knowledge.properties import PART_COMPUTATIONS
from engine.knowledge.upgrade import upgrade_folder
from engine.knowledge.upgrade.from_1 import parted
from engine.knowledge.upgrade.properties_of_2 import COMPUTED, STRONG
from engine.knowledge.upgrade.text_edits import YamlText, written
from tests.overlay import EXAMPLES

OLDER = EXAMPLES / "older"
FAULTS = Path(__file__).parents[4] / "faults"


def texts_of(folder: Path) -> dict[str, str]:
    found = (path for path in folder.rglob("*.yaml") if not path.relative_to(folder).parts[0].startswith("_"))
    return {path.relative_to(folder).as_posix(): path.read_bytes().decode() for path in found}


def entries(content: bytes) -> list[Any]:
    found = read_document("", content).data
    assert isinstance(found, list)
    return found


@pytest.fixture
def older(tmp_path: Path) -> Path:
    return Path(shutil.copytree(OLDER / "version_1", tmp_path / "faults"))


def test_the_first_form_becomes_the_second_with_comments_languages_and_calls_as_they_were(older: Path) -> None:
    upgrade_folder(older)
    came_to = texts_of(older)
    added = {name: came_to.pop(name) for name in ("dangers.yaml", "languages/es/dangers.yaml")}
    assert came_to == texts_of(OLDER / "version_2")
    for name, text in added.items():
        shipped = {each["danger"]: each for each in entries((FAULTS / name).read_bytes())}
        taken = entries(text.encode())
        assert {each["danger"] for each in taken} == {"tingle", "burning_smell"}
        assert all(each == shipped[each["danger"]] for each in taken)


def test_the_former_text_is_kept_and_can_be_copied_back(older: Path) -> None:
    done = upgrade_folder(older)
    assert done.kept == older / "_version-1"
    shutil.copytree(done.kept, older, dirs_exist_ok=True)
    for new in ("format.yaml", "limits.yaml", "dangers.yaml", "languages/es/dangers.yaml"):
        (older / new).unlink()
    assert texts_of(older) == texts_of(OLDER / "version_1")


def test_what_cannot_be_decided_is_named_with_its_place_and_left(older: Path) -> None:
    left = [str(problem).removeprefix(f"{older}/") for problem in upgrade_folder(older).left]
    assert left == [
        "languages/es/repairs.yaml:11:3: when `superchlorinate` is done is told here to other readers than in English; "
        "see whether a step says it, and move it to `done_when`",
        "repairs.yaml:16:51: `pieces` is no unit of an amount; known here: L, mL, kg, g, m, cm, mm",
    ]


def test_a_second_upgrade_changes_nothing(older: Path) -> None:
    upgrade_folder(older)
    before = texts_of(older)
    assert upgrade_folder(older).kept is None
    # Even where the version is forgotten, what has the new form stays.
    (older / "format.yaml").unlink()
    assert upgrade_folder(older).files == ()
    assert texts_of(older) == before


def test_lines_that_end_as_on_windows_go_on_ending_so(older: Path) -> None:
    path = older / "repairs.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    upgrade_folder(older)
    expected = (OLDER / "version_2" / "repairs.yaml").read_bytes().replace(b"\n", b"\r\n")
    assert path.read_bytes() == b"\xef\xbb\xbf" + expected


def test_a_folder_of_a_later_form_or_one_that_cannot_be_read_stays_as_it_is(older: Path) -> None:
    (older / "format.yaml").write_text("version: 3\n", encoding="utf-8")
    with pytest.raises(KnowledgeError, match="version 3, this program reads version 2 at most"):
        upgrade_folder(older)
    (older / "format.yaml").unlink()
    (older / "parts.yaml").write_text("- part: [\n", encoding="utf-8")
    before = texts_of(older)
    with pytest.raises(KnowledgeError, match=r"parts\.yaml"):
        upgrade_folder(older)
    assert texts_of(older) == before


@pytest.mark.parametrize(
    ("text", "before", "steps", "done"),
    [
        ("1. One. 2. Two. Done when it runs.", "", ("One.", "Two."), "it runs."),
        ("First this. 1. At 7.5 V. 2. In 1. 3. End.", "First this.", ("At 7.5 V.", "In 1.", "End."), ""),
        ("1. Wait 10 min. 3. is no step. 2. Go to step 5.", "", ("Wait 10 min. 3. is no step.", "Go to step 5."), ""),
        ("No numbers here.", "", ("No numbers here.",), ""),
    ],
)
def test_running_steps_are_parted(text: str, before: str, steps: tuple[str, ...], done: str) -> None:
    work = parted(text, "Done when")
    assert (work.before, work.steps, work.done) == (before, steps, done)


@given(st.text(st.characters(min_codepoint=32, max_codepoint=0x17F, exclude_categories=["Cc"]), min_size=1))
def test_a_text_that_is_written_is_read_as_it_was(text: str) -> None:
    said = " ".join(text.split()) or "-"
    assert read_document("", f"a: {written(said, False)}".encode()).data == {"a": said}
    assert read_document("", f"- {written(said, False)}".encode()).data == [said]
    assert read_document("", f"{{a: {written([said, said], True)}}}".encode()).data == {"a": [said, said]}


def test_words_that_the_program_no_longer_says_are_taken_out_with_what_held_only_them() -> None:
    text = YamlText.read("w.yaml", b"a:\n  b: x\n  c: y   # stays\nd: {e: x, f: y, g: z}\nh:\n  i: x\n# end\n")
    text.take_out({("a", "b"), ("d", "e"), ("d", "g"), ("h", "i")})
    assert text.edited() == "a:\n  c: y   # stays\nd: {f: y}\n# end\n"


def test_each_computation_that_is_named_is_one() -> None:
    assert {*COMPUTED.values(), *STRONG.values()} == set(PART_COMPUTATIONS)
