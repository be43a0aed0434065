"""A folder of an older form becomes one of the present form, letter for letter as a person would rewrite it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Check, HazardousWork, Knowledge, Repair
from engine.knowledge.properties import PART_COMPUTATIONS
from engine.knowledge.upgrade import upgrade_folder
from engine.knowledge.upgrade.from_1 import parted
from engine.knowledge.upgrade.properties_of_2 import COMPUTED, STRONG
from engine.knowledge.upgrade.safety_of_2 import Safety
from engine.knowledge.upgrade.text_edits import YamlText, written
from tests.overlay import EXAMPLES
from tests.shipped import knowledge

OLDER = EXAMPLES / "older"
FAULTS = Path(__file__).parents[4] / "faults"


BROUGHT_BY = {
    "acid_never_with_chlorine": "meets_gas",
    "isolate_and_prove_dead": "works_isolated",
    "licensed_electrician": "measures_mains",
    "tingle_keep_out": "meets_current",
    "acid_into_water": "pours_acid",
    "splash_protection": "handles_splashing",
    "never_bypass_flow_sensor": "works_on_flow_sensing",
    "gas_in_cell": "opens_cell",
    "residual_current_protection": "switches_on",
    "fuse_as_marked": "fits_fuse",
    "release_pressure": "opens_pressure",
    "store_apart": "keeps_chemicals",
    "swimmers_out": "doses_water",
    "bleached_test": "trusts_low_test",
    "spent_acid": "spends_acid",
    "no_scraping": "handles_plates",
    "not_on_undissolved_salt": "puts_salt_in",
}
"""For each caution that the first form shipped with, the act that one would name who lists it: a judgement."""


def texts_of(folder: Path) -> dict[str, str]:
    found = (path for path in folder.rglob("*.yaml") if not path.relative_to(folder).parts[0].startswith("_"))
    return {path.relative_to(folder).as_posix(): path.read_bytes().decode() for path in found}


def entries(content: bytes) -> list[Any]:
    found = read_document("", content).data
    assert isinstance(found, list)
    return found


def shipped_text(name: str) -> str:
    return (FAULTS / name).read_text(encoding="utf-8")


def expected_texts() -> dict[str, str]:
    """What the older example becomes: the second one, its hazards the shipped ones and one of its own, and behind its
    own cautions the shipped ones that those name.
    """
    own = OLDER / "version_2"
    expected = texts_of(own)
    expected["hazards.yaml"] = shipped_text("hazards.yaml") + expected.pop("own_hazards.yaml")
    for name in ("cautions.yaml", "languages/es/cautions.yaml"):
        entries = re.findall(r"^- caution: (\w+)\n((?:  .*\n)+)", shipped_text(name), re.M)
        named = set(re.findall(r"\w+", " ".join(re.findall(r"(?:cautions|in_a_line): (.*)", expected["hazards.yaml"]))))
        for caution, lines in entries:
            if caution in named and f"- caution: {caution}\n" not in expected[name]:
                expected[name] += f"\n- caution: {caution}\n{lines}"
    return expected


@pytest.fixture
def older(tmp_path: Path) -> Path:
    return Path(shutil.copytree(OLDER / "version_1", tmp_path / "faults"))


def test_the_first_form_becomes_the_second_with_comments_languages_and_calls_as_they_were(older: Path) -> None:
    upgrade_folder(older)
    came_to = texts_of(older)
    added = {name: came_to.pop(name) for name in ("dangers.yaml", "languages/es/dangers.yaml")}
    assert came_to == expected_texts()
    for name, text in added.items():
        shipped = {each["danger"]: each for each in entries((FAULTS / name).read_bytes())}
        taken = entries(text.encode())
        assert {each["danger"] for each in taken} == {"tingle", "burning_smell"}
        assert all(each == shipped[each["danger"]] for each in taken)


def test_the_former_text_is_kept_and_can_be_copied_back(older: Path) -> None:
    done = upgrade_folder(older)
    assert done.kept == older / "_version-1"
    shutil.copytree(done.kept, older, dirs_exist_ok=True)
    for new in ("format.yaml", "limits.yaml", "hazards.yaml", "dangers.yaml", "languages/es/dangers.yaml"):
        (older / new).unlink()
    assert texts_of(older) == texts_of(OLDER / "version_1")


def test_what_cannot_be_decided_is_named_with_its_place_and_left(older: Path) -> None:
    line = len(shipped_text("hazards.yaml").splitlines()) + 3
    left = [str(problem).removeprefix(f"{older}/") for problem in upgrade_folder(older).left]
    named = [
        r"checks/seen.yaml:12:10: `opens_cell`.* state of the plant; .*`plant: isolated`",
        rf"hazards.yaml:{line}:3: `heeds_mind_the_dog`.* hazards.*; .*`brings`.* faults/README.md",
        r"languages/es/repairs.yaml:11:3: .*`superchlorinate`.*other readers.*English text; .*`done_when`",
        r"repairs.yaml:16:51: `pieces` .*amount; .*: L, mL, kg, g, m, cm, mm$",
    ]
    assert len(left) == len(named)
    assert [each for each, meant in zip(left, named, strict=True) if not re.match(meant, each)] == []


def test_a_second_upgrade_changes_nothing(older: Path) -> None:
    upgrade_folder(older)
    before = texts_of(older)
    assert upgrade_folder(older).kept is None
    # Even where the version is forgotten, what has the new form stays.
    (older / "format.yaml").unlink()
    assert upgrade_folder(older).files == ()
    assert texts_of(older) == before


@pytest.mark.e2e
def test_a_folder_as_the_first_form_shipped_it_loads_and_warns_as_the_shipped_one_does(tmp_path: Path) -> None:
    """As far as safety goes: the shipped folder written as the first form wrote it, cautions listed at each work."""
    folder = tmp_path / "faults"
    shutil.copytree(FAULTS, folder, ignore=shutil.ignore_patterns("*.py", "languages", "words"))
    known = load_knowledge(FAULTS)
    for path in (*(folder / "checks").glob("*.yaml"), folder / "repairs.yaml", folder / "cautions.yaml"):
        path.write_text(as_in_the_first_form(path.read_text(encoding="utf-8"), known), encoding="utf-8")
    (folder / "format.yaml").unlink()
    (folder / "hazards.yaml").unlink()
    assert upgrade_folder(folder).left == ()
    upgraded = load_knowledge(folder)
    assert {name: check.work for name, check in upgraded.checks.items()} == works(known.checks)
    assert {name: repair.work for name, repair in upgraded.repairs.items()} == works(known.repairs)
    assert upgraded.checks == known.checks
    assert upgraded.repairs == known.repairs
    assert upgraded.cautions == known.cautions
    assert upgraded.acts == known.acts


def as_in_the_first_form(text: str, known: Knowledge) -> str:
    """A file without what the second form added for safety, and with the cautions that it took from work."""
    entries: dict[str, Check | Repair] = {**known.checks, **known.repairs}

    def listed(found: re.Match[str]) -> str:
        work = entries[found[2]].work
        cautions = list(dict.fromkeys([*work.cautions.owner, *work.cautions.technician]))
        return f"{found[1]}  cautions: {written(cautions, True)}\n"

    text = re.sub(r"(?m)^  (waits_for): .*\n", "", text).replace(", keeps_off: yes", "")
    text = re.sub(r"(?m)^  in_short:(?: .*\n|\n(?:    .*\n)+)", "", text)
    return re.sub(r"(?m)(^- (?:check|repair): (\w+)\n(?:(?!- ).*\n)*?)  does: .*\n", listed, text)


def works(entries: Mapping[str, Check] | Mapping[str, Repair]) -> dict[str, HazardousWork]:
    return {name: entry.work for name, entry in entries.items()}


def test_each_caution_of_the_first_form_is_brought_by_an_act_to_work_of_the_folders_own() -> None:
    safety = Safety(frozenset(), frozenset(knowledge().dangers))
    found = {name: safety.act_for(name, "any", frozenset({"owner", "technician"})).id for name in BROUGHT_BY}
    assert found == BROUGHT_BY
    assert safety.own == {}
    assert set(BROUGHT_BY) <= safety.named() == set(safety.shipped.cautions)


def test_lines_that_end_as_on_windows_go_on_ending_so(older: Path) -> None:
    path = older / "repairs.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    upgrade_folder(older)
    expected = (OLDER / "version_2" / "repairs.yaml").read_bytes().replace(b"\n", b"\r\n")
    assert path.read_bytes() == b"\xef\xbb\xbf" + expected


def test_a_folder_of_a_later_form_or_one_that_cannot_be_read_stays_as_it_is(older: Path) -> None:
    (older / "format.yaml").write_text("version: 3\n", encoding="utf-8")
    with pytest.raises(KnowledgeError, match="version 3, and this program reads up to version 2"):
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
    assert {*COMPUTED.values(), *STRONG.values()} <= set(PART_COMPUTATIONS)
