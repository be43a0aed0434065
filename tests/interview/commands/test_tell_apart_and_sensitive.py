"""`brinecall tell-apart` and `brinecall sensitive` at the command line."""

from __future__ import annotations

import json

import click
import pytest
from click.testing import CliRunner, Result

from interview.command_line.context import BadInputError, Places
from interview.commands.sensitive import sensitive_command
from interview.commands.tell_apart import tell_apart_command


def run(command: click.Command, *arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments), obj=Places())


def test_pairs_are_told_by_role() -> None:
    roles = json.loads(run(tell_apart_command, "low-salt", "--json").stdout)["roles"]
    assert set(roles) == {"counter", "phone", "field"}
    pairs = roles["phone"]["alike"]
    told = run(tell_apart_command, "low-salt", "--role", "phone", "--all").stdout
    assert f"phone, low-salt: {len(pairs)} pairs" in told
    for one in pairs:
        assert (f"{one['first']} and {one['second']}:" in told) is not one["same_repair"]


def test_numbers_are_told_with_line_and_source() -> None:
    numbers = json.loads(run(sensitive_command, "cell-leak", "12", "--role", "field", "--json").stdout)["numbers"]
    told = run(sensitive_command, "cell-leak", "12", "--role", "field", "--most", "3").stdout.splitlines()
    assert len(told) == 2 + 3
    for one, line in zip(numbers, told[2:], strict=False):
        assert one["place"] in line
        assert one["source"] in line


@pytest.mark.parametrize("command", [tell_apart_command, sensitive_command])
def test_an_unknown_tree_is_one_clear_line(command: click.Command) -> None:
    assert isinstance(run(command, "nowhere").exception, BadInputError)
