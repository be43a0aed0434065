"""Finding, listing and renaming entries over all files of a folder."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from engine.foundation.text_catalog import use_language
from engine.knowledge.changes import entries_of
from engine.knowledge.files import contents_of
from engine.knowledge.loader import load_knowledge
from engine.knowledge.mentions import USES, mentions_of, read_written, renamed
from engine.knowledge.required import NAMED
from interview.commands.app import command_line
from tests.overlay import GOOD
from tests.variants import USES as INDEPENDENT

WRITTEN = read_written(GOOD)
ENTRIES = [
    (kind, name)
    for kind in USES
    if kind not in ("role", "limit")
    for name in sorted(WRITTEN.ids(kind))
    if name not in NAMED.get(kind, ())
]


@pytest.fixture
def mine(tmp_path: Path) -> Iterator[Path]:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    spanish = folder / "languages" / "es" / "causes" / "cell.yaml"
    spanish.parent.mkdir(parents=True)
    spanish.write_text("- cause: cell_scaled\n  customer: Hay cal.\n  technician: Cal.\n", encoding="utf-8")
    (folder / "said").mkdir()
    (folder / "said" / "mine.yaml").write_text("cell_plates:\n  clean: [shiny]\n", encoding="utf-8")
    yield folder
    use_language("en")


def run(folder: Path, *words: str) -> int:
    return command_line(["--faults", str(folder), "--jobs", str(folder.parent), *words])


@pytest.mark.parametrize(("kind", "name"), ENTRIES)
def test_an_entry_renamed_and_renamed_back_leaves_every_letter_as_it_was(mine: Path, kind: str, name: str) -> None:
    before = read_written(mine)
    there = renamed(before, mentions_of(before, kind, name), name, "quite_another")
    for file, content in there.items():
        (mine / file).write_bytes(content)
    assert load_knowledge(mine).trees
    between = read_written(mine)
    assert name not in between.ids(kind)
    back = renamed(between, mentions_of(between, kind, "quite_another"), "quite_another", name)
    assert {**before.contents, **back} == before.contents
    assert back.keys() == there.keys()


def test_each_way_in_which_entries_are_spoken_of_is_known() -> None:
    """Held against the list by which other tests rename entries, which was written apart from this one."""
    ours = {(kind, *pattern.split(".")[:2]) for kind, patterns in USES.items() for pattern in patterns}
    theirs = {(kind, of, field) for kind, uses in INDEPENDENT.items() for of, field, _ in uses}
    assert theirs - ours == set()


def test_finding_tells_each_place_with_its_line(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(mine, "find", "cell_plates") == 0
    told = capsys.readouterr().out.splitlines()
    for line in told:
        file, number, column = re.fullmatch(r"(.+):(\d+):(\d+): .+", line).groups()  # type: ignore[union-attr]
        text = Path(file).read_text(encoding="utf-8").splitlines()[int(number) - 1]
        assert text[int(column) - 1 :].startswith("cell_plates")
    assert any("said/mine.yaml" in line for line in told)
    assert any(line.endswith("the check itself") for line in told)
    assert any(line.endswith("cause cell_scaled: shows.cell_plates") for line in told)
    everywhere = sum(
        len(re.findall(r"(?<![\w-])cell_plates(?![\w-])", path.read_text(encoding="utf-8")))
        for path in mine.rglob("*.yaml")
    )
    assert len(told) == everywhere


def test_words_of_a_text_are_found_with_its_entry(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever reads a text on a page or a screen comes to its line, in any language and with no accent."""
    assert run(mine, "find", "HAY", "cal") == 0
    (line,) = capsys.readouterr().out.splitlines()
    file, number, column, rest = line.split(":", 3)
    assert file.endswith("languages/es/causes/cell.yaml")
    assert Path(file).read_text(encoding="utf-8").splitlines()[int(number) - 1][int(column) - 1 :] == "Hay cal."
    assert rest == " cause cell_scaled: customer: Hay cal."
    assert run(mine, "find", "hay", "cal", "--kind", "check") == 2
    assert run(mine, "find", "no", "such", "words") == 2
    assert "`no such words`" in capsys.readouterr().err


def test_renaming_tells_what_it_changes_and_a_dry_run_changes_nothing(
    mine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in mine.rglob("*.yaml")}
    assert run(mine, "rename", "cause", "cell_scaled", "cell_limed", "--dry-run") == 0
    told = capsys.readouterr().out
    assert {path: path.read_bytes() for path in mine.rglob("*.yaml")} == before
    assert run(mine, "rename", "cause", "cell_scaled", "cell_limed") == 0
    out, err = capsys.readouterr()
    assert out == told
    assert "`cell_scaled` is now `cell_limed`" in err
    assert "cell_limed" in (mine / "languages" / "es" / "causes" / "cell.yaml").read_text(encoding="utf-8")
    assert "salt_low + cell_limed: 3" in (mine / "trees" / "low-salt.yaml").read_text(encoding="utf-8")
    assert run(mine, "check") == 0


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["check", "cell_plate", "x"], "did you mean `cell_plates`?"),
        (["check", "danger_now", "x"], "the program itself needs it"),
        (["cause", "cell_scaled", "Cell"], "`Cell` is not an id"),
        (["cause", "cell_scaled", "salt_low"], "`salt_low` is already the id of another cause"),
        (["check", "cell_plates", "salt_gap"], "`salt_gap` is already the id of another finding"),
    ],
)
def test_what_cannot_be_renamed_is_refused(
    mine: Path, capsys: pytest.CaptureFixture[str], words: list[str], why: str
) -> None:
    assert run(mine, "rename", *words) == 2
    assert why in capsys.readouterr().err


def test_the_shipped_folder_is_not_renamed_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--jobs", str(tmp_path), "rename", "cause", "cell_scaled", "cell_limed"]) == 2
    assert "name your folder with --faults" in capsys.readouterr().err


def test_entries_are_listed_and_those_that_nothing_counts_on_too(
    mine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(mine, "entries", "part") == 0
    assert [line.split()[0] for line in capsys.readouterr().out.splitlines()] == list(load_knowledge(mine).parts)
    assert run(mine, "entries", "part", "--unused") == 0
    assert capsys.readouterr().out == ""
    part = "\n- part: cell\n  customer: Cell\n  technician: Salt cell\n  price: cheap\n  in_van: no\n"
    parts = mine / "parts.yaml"
    parts.write_text(parts.read_text(encoding="utf-8") + part, encoding="utf-8")
    assert run(mine, "entries", "part", "--unused") == 0
    assert capsys.readouterr().out.split() == ["cell", "Salt", "cell"]
    assert contents_of(mine)[1] == []


@pytest.fixture
def over(mine: Path) -> Path:
    """A folder that lies over another one: it changes a part, adds one, and does without a third."""
    shop = mine.parent / "shop"
    shop.mkdir()
    (shop / "format.yaml").write_text("version: 2\n", encoding="utf-8")
    (shop / "overlay.yaml").write_text("overlay: shop\nover: ../mine\nremove: {part: [dummy_spool]}\n", "utf-8")
    (shop / "parts.yaml").write_text(
        "- part: salt\n  customer: Our salt\n- part: our_clip\n  customer: Clip\n  technician: Clip\n"
        "  price: cheap\n  in_van: yes\n",
        encoding="utf-8",
    )
    return shop


def test_what_is_spoken_of_is_found_in_the_whole_stack(over: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(over, "find", "salt", "--kind", "part") == 0
    found = capsys.readouterr().out.splitlines()
    assert found[0].startswith(f"{over}/parts.yaml:1:")
    below = over / ".." / "mine"
    assert [line for line in found if line.startswith(f"{below}/repairs.yaml:")]
    assert run(over, "find", "dummy_spool") == 0
    found = capsys.readouterr().out.splitlines()
    assert [line for line in found if line.startswith(f"{over}/overlay.yaml:3:")]
    assert [line for line in found if line.startswith(f"{below}/parts.yaml:")]


def test_only_what_a_folder_adds_is_renamed_in_it(over: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(over, "rename", "part", "salt", "our_salt") == 2
    assert "mine" in capsys.readouterr().err
    assert run(over, "rename", "part", "our_clip", "cleaning_acid") == 2
    assert run(over, "rename", "part", "our_clip", "our_other_clip") == 0
    assert "- part: our_other_clip" in (over / "parts.yaml").read_text(encoding="utf-8")
    assert entries_of(over)["part", "our_other_clip"].data["customer"] == "Clip"
