"""The words of a sheet come from the words files alone, in any language, and read plainly."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import textstat
import yaml

from engine.foundation.text_catalog import flat_texts, use_language
from engine.foundation.yaml_reader import read_document
from reports.phrases import sentence
from reports.view import job_view
from reports.view.amounts import part_amount, work_amounts
from reports.view.figures import figure_behind
from reports.view.known import KnownReadings
from reports.view.model import Amount
from tests.reports.jobs import DATE, answers, job, opened
from tests.shipped import knowledge

WORDS = Path(__file__).parents[3] / "faults" / "words"
FILES = ("view", "view_advice", "view_amounts", "view_dangers", "view_decisions", "view_plan")
KNOWLEDGE = knowledge()
LATIN = "abcdefghijklmnopqrstuvwxyz"
GREEK = "αβγδεζηθικλμνξοπρστυφχψωάέή"
SAME_FOR_ALL = {"ppm", "gal"}
READINGS: dict[str, float] = {
    "tested_salt": 2600.0, "unit_salt": 2500.0, "pool_volume": 48.0, "ph": 8.2, "alkalinity": 110.0, "stabiliser": 12.0,
    "water_temp": 24.0, "free_chlorine": 0.4, "hardness": 380.0, "run_hours": 8.0, "output_setting": 70.0,
    "rated_output": 20.0, "cell_age_years": 3.0, "cell_voltage": 7.0, "cell_current": 5.0, "months_since_clean": 4.0,
}  # fmt: skip


def texts(name: str) -> dict[str, str]:
    path = WORDS / f"{name}.yaml"
    return flat_texts(read_document(str(path), path.read_bytes()))


def greek(text: str) -> str:
    """The text in Greek letters, its fields as they are."""
    swap = str.maketrans(LATIN + LATIN.upper(), GREEK[:26] + GREEK[:26].upper())
    return "".join(part if part.startswith("{") else part.translate(swap) for part in re.split(r"(\{\w+\})", text))


def nested(flat: dict[str, str]) -> dict[str, object]:
    tree: dict[str, object] = {}
    for key, text in flat.items():
        place = tree
        *way, last = key.split(".")
        for name in way:
            inner = place.setdefault(name, {})
            assert isinstance(inner, dict)
            place = inner
        place[last] = text
    return tree


@pytest.fixture
def in_greek_letters(tmp_path: Path) -> Iterator[None]:
    folder = tmp_path / "languages" / "el" / "words"
    folder.mkdir(parents=True)
    for name in FILES:
        written = {key: greek(text) for key, text in texts(name).items()}
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(nested(written), allow_unicode=True), encoding="utf-8")
    use_language("el", tmp_path)
    yield
    use_language("en")


def english_in(*said: str) -> set[str]:
    """Words of three Latin letters or more: no unit and no symbol has as many, but for two."""
    return {word for text in said for word in re.findall(r"[A-Za-z]{3,}", text)} - SAME_FOR_ALL


def spoken(amount: Amount) -> tuple[str, ...]:
    return (amount.text, amount.working, *amount.missing, amount.care)


@pytest.mark.usefixtures("in_greek_letters")
@pytest.mark.parametrize("read", [READINGS, {}, {"pool_volume": 48.0}, {"tested_salt": 2600.0, "ph": 9.6}])
def test_amounts_and_figures_speak_the_language_alone(read: dict[str, float]) -> None:
    known = KnownReadings(read, KNOWLEDGE, KNOWLEDGE.units["default"])
    amounts = [part_amount(need, repair, known) for repair in KNOWLEDGE.repairs.values() for need in repair.parts]
    # The share of water to swap names the test by its words in the knowledge, which another folder translates.
    names = [name for name in KNOWLEDGE.repairs if name != "replace_water"]
    amounts += [amount for name in names for amount in work_amounts(KNOWLEDGE.repairs[name], known)]
    assert english_in(*(text for amount in amounts for text in spoken(amount))) == set()
    assert english_in(*(figure_behind(finding, known) for finding in KNOWLEDGE.findings.values())) == set()


@pytest.mark.usefixtures("in_greek_letters")
@pytest.mark.parametrize("role", ["counter", "field"])
@pytest.mark.parametrize("complaint", sorted(KNOWLEDGE.trees))
def test_decision_advice_and_plan_speak_the_language_alone(role: str, complaint: str) -> None:
    view = job_view(job(*opened("field" if role == "field" else "counter", complaint), *answers(**READINGS)), DATE)
    told = [*view.advice.meanwhile, *view.advice.come_back, *view.advice.local_code, *view.advice.first]
    told += [view.decision.title, view.decision.text, view.decision.shop, *(cause.chance for cause in view.causes)]
    told += [text for line in view.plan for text in (line.about, *spoken(line.amount))]
    told += [who for action in view.actions for who in action.who] + [part.source for part in view.parts]
    assert told
    assert english_in(*told) == set()


@pytest.mark.parametrize("name", [name for name in FILES if name != "view_amounts"])
def test_what_a_customer_reads_is_at_grade_7_or_lower(name: str) -> None:
    """Flesch-Kincaid grade over a whole file's customer texts (US Navy research report 8-75, 1975, from memory)."""
    parts = {key: set(key.split(".")) for key in texts(name)}
    told = [sentence(text) for key, text in texts(name).items() if "customer" in parts[key]]
    assert told
    assert textstat.flesch_kincaid_grade(" ".join(told)) <= 7.0
