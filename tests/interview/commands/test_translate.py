"""How far a language is, and skeletons for what it lacks."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from engine.evaluation.look_over import look_over
from engine.knowledge.files import contents_of
from engine.knowledge.loader import load_knowledge
from engine.knowledge.translating import progress_of, skeletons_of
from interview.commands.app import command_line
from tests.overlay import GOOD, entries_of

ENTRIES = entries_of(GOOD)


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GOOD, tmp_path / "mine"))


def run(folder: Path, *words: str) -> int:
    return command_line(["--faults", str(folder), "--jobs", str(folder.parent), *words])


def test_a_language_of_nothing_lacks_everything_and_dangers_come_first() -> None:
    progress = progress_of(ENTRIES, {})
    assert progress.per_cent() == 0
    assert sum(total for total, _ in progress.counts.values()) == len(progress.lacking)
    worth = [lack.worth for lack in progress.lacking]
    assert worth == sorted(worth, reverse=True)
    kinds = [lack.kind for lack in progress.lacking]
    assert set(kinds[: kinds.index("check")]) >= {"danger", "caution", "tree"}
    causes = list(dict.fromkeys(lack.id for lack in progress.lacking if lack.kind == "cause"))
    assert causes == ["cell_scaled", "salt_low", "salt_undissolved"]  # none of 100 jobs is counted: as they stand


def test_skeletons_whose_remarks_are_taken_away_say_everything(mine: Path) -> None:
    """In English: what a translator finds there is the whole text, in its place, with its stamp."""
    assert run(mine, "translate", "xx", "--write") == 0
    place = mine / "languages" / "xx"
    for file in place.rglob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        file.write_text(re.sub(r"^( *)# ", r"\1", text, flags=re.M), encoding="utf-8")
    assert progress_of(entries_of(mine), contents_of(place)[0]).per_cent() == 100
    looked = look_over(mine)
    assert [str(problem) for problem in looked.found] == []
    assert [each for each in looked.missing["xx"] if "/words/" not in each.file] == []
    english, other = load_knowledge(mine), load_knowledge(mine, "xx")
    assert other.causes == english.causes
    assert other.cautions == english.cautions


def test_a_skeleton_changes_nothing_that_is_said_and_is_no_mistake(mine: Path) -> None:
    said = mine / "languages" / "xx" / "causes" / "cell.yaml"
    said.parent.mkdir(parents=True)
    said.write_text("- cause: cell_scaled\n  customer: Aa.\n  technician: Bb.\n", encoding="utf-8")
    before = said.read_bytes()
    assert run(mine, "translate", "xx", "--write") == 0
    assert said.read_bytes() == before
    assert not look_over(mine).stops()
    laid = contents_of(mine / "languages" / "xx")[0]
    assert skeletons_of(entries_of(mine), laid, progress_of(entries_of(mine), laid).lacking) == {}
    assert progress_of(entries_of(mine), laid).counts["cause"] == (7, 2)


def test_the_shipped_language_is_whole_and_what_lacks_is_printed(
    capsys: pytest.CaptureFixture[str], mine: Path
) -> None:
    assert command_line(["--jobs", str(mine), "translate", "es"]) == 0
    assert "es: 100 % of the texts" in capsys.readouterr().out
    assert run(mine, "translate", "xx", "--next", "2") == 0
    assert len(capsys.readouterr().out.splitlines()) == 10 + 2 + 2


@pytest.mark.parametrize("code", ["en", "Deutsch", "../x"])
def test_what_is_no_other_language_is_refused(mine: Path, capsys: pytest.CaptureFixture[str], code: str) -> None:
    assert run(mine, "translate", code, "--write") == 2
    assert "is not the code of another language" in capsys.readouterr().err
