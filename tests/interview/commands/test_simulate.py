"""`brinecall simulate` at the command line."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from interview.command_line.context import BadInputError, Places
from interview.commands.simulate import simulate_command


def run(*arguments: str) -> Result:
    return CliRunner().invoke(simulate_command, list(arguments), obj=Places())


def test_the_report_adds_up() -> None:
    report = json.loads(run("cell-leak", "12", "--role", "field", "--json").stdout)
    assert report["pools"] == 12
    assert sum(one["drawn"] for one in report["by_fault"]) == 12
    for one in report["by_fault"]:
        assert one["drawn"] == one["right"] + sum(count for _, count in one["for_others"])
    told = run("cell-leak", "12", "--role", "field").stdout
    assert "12 pools for cell-leak, asked by field" in told


UNUSABLE = (("nowhere",), ("cell-leak", "5", "--misread", "5 times"), ("cell-leak", "5", "--misread", "120%"))


@pytest.mark.parametrize("arguments", UNUSABLE)
def test_what_cannot_be_drawn_is_one_clear_line(arguments: tuple[str, ...]) -> None:
    assert isinstance(run(*arguments).exception, BadInputError)


@pytest.mark.e2e
def test_several_processes_draw_the_same_pools() -> None:
    arguments = ("cell-leak", "24", "--json", "--misread", "5%")
    assert run(*arguments, "--workers", "2").stdout == run(*arguments).stdout
