"""`brinecall knowledge`: one folder, taken by every command by the same rule, and named."""

from __future__ import annotations

import json
import os
import re
import shutil
from importlib.resources import files
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner

from engine.evaluation.look_over import look_over
from engine.knowledge.files import contents_of
from engine.knowledge.loader import fingerprint_of, load_knowledge
from interview.command_line.context import FAULTS_ENVIRONMENT, Places, faults_in_use
from interview.command_line.knowledge_parts import limits_in
from interview.command_line.worked_calls import kept_calls
from interview.commands.app import command_line
from interview.commands.knowledge import update_command
from interview.storage import settings
from tests.shipped import knowledge

FAULTS = Path(__file__).parents[3] / "faults"


@pytest.fixture(scope="module")
def mine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that says one thing otherwise than the shipped one; no test writes to it."""
    folder = tmp_path_factory.mktemp("own") / "faults"
    shutil.copytree(FAULTS, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__", "languages", "words"))
    with (folder / "parts.yaml").open("a", encoding="utf-8") as file:
        file.write("# another remark, another fingerprint\n")
    return folder


def of(folder: Path) -> str:
    return fingerprint_of(contents_of(folder)[0])


def in_use(capsys: pytest.CaptureFixture[str], *before: str) -> tuple[str, str]:
    capsys.readouterr()
    assert command_line([*before, "knowledge", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    return told["knowledge"]["fingerprint"], told["rule"]


@pytest.mark.parametrize("named", list(product((True, False), repeat=3)))
def test_the_first_that_names_a_folder_decides(named: tuple[bool, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    option, environment, setting = named
    if environment:
        monkeypatch.setenv(FAULTS_ENVIRONMENT, "environment")
    if setting:
        settings.settle(knowledge="setting")
    first = next(
        (rule for rule, is_named in zip(("option", "environment", "setting"), named, strict=True) if is_named), ""
    )
    expected = (Path(first), first) if first else (None, "shipped")
    assert faults_in_use(Path("option") if option else None) == expected


def test_what_is_settled_is_taken_until_it_goes_back(
    mine: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert in_use(capsys) == (knowledge().fingerprint, "shipped")
    monkeypatch.chdir(mine.parent)
    assert command_line(["knowledge", "use", "faults"]) == 0
    assert of(mine) in capsys.readouterr().out
    # Settled once, it holds wherever one stands.
    monkeypatch.chdir("/" if os.name != "nt" else mine.anchor)
    assert in_use(capsys) == (of(mine), "setting")
    assert command_line(["cover", "cell_worn"]) == 0
    assert of(mine) in capsys.readouterr().out
    assert command_line(["--version"]) == 0
    assert of(mine) in capsys.readouterr().out
    assert in_use(capsys, "--faults", str(FAULTS)) == (knowledge().fingerprint, "option")
    assert command_line(["knowledge", "use", "--shipped"]) == 0
    assert in_use(capsys) == (knowledge().fingerprint, "shipped")
    monkeypatch.setenv(FAULTS_ENVIRONMENT, str(mine))
    assert in_use(capsys) == (of(mine), "environment")


def test_a_folder_with_a_mistake_is_not_settled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "parts.yaml").write_text("- part: Cell\n", encoding="utf-8")
    assert command_line(["knowledge", "use", str(tmp_path)]) == 2
    assert str(tmp_path) in capsys.readouterr().err
    assert settings.knowledge_folder() == ""


@pytest.mark.parametrize("arguments", [[], ["--shipped", "faults"]])
def test_one_of_both_is_named(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["knowledge", "use", *arguments]) == 2
    assert "--shipped" in capsys.readouterr().err


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_settled_folder_that_is_gone_is_told_with_both_ways_out(
    language: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = tmp_path / "gone"
    settings.settle(knowledge=str(gone))
    for command in (["check"], ["cover", "cell_worn"], ["ask", "--role", "phone"], ["knowledge"]):
        assert command_line(["--language", language, *command]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert len(told.err.splitlines()) == 1
        assert str(gone) in told.err
        assert "brinecall knowledge use --shipped" in told.err
    assert command_line(["--language", language, "knowledge", "use", "--shipped"]) == 0
    assert settings.knowledge_folder() == ""


def test_a_command_to_type_names_what_is_not_settled() -> None:
    folder = Path("mine")
    assert Places(folder, named_by="setting").command("resume") == "brinecall resume"
    for rule in ("option", "environment"):
        assert Places(folder, named_by=rule).command("resume") == "brinecall --faults mine resume"


def test_a_folder_of_ones_own_lies_over_what_is_in_use(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    chain, shop = tmp_path / 'the chain: "Blue"', tmp_path / "shop"
    assert command_line(["knowledge", "edit", str(chain)]) == 0
    capsys.readouterr()
    assert command_line(["check", str(chain)]) == 0
    assert capsys.readouterr().out == ""
    (chain / "parts.yaml").write_text("- part: cell\n  technician: The chain's cell\n", encoding="utf-8")
    assert command_line(["--faults", str(chain), "knowledge", "edit", str(shop)]) == 0
    (shop / "parts.yaml").write_text("- part: cell\n  customer: The shop's cell\n", encoding="utf-8")
    # Wherever one stands, the stack is found; all commands read it, those too that read single files.
    monkeypatch.chdir(tmp_path)
    capsys.readouterr()
    assert command_line(["--faults", "shop", "entries", "part"]) == 0
    assert "The chain's cell" in capsys.readouterr().out
    assert kept_calls(Places(Path("shop"))) == kept_calls(Places())
    limits = [limits_in(folder) for folder in (Path("shop"), FAULTS)]
    assert limits[0] == limits[1] is not None
    assert command_line(["--faults", "shop", "elicit", "cell_worn"]) == 2
    assert "shop" in capsys.readouterr().err


def test_a_copy_is_whole_and_never_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shop's own"
    assert command_line(["knowledge", "edit", "--whole", str(folder)]) == 0
    assert "brinecall knowledge use" in capsys.readouterr().out
    looked = look_over(folder)
    assert looked.knowledge is not None
    assert not looked.stops()
    assert of(folder) == knowledge().fingerprint
    (folder / "parts.yaml").write_text("mine", encoding="utf-8")
    assert command_line(["knowledge", "edit", str(folder)]) == 2
    assert (folder / "parts.yaml").read_text(encoding="utf-8") == "mine"


def test_no_copy_is_made_inside_what_is_copied(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--faults", str(mine), "knowledge", "edit", str(mine / "calls" / "again")]) == 2
    assert str(mine) in capsys.readouterr().err
    assert not (mine / "calls" / "again").exists()


def test_another_faults_folder_here_is_told_of_on_the_bench(
    mine: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(mine.parent)
    for command in (["cover", "cell_worn"], ["entries", "part"], ["find", "cell_worn"]):
        assert command_line(command) == 0
        assert "brinecall knowledge use faults" in " ".join(capsys.readouterr().err.split())
    # Named by hand, in use already, or the same in another place: nothing to tell.
    quiet = [["--faults", str(FAULTS), "entries", "part"], ["check", "faults"]]
    for command in quiet:
        command_line(command)
        assert "knowledge use" not in capsys.readouterr().err
    settings.settle(knowledge=str(mine))
    assert command_line(["entries", "part"]) == 0
    assert capsys.readouterr().err == ""
    settings.settle(knowledge="")
    shutil.copytree(FAULTS, tmp_path / "faults", ignore=shutil.ignore_patterns("*.py", "__pycache__", "languages"))
    monkeypatch.chdir(tmp_path)
    assert command_line(["entries", "part"]) == 0
    assert capsys.readouterr().err == ""


def test_what_a_folder_says_otherwise_is_told_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "shop"
    assert command_line(["knowledge", "edit", str(shop)]) == 0
    capsys.readouterr()
    assert command_line(["knowledge", "diff", str(shop), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["changes"] == []
    (shop / "parts.yaml").write_text(
        "# ours\n- part: cell\n  customer: Our cell\n- part: our_clip\n  customer: Clip\n  technician: Clip\n",
        encoding="utf-8",
    )
    with (shop / "overlay.yaml").open("a", encoding="utf-8") as file:
        file.write("remove: {unit: [tells_little]}\n")
    assert command_line(["knowledge", "diff", str(shop), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["changes"]
    told = {(one["what"], one["kind"], one["id"], one["field"]) for one in found}
    assert told == {
        ("changes", "part", "cell", "customer"),
        ("adds", "part", "our_clip", ""),
        ("takes_away", "unit", "tells_little", ""),
    }
    (cell,) = (one for one in found if one["id"] == "cell")
    assert (cell["was"], cell["now"]) == (knowledge().parts["cell"].wording.customer, "Our cell")
    assert (Path(cell["file"]), cell["line"]) == (shop / "parts.yaml", 3)
    assert command_line(["knowledge", "diff", str(shop)]) == 0
    lines = " ".join(capsys.readouterr().out.split())
    assert f'from "{knowledge().parts["cell"].wording.customer}" to "Our cell"' in lines


def test_what_changed_below_is_told_until_somebody_has_seen_to_it(
    tmp_path: Path, mine: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    chain, shop = tmp_path / "chain", tmp_path / "shop"
    shutil.copytree(mine, chain)
    assert command_line(["--faults", str(chain), "knowledge", "edit", str(shop)]) == 0
    (shop / "parts.yaml").write_text("- part: cell\n  customer: Our cell\n", encoding="utf-8")
    text = (chain / "parts.yaml").read_text(encoding="utf-8")
    former = knowledge().parts["cell"].wording.customer
    assert text.count(f"customer: {former}\n") == 1
    (chain / "parts.yaml").write_text(text.replace(f"customer: {former}\n", "customer: Theirs\n"), encoding="utf-8")
    for _ in range(2):
        # In a pipe it is only listed.
        capsys.readouterr()
        assert command_line(["knowledge", "update", str(shop), "--json"]) == 0
        (one,) = json.loads(capsys.readouterr().out)["changes"]
        assert (one["kind"], one["id"], one["field"]) == ("part", "cell", "customer")
        assert (one["base"], one["theirs"], one["yours"]) == (former, "Theirs", "Our cell")
        assert command_line(["knowledge", "update", str(shop)]) == 0
        assert '"Theirs"' in capsys.readouterr().out
    assert command_line(["knowledge", "update", str(chain)]) == 2
    (shop / "_base" / "entries.json").write_text("[", encoding="utf-8")
    assert command_line(["knowledge", "update", str(shop)]) == 2
    assert "entries.json" in capsys.readouterr().err


def test_at_a_terminal_each_conflict_is_asked_of_and_written_as_answered(
    tmp_path: Path, mine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chain, shop = tmp_path / "chain", tmp_path / "shop"
    shutil.copytree(mine, chain)
    assert command_line(["--faults", str(chain), "knowledge", "edit", str(shop)]) == 0
    names = ("cell", "power_pack", "flow_sensor", "cell_lead")
    own = "".join(f"- part: {name}\n  customer: Our {name}\n" for name in names)
    (shop / "parts.yaml").write_text(own, encoding="utf-8")
    text = (chain / "parts.yaml").read_text(encoding="utf-8")
    for name in names:
        former = knowledge().parts[name].wording.customer
        text = text.replace(f"customer: {former}\n", f"customer: Their {name}\n", 1)
    (chain / "parts.yaml").write_text(text, encoding="utf-8")
    monkeypatch.setattr("interview.commands.knowledge.is_watched", lambda: True)
    done = CliRunner().invoke(update_command, [str(shop)], obj=Places(), input="yours\nwhat\ntheirs\nb\nlater\n")
    assert done.exit_code == 0, done.output
    asked = done.output.split("(yours, theirs, base, later)?")
    assert len(asked) == 6
    found = {name: part.wording.customer for name, part in load_knowledge(shop, "en").parts.items()}
    # What is typed a second time is asked of the same part again.
    order = list(dict.fromkeys(re.findall(r"part `(\w+)`, customer", text)[-1] for text in asked[:-1]))
    assert sorted(order) == sorted(names)
    sides = ("yours", "theirs", "base", "later")
    wanted = {
        "yours": lambda name: f"Our {name}",
        "theirs": lambda name: f"Their {name}",
        "base": lambda name: knowledge().parts[name].wording.customer,
        "later": lambda name: f"Our {name}",
    }
    assert [found[name] for name in order] == [wanted[side](name) for name, side in zip(order, sides, strict=True)]
    again = CliRunner().invoke(update_command, [str(shop), "--json"], obj=Places())
    assert [one["id"] for one in json.loads(again.output)["changes"]] == [order[3]]


def test_what_a_folder_of_ones_own_says_wrong_is_told_before_what_that_breaks_below(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert command_line(["knowledge", "edit", "own"]) == 0
    (tmp_path / "own" / "trees").mkdir()
    (tmp_path / "own" / "trees" / "low-salt.yaml").write_text("tree: low-salt\nof_100_calls: {cell_scaled: 25}\n")
    capsys.readouterr()
    assert command_line(["check", "own"]) == 1
    files = [line.partition(":")[0] for line in capsys.readouterr().out.splitlines()]
    own = [file.startswith("own/") for file in files]
    assert own == sorted(own, reverse=True)
    assert {True, False} == set(own)


def test_a_folder_over_the_shipped_one_is_tried_and_translated_as_what_it_lies_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert command_line(["knowledge", "edit", "own"]) == 0
    told = capsys.readouterr().out
    notes = (tmp_path / "own" / "overlay.yaml").read_text()
    # Where to write what, and that a table is replaced whole.
    assert all(name in notes for name in ("repairs.yaml", "causes/", "trees/", "languages/", "of_100_calls"))
    assert "overlay.yaml" in told
    calls = str(files("faults") / "calls" / "cell-leak.yaml")
    assert command_line(["--faults", "own", "try", calls]) == 0
    assert "but is tested with" not in capsys.readouterr().err
    assert command_line(["--faults", "own", "translate", "es"]) == 0
    assert "none of the program" not in capsys.readouterr().out
