"""The command `brinecall compute`, run through click: text, JSON, help, and refusals with exit code 2."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.shell_completion import ShellComplete
from click.testing import CliRunner, Result

from engine.computations import CATALOGUE
from engine.foundation.text_catalog import use_language
from engine.knowledge.properties import OCCASIONS
from engine.quantities.unit_systems import use_system
from engine.session.journal import event_line
from interview.command_line.context import Places
from interview.commands.app import cli, command_line
from interview.commands.compute import compute_command
from reports.phrases import sentence
from tests.reports.jobs import opened
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


@pytest.fixture(autouse=True)
def in_metric_units() -> Iterator[None]:
    yield
    use_system("metric")


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
    assert read["inputs"] == {"ph": 7.5, "fc": 3.0, "cya": 50.0, "temp": 25.0, "model": "1974"}


def test_json_is_given_wherever_the_flag_stands() -> None:
    assert json.loads(run("--json", "hocl", "ph=7.5", "temp=25").stdout)["name"] == "hocl"


def test_absurd_amounts_are_refused_and_what_is_meant_all_the_same_takes_one_word_more() -> None:
    upside_down = run("acid-mix", "strength=32", "water=1", "acid=10")
    assert (upside_down.exit_code, upside_down.stdout) == (2, "")
    sea = ("salt-dose", "volume=50", "now=3000", "target=35000")
    assert "--really" in run(*sea).stderr
    assert "1600 kg" in run(*sea, "--really").stdout
    assert run("acid-mix", "strength=32", "water=1", "acid=10", "--really").exit_code == 2


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


NO_PAIR = "is not key=value; write it like volume=50, and quote a value that contains a space"
REFUSED = [
    (["salt-dose", "volume=50", "now=4000", "target=3200"],
     "brinecall: salt-dose: target 3200 ppm is below the present 4000 ppm; "
     "salt can be removed only by replacing water: use dilute"),
    (["sal-dose"], "brinecall: there is no computation called 'sal-dose'; did you mean salt-dose?"),
    ([], "brinecall: no computation was named; `brinecall compute --help` lists them"),
    (["hocl", "ph=7.5", "ph=7.6", "temp=25"], "brinecall: ph is given twice; give it once"),
    (["hocl", "7.5"], f"brinecall: '7.5' {NO_PAIR}"),
    (["hocl", "=7.5"], f"brinecall: '=7.5' {NO_PAIR}"),
    (["hocl", "ph=7.5"], "brinecall: hocl needs temp (°C); for example: hocl ph=7.5 temp=25"),
    (["hocl", "ph=", "temp=25"], "brinecall: ph: nothing was typed; write a number in pH, from 0 to 14"),
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


def test_help_lists_every_computation_with_what_it_is_for_and_no_keys() -> None:
    text = run("--help").stdout
    on_one_line = " ".join(text.split())
    assert all(f"{entry.name} {sentence(entry.meaning)}" in on_one_line for entry in CATALOGUE.values())
    assert "bag=" not in text
    assert len(text.splitlines()) < 90


@pytest.mark.parametrize("name", CATALOGUE)
def test_help_behind_a_name_is_about_that_computation_alone(name: str) -> None:
    entry, text = CATALOGUE[name], run(name, "--help").stdout
    on_one_line = " ".join(text.split())
    assert on_one_line.startswith(f"Usage: brinecall compute [OPTIONS] {name} KEY=VALUE ...")
    assert all(f"{key.name}=" in text and sentence(key.meaning) in on_one_line for key in entry.keys)
    assert all(verdict in text for verdict in entry.verdicts)
    others = (other.meaning for other in CATALOGUE.values() if other is not entry)
    assert not [meaning for meaning in others if sentence(meaning) in on_one_line]
    assert len(text.splitlines()) < 50


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", CATALOGUE)
def test_the_example_of_a_computation_comes_to_the_same_in_either_units(name: str, units: str) -> None:
    """In US customary units its bare numbers are others, rounded to three digits; the results are the same."""
    helped = " ".join(run(name, "--units", units, "--help").stdout.replace("\\\n", " ").split())
    words = re.findall(rf"brinecall compute {name} ((?:[a-z0-9_]+=[^ ]+ ?)+)", helped)[-1].split()
    shown = json.loads(run(name, *words, "--units", units, "--json").stdout)["results"]
    plain = json.loads(run(name, *CATALOGUE[name].example.split(), "--units", "metric", "--json").stdout)["results"]
    numbers = {key for key, value in plain.items() if isinstance(value, float) and value}
    assert {key: shown[key] for key in numbers} == pytest.approx({key: plain[key] for key in numbers}, rel=0.03)


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        # NIST SP 811 (2008), appendix B: 1 US gal = 3.785412 L, 1 imp gal = 4.54609 L, 1 lb = 453.5924 g.
        ("salt-dose volume=15kusgal now=1200 target=3200", "15000 US gal (56.8 m³)"),
        ("salt-dose volume=15kimpgal now=1200 target=3200", "68.2 m³ x"),
        ("salt-dose --units us volume=15kgal now=1200 target=3200", "15000 US gal (56.8 m³)"),
        ("salt-dose --units us volume=15000 now=1200 target=3200", "15000 US gal (56.8 m³)"),
        ("salt-dose volume=57k now=1200 target=3.2k --really", "57000 m³ x (3200 ppm"),
        ("salt-from-conductivity conductivity=6500uS temp=25", "6.5 mS/cm at 25 °C"),
        ("salt-from-conductivity conductivity=6.5mS temp=77F", "77 °F (25 °C)"),
        ("turnovers --units us volume=15000gal flow=40gpm hours=8", "40 US gal/min (9.08 m³/h)"),
        # ASTM B258: 10 AWG is 0.1019 in across, so 5.26 mm² (from memory, as tables of wire give it).
        ("cable-drop length=3 current=20 area=10awg", "/ 5.26 mm²"),
    ],
)
def test_figures_are_typed_as_a_technician_says_them(words: str, wanted: str) -> None:
    done = run(*words.split())
    assert done.exit_code == 0, done.stderr
    assert wanted in " ".join(done.stdout.split())


@pytest.mark.parametrize("typed", ["volume=15000gal", "volume=15kgal"])
def test_which_gallon_is_asked_unless_the_units_say_it(typed: str) -> None:
    done = run("salt-dose", typed, "now=1200", "target=3200")
    assert done.exit_code == 2
    assert "two kinds of gallon" in done.stderr


def test_cautions_stand_behind_the_result_and_show_no_mark_of_a_unit() -> None:
    for name, entry in CATALOGUE.items():
        lines = run(name, *entry.example.split()).stdout.splitlines()
        starts = [line.partition(":")[0] for line in lines]
        graves = [at for at, word in enumerate(starts) if word.isupper() and len(word) > 4]
        source = next(at for at, line in enumerate(lines) if line.startswith("Source:"))
        assert all(at > source for at in graves)
        assert "[" not in "".join(lines[source:])


def asked(*words: str, typed: str) -> Result:
    return CliRunner().invoke(compute_command, [*words, "--ask"], input=typed, prog_name="brinecall compute")


def test_whoever_types_nothing_is_asked_for_it_all() -> None:
    """A name, a value that cannot be read, the two others, and Return for what may be left out."""
    done = asked(typed="salt dose\n50\n3 bar\n1200\n\n3200\n\n\n")
    assert done.exit_code == 0
    assert done.stdout == run("salt-dose", "volume=50", "now=1200", "target=3200").stdout
    assert "bar measures pressure" in done.stderr
    assert "This value is required." in done.stderr
    assert "brinecall compute salt-dose volume=50 now=1200 target=3200" in done.stderr


def test_the_number_in_the_list_names_a_computation_and_leave_ends_it() -> None:
    number = [*CATALOGUE].index("hocl") + 1
    assert asked(typed=f"{number}\n7.5\n25\n").stdout == run("hocl", "ph=7.5", "temp=25").stdout
    for typed in ("leave\n", "salt-dose\n50\nleave\n", ""):
        left = asked(typed=typed)
        assert (left.exit_code, left.stdout) == (2, "")


def test_only_what_is_missing_is_asked() -> None:
    done = asked("salt-dose", "volume=50", "target=3200", typed="1200\n")
    assert done.stdout == run("salt-dose", "volume=50", "now=1200", "target=3200").stdout


def test_a_doubt_is_asked_back_in_the_form() -> None:
    typed = "7.5\n68\n"
    assert asked("hocl", typed=f"{typed}no\n").exit_code == 2
    sea = "50\n3000\n35000\n\n\n"
    assert "1600 kg" in asked("salt-dose", typed=f"{sea}what\nyes\n").stdout
    assert asked("salt-dose", typed=f"{sea}no\n").stdout == ""


def completed(*words: str) -> set[str]:
    """What a shell offers behind these words, of which the last is being typed."""
    complete = ShellComplete(cli, {}, "brinecall", "_BRINECALL_COMPLETE")
    return {item.value for item in complete.get_completions(["compute", *words[:-1]], words[-1])}


def test_a_shell_completes_names_keys_and_words() -> None:
    assert completed("salt-") == {"salt-dose", "salt-from-conductivity"}
    assert completed("salt-dose", "volume=50", "") == {"now=", "target=", "purity=", "bag="}
    assert completed("pool-volume", "shape=r") == {"shape=rectangle", "shape=round"}
    assert completed("nothing", "") == set()


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
    assert "in total 61.5 m³" in done.stdout
    read = json.loads(run(*words, "--json").stdout)
    assert read["results"] == {"volume_m3": pytest.approx(61.5)}
    assert read["inputs"]["length_2"] == 3.0
    wrong = run("hocl", "ph=7", "temp=20", "hocl", "ph=8", "temp=20")
    assert wrong.exit_code == 2
    assert len(wrong.stderr.splitlines()) == 1
    lacking = run("pool-volume", *sections[0], "pool-volume")
    assert lacking.exit_code == 2
    assert "needs shape" in lacking.stderr


def test_a_shell_completes_languages_jobs_and_pools(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("BRINECALL_STORE", str(tmp_path / "s.sqlite")), ("BRINECALL_JOBS", str(tmp_path / "jobs"))):
        monkeypatch.setenv(name, value)
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "2026-05-04-0930.jsonl").write_bytes(b"".join(map(event_line, opened("counter", "low-salt"))))
    assert command_line(["record", "last", "customer=Ann Garcia"]) == 0
    assert command_line(["jobs"]) == 0
    complete = ShellComplete(cli, {}, "brinecall", "_BRINECALL_COMPLETE")
    for words, found in (
        (["--language", "e"], {"en", "es"}),
        (["sheet", "2026"], {"2026-05-04-0930"}),
        (["pool", "gar"], {"garcia"}),
        (["forget", "nobody"], set()),
    ):
        assert {item.value for item in complete.get_completions(words[:-1], words[-1])} == found
    monkeypatch.setenv("BRINECALL_STORE", "none")
    assert complete.get_completions(["pool"], "gar") == []
