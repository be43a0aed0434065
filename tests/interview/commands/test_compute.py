"""The command `brinecall compute`, run through click: text, JSON, help, and refusals with exit code 2."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from engine.computations import CATALOGUE
from engine.foundation.text_catalog import use_language
from engine.knowledge.properties import OCCASIONS
from interview.command_line.context import Places
from interview.commands.compute import compute_command
from tests.shipped import knowledge

ACTS = tuple(knowledge().acts.values())
TOLD_FOR: dict[str, set[str]] = {
    occasion: {
        name for act in knowledge().acts.values() if act.occasion == occasion for name in act.cautions.technician
    }
    for occasion in OCCASIONS
}
FIGURE = re.compile(r"[0-9]+(?:[.][0-9]+)?")


def run(*words: str) -> Result:
    return CliRunner().invoke(compute_command, list(words), prog_name="brinecall compute")


def in_spanish(*words: str) -> Result:
    use_language("es")
    try:
        return run(*words)
    finally:
        use_language("en")


def test_text_shows_working_source_resolution_and_caution() -> None:
    done = run("salt-dose", "volume=50", "now=1200", "target=3200")
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert lines[0] == "50 m³ x (3200 ppm - 1200 ppm) / 1000 / purity 1 = 100 kg of salt"
    assert lines[1].startswith("4 bags of 25 kg: 100 kg")
    assert "Source: mass balance" in lines
    assert any(line.startswith("NOTICE: ") for line in lines)
    assert all(len(line) <= 80 for line in lines)


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_computation_prints_and_gives_json(name: str) -> None:
    words = [name, *CATALOGUE[name].example.split()]
    text, data = run(*words), run(*words, "--json")
    assert text.exit_code == 0
    assert f"Source: {CATALOGUE[name].source.split(';')[0].split()[0]}" in text.stdout
    assert data.exit_code == 0
    read = json.loads(data.stdout)
    assert {"name", "inputs", "results", "source", "notes"} <= set(read)
    assert read["name"] == name
    assert read["notes"]
    told = {caution for occasion in CATALOGUE[name].occasions for caution in TOLD_FOR[occasion]}
    assert set(read["cautions"]) == told


def test_json_carries_full_precision() -> None:
    read = json.loads(run("free-chlorine-split", "ph=7.5", "fc=3", "cya=50", "--json").stdout)
    # O'Brien's constants give 0.0246 mg/L; the text says 0.02.
    assert read["results"]["hocl_mg_l"] == pytest.approx(0.0246, abs=0.00005)
    assert read["results"]["hocl_mg_l"] != 0.02
    assert read["inputs"] == {"ph": 7.5, "fc": 3.0, "cya": 50.0, "temp": 25.0, "model": "obrien"}


def test_json_is_given_wherever_the_flag_stands() -> None:
    assert json.loads(run("--json", "hocl", "ph=7.5", "temp=25").stdout)["name"] == "hocl"


def test_absurd_amounts_are_refused_and_what_is_meant_all_the_same_takes_one_word_more() -> None:
    upside_down = run("acid-mix", "strength=32", "water=1", "acid=10")
    assert (upside_down.exit_code, upside_down.stdout) == (2, "")
    sea = ("salt-dose", "volume=50", "now=3000", "target=35000")
    assert "--sure" in run(*sea).stderr
    assert "1600 kg" in run(*sea, "--sure").stdout
    assert run("acid-mix", "strength=32", "water=1", "acid=10", "--sure").exit_code == 2


def test_without_limits_no_dose_is_worked_out_and_what_needs_none_is(tmp_path: Path) -> None:
    """A folder whose limits are missing or turned round is no licence."""
    shutil.copytree(Path("faults"), tmp_path / "faults")
    limits = tmp_path / "faults" / "limits.yaml"
    places = Places(faults=tmp_path / "faults")
    turned = limits.read_text(encoding="utf-8").replace("is: 10\n", "is: 0.1\n", 1)
    for text in (None, turned):
        limits.unlink() if text is None else limits.write_text(text, encoding="utf-8")
        done = CliRunner().invoke(compute_command, ["acid-mix", "strength=32"], obj=places)
        assert done.exit_code == 2
        assert "limits.yaml" in done.stderr
        assert CliRunner().invoke(compute_command, ["hocl", "ph=7.5", "temp=25"], obj=places).exit_code == 0


NO_PAIR = "is not key=value; write for example volume=50, and quote a value that holds a space"
REFUSED = [
    (["salt-dose", "volume=50", "now=4000", "target=3200"],
     "Error: salt-dose: target 3200 ppm is below the present 4000 ppm; salt is only removed with water: use dilute"),
    (["sal-dose"], "Error: there is no computation 'sal-dose'; did you mean salt-dose?"),
    ([], "Error: which computation? `brinecall compute --help` lists them"),
    (["hocl", "ph=7.5", "ph=7.6", "temp=25"], "Error: ph is given twice; give it once"),
    (["hocl", "7.5"], f"Error: '7.5' {NO_PAIR}"),
    (["hocl", "=7.5"], f"Error: '=7.5' {NO_PAIR}"),
    (["hocl", "ph=7.5"], "Error: hocl lacks temp (°C); for example: hocl ph=7.5 temp=25"),
    (["hocl", "ph=", "temp=25"], "Error: ph: nothing was typed; write a number in pH, from 0 to 14"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "line"), REFUSED)
@pytest.mark.parametrize("flag", [[], ["--json"]])
def test_a_refusal_is_one_line_on_the_error_stream_and_exit_code_2(
    words: list[str], line: str, flag: list[str]
) -> None:
    done = run(*words, *flag)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr == f"{line}\n"


def test_help_lists_every_computation_with_its_keys_verdicts_and_examples() -> None:
    text = run("--help").stdout
    on_one_line = " ".join(text.split())
    for entry in CATALOGUE.values():
        assert f"{entry.name}: {entry.meaning}" in on_one_line
        assert all(f"{key.name}=" in text for key in entry.keys)
    assert "verdict is dissolving, balanced or scaling" in text
    assert "verdict is as_clean, scaled_or_worn, below_clean or no_clean_value" in text
    assert "brinecall compute salt-dose volume=20000usgal now=1.2g/L target=3200" in text


def test_the_examples_of_the_help_work() -> None:
    examples = [line.split()[2:] for line in run("--help").stdout.splitlines() if "brinecall compute " in line][1:]
    assert len(examples) == 3
    for words in examples:
        assert run(*words).exit_code == 0


def test_the_gravest_caution_stands_first() -> None:
    words = [line.partition(":")[0] for line in run("spent-acid", "litres=1", "percent=3.3").stdout.splitlines()]
    signals = [word for word in words if word.isupper()]
    assert signals == ["DANGER", "WARNING", "CAUTION"]


def test_a_caution_the_knowledge_lacks_is_still_named(tmp_path: Path) -> None:
    words, places = ["spent-acid", "litres=1", "percent=3.3"], Places(faults=tmp_path)
    done = CliRunner().invoke(compute_command, words, obj=places)
    assert done.exit_code == 0
    assert "CAUTION: spent acid" in done.stdout
    (tmp_path / "cautions.yaml").write_text(
        "- caution: spent_acid\n  signal: CAUTION\n  customer: Pour nothing away.\n  technician: Neutralise it first.\n"
        "  in_short: It still burns.\n  source: judgement\n",
        encoding="utf-8",
    )
    (tmp_path / "hazards.yaml").write_text(
        "- act: spends_acid\n  brings: [acid]\n  who: [technician]\n  cautions: [spent_acid]\n  is: spent_acid\n",
        encoding="utf-8",
    )
    assert "CAUTION: Neutralise it first." in CliRunner().invoke(compute_command, words, obj=places).stdout


def test_the_cautions_of_a_computation_are_said_in_the_language_in_use() -> None:
    """PELIGRO, ADVERTENCIA and PRECAUCIÓN as Spanish-language safety labels give them (from memory)."""
    english, spanish = run("spent-acid", "litres=1", "percent=3.3"), in_spanish("spent-acid", "litres=1", "percent=3.3")
    signals = [line.partition(":")[0] for line in spanish.stdout.splitlines()]
    assert [word for word in signals if word.isupper()] == ["PELIGRO", "ADVERTENCIA", "PRECAUCIÓN"]
    assert not set(english.stdout.splitlines()) & set(spanish.stdout.splitlines())


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_computation_gives_the_same_figures_in_spanish(name: str) -> None:
    words = [name, *CATALOGUE[name].example.split()]
    english, spanish = json.loads(run(*words, "--json").stdout), json.loads(in_spanish(*words, "--json").stdout)
    assert spanish["inputs"] == english["inputs"]
    assert spanish["cautions"] == english["cautions"]
    for key, value in english["results"].items():
        assert spanish["results"][key] == value or key in {"ph_note", "reason"}
    pointed = re.sub("(?<=[0-9]),(?=[0-9])", ".", " ".join(spanish["working"]))
    assert FIGURE.findall(pointed) == FIGURE.findall(" ".join(english["working"]))
    assert spanish["notes"] != english["notes"]


def test_sections_of_a_pool_add_up_by_repeating_the_name() -> None:
    """By hand: an L of 8 x 4 and 3 x 3 m, 1.5 m deep, holds 48 + 13.5 m3."""
    sections = ["shape=rectangle", "length=8", "width=4", "depth=1.5"], ["shape=rectangle", "length=3", "width=3"]
    words = ["pool-volume", *sections[0], "pool-volume", *sections[1], "depth=150cm"]
    done = run(*words)
    assert done.exit_code == 0
    assert "together 61.5 m³" in done.stdout
    read = json.loads(run(*words, "--json").stdout)
    assert read["results"] == {"volume_m3": pytest.approx(61.5)}
    assert read["inputs"]["length_2"] == 3.0
    wrong = run("hocl", "ph=7", "temp=20", "hocl", "ph=8", "temp=20")
    assert wrong.exit_code == 2
    assert len(wrong.stderr.splitlines()) == 1
    lacking = run("pool-volume", *sections[0], "pool-volume")
    assert lacking.exit_code == 2
    assert "lacks shape" in lacking.stderr
