"""`brinecall why` at the command line."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

from engine.evaluation.scoring import score
from engine.foundation.text_catalog import use_language
from engine.inference.belief import Evidence
from interview.command_line.context import BadInputError, Places
from interview.commands.why import why_command
from tests.benchmarks import plain_knowledge as plain
from tests.benchmarks.oracle import agrum_posterior, network
from tests.shipped import every_call, models

CALLS = Path(__file__).parents[3] / "faults" / "calls"
LEAK = str(CALLS / "cell-leak.yaml")
LEAKS = [call for call in every_call() if call.complaint == "cell-leak"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(why_command, list(arguments), obj=Places())


@pytest.fixture(scope="module")
def few(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A file of two calls."""
    file = tmp_path_factory.mktemp("calls") / "few.yaml"
    file.write_text("---".join(Path(LEAK).read_text(encoding="utf-8").split("---")[1:3]), encoding="utf-8")
    return str(file)


@pytest.fixture(scope="module")
def told(few: str) -> Any:
    """What is told of the first call, as data."""
    return json.loads(run(few, "--json", "--with", few).stdout)


def test_each_number_stands_in_the_line_that_is_told(told: Any) -> None:
    """The line is looked up in the file; the share is that of the YAML, read by other code."""
    report = told
    assert report["causes"]
    for cause in report["causes"]:
        shares = plain._group(plain.tree("cell-leak")["of_100_calls"])
        assert cause["share"]["value"] == pytest.approx(float(shares[cause["cause"]]))
        for number in (cause["share"], *(answer["number"] for answer in cause["answers"])):
            file, _, line = number["place"].rpartition(":")
            text = (plain.FAULTS / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
            assert any(part in text for part in number["number"].split(".")[1:]), number


def test_decibans_are_those_of_goods_definition(told: Any) -> None:
    """Ten times the logarithm of the odds with an answer over those without it (Good 1950, from memory).

    Both by pyAgrum's exact inference, on a network that comes straight from the YAML.
    """
    session = score(models(), LEAKS[0]).run.session
    net, found = network("cell-leak"), session.evidence

    def odds(cause: str, evidence: Sequence[Evidence]) -> float:
        has = np.array([cause in h for h in session.model.hypotheses])
        belief = agrum_posterior(net, evidence)
        return float(belief[has].sum() / belief[~has].sum())

    for cause in told["causes"]:
        for answer in cause["answers"]:
            without = [one for one in found if one.id != answer["about"]]
            ratio = odds(cause["cause"], found) / odds(cause["cause"], without)
            assert answer["decibans"] == pytest.approx(10 * math.log10(ratio), abs=1e-6)


def test_a_call_is_found_by_its_number_and_by_words_of_its_name(few: str) -> None:
    name = LEAKS[1].name
    by_number, by_words = (run(few, "--call", wanted, "--with", few) for wanted in ("2", name[3:]))
    assert by_number.stdout == by_words.stdout
    assert name in by_number.stdout


@pytest.mark.parametrize("wanted", ["0", "99", "no such words", "e"])
def test_what_is_no_single_call_is_one_clear_line(few: str, wanted: str) -> None:
    assert isinstance(run(few, "--call", wanted).exception, BadInputError)


def test_it_is_in_the_language_in_use(few: str) -> None:
    use_language("es")
    try:
        spanish = run(few, "--with", few).stdout
    finally:
        use_language("en")
    assert "su proporción previa:" in spanish
    assert "El menor cambio" in spanish or "Ningún número" in spanish
