"""`brinecall cover` at the command line."""

from __future__ import annotations

import json
from pathlib import Path

import yaml
from click.testing import CliRunner, Result

from engine.knowledge.files import contents_of
from engine.knowledge.loader import knowledge_from
from interview.command_line.context import BadInputError, Places
from interview.commands.cover import cover_command

FAULTS = Path(__file__).parents[3] / "faults"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cover_command, list(arguments), obj=Places())


def test_the_worksheet_can_be_put_under_shows_as_it_is() -> None:
    sheet = run("cell_worn", "--worksheet").stdout
    assert set(yaml.safe_load(sheet).values()) == {"as usual"}
    contents, _ = contents_of(FAULTS)
    text = contents["causes/cell.yaml"].decode()
    shows = text.index("  shows:\n", text.index("- cause: cell_worn")) + len("  shows:\n")
    known = knowledge_from("faults", {**contents, "causes/cell.yaml": f"{text[:shows]}{sheet}{text[shows:]}".encode()})
    assert set(known.causes["cell_worn"].as_usual) == set(yaml.safe_load(sheet))


def test_the_table_and_its_data_tell_the_same() -> None:
    found = json.loads(run("salt_low", "--json").stdout)["items"]
    told = run("salt_low").stdout
    for said, words in (("never", "never considered"), ("shows", "in every complaint")):
        assert f"{words}: {sum(one['said'] == said for one in found)}" in told


def test_an_unknown_cause_is_one_clear_line() -> None:
    result = run("cell_wron")
    assert isinstance(result.exception, BadInputError)
    assert "did you mean `cell_worn`" in str(result.exception)
