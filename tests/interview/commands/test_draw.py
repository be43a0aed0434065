"""`brinecall draw` and `brinecall card`: forms, files, and messages for what cannot be done."""

from __future__ import annotations

import io
import itertools
from pathlib import Path
from xml.etree import ElementTree

import pytest

from interview.commands.app import command_line

SVG = "{http://www.w3.org/2000/svg}svg"


def run(capfd: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = command_line(arguments)
    out, err = capfd.readouterr()
    return code, out, err


def test_a_tree_is_an_outline_in_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capfd, "draw", "low-salt", "--show", "machine")
    assert (code, err) == (0, "")
    assert out.startswith("low-salt: ")
    assert "\nstart: asks " in out


@pytest.mark.parametrize(
    ("arguments", "begins"),
    [
        (("--as", "mermaid"), "flowchart TD\n"),
        (("--as", "svg"), "<svg "),
        (("--as", "html"), "<!doctype html>"),
        (("--as", "text"), "cold-water: "),
        (("--show", "machine", "--as", "mermaid"), "flowchart TD\n"),
    ],
)
def test_a_tree_comes_in_each_form(capfd: pytest.CaptureFixture[str], arguments: tuple[str, ...], begins: str) -> None:
    code, out, _ = run(capfd, "draw", "cold-water", *arguments)
    assert code == 0
    assert out.startswith(begins)


def test_the_file_s_ending_says_the_form(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    drawn = tmp_path / "tree.svg"
    assert run(capfd, "draw", "cold-water", "-o", str(drawn)) == (0, f"Saved as {drawn}.\n", "")
    assert ElementTree.fromstring(drawn.read_text(encoding="utf-8")).tag == SVG
    page = tmp_path / "card.html"
    assert run(capfd, "card", "cold-water", "-o", str(page)) == (0, f"Saved as {page}.\n", "")
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["card.html", "tree.svg"]


def test_a_card_is_text_where_nothing_is_said(capfd: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capfd, "card", "cold-water")
    assert (code, err) == (0, "")
    assert "BOX BY BOX" in out
    assert "DANGER" in out
    assert max(map(len, out.splitlines())) <= 80


def test_a_card_comes_as_pdf_and_markdown(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    paper = tmp_path / "card.pdf"
    assert run(capfd, "card", "cold-water", "-o", str(paper))[0] == 0
    assert paper.read_bytes().startswith(b"%PDF-")
    code, out, _ = run(capfd, "card", "cold-water", "--as", "markdown")
    assert code == 0
    assert "# " in out


def test_a_card_comes_as_a_page_to_tap_through(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    page = tmp_path / "card.html"
    assert run(capfd, "card", "cold-water", "--as", "page", "-o", str(page))[0] == 0
    assert '<section id="box-1">' in page.read_text(encoding="utf-8")


def test_limits_of_another_unit_in_other_units(capfd: pytest.CaptureFixture[str]) -> None:
    """The profile `number_display` locks out at 13 °C, which is 55.4 °F."""
    code, out, _ = run(capfd, "card", "cold-water", "--unit", "number_display", "--units", "us")
    assert code == 0
    assert "55 \u00b0F" in out


@pytest.mark.parametrize("command", ["draw", "card"])
def test_an_unknown_tree_is_named_with_those_there_are(capfd: pytest.CaptureFixture[str], command: str) -> None:
    code, out, err = run(capfd, command, "no-salt")
    assert (code, out) == (2, "")
    assert err.startswith("brinecall: there is no tree no-salt; the trees are ")
    assert "cold-water" in err
    assert err.count("\n") == 1


def test_an_unknown_unit_profile_is_named(capfd: pytest.CaptureFixture[str]) -> None:
    code, _, err = run(capfd, "card", "low-salt", "--unit", "best")
    assert code == 2
    assert "there is no unit profile best" in err


@pytest.mark.parametrize("command", ["draw", "card"])
@pytest.mark.parametrize("place", ["", "nowhere/tree.html"])
def test_where_nothing_can_be_written_that_is_said_at_once(
    capfd: pytest.CaptureFixture[str], tmp_path: Path, command: str, place: str
) -> None:
    code, out, err = run(capfd, command, "low-salt", "-o", str(tmp_path / place))
    assert (code, out) == (2, "")
    assert str(tmp_path) in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["draw", "card"])
def test_help_gives_examples_and_explains_each_option(capfd: pytest.CaptureFixture[str], command: str) -> None:
    code, out, _ = run(capfd, command, "--help")
    assert code == 0
    assert f"brinecall {command} " in out
    for line in out.splitlines():
        if line.strip().startswith("-") and not line.strip().startswith("--as"):
            assert len(line.split()) > 2, line


def test_where_an_arrow_cannot_be_said_it_is_spelt(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = io.TextIOWrapper(io.BytesIO(), encoding="latin-1")
    monkeypatch.setattr("sys.stdout", plain)
    assert command_line(("card", "cold-water")) == 0
    plain.flush()
    out = plain.buffer.getvalue().decode("latin-1")
    assert " -> 2" in out


def test_trees_are_completed() -> None:

    from click.shell_completion import ShellComplete

    from interview.commands.app import cli

    completing = ShellComplete(cli, {}, "brinecall", "_BRINECALL_COMPLETE")
    assert [item.value for item in completing.get_completions(["draw"], "fl")] == ["flow-fault"]
    assert "cold-water" in {item.value for item in completing.get_completions(["card"], "")}


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_how_far_it_is_shows_on_a_terminal_once_it_takes_longer_than_a_second(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The clock goes on two seconds each time it is looked at; the line is gone when the card is there."""
    terminal, seconds = _Terminal(), itertools.count(0.0, 2.0)
    monkeypatch.setattr("sys.stderr", terminal)
    monkeypatch.setattr("time.monotonic", lambda: next(seconds))
    assert command_line(("card", "cold-water", "--as", "markdown")) == 0
    shown = terminal.getvalue().split("\r")
    assert "1 of " in shown[1]
    assert [line for line in shown if line.strip()]
    assert not shown[-2].strip()
    assert shown[-1] == ""
    assert "boxes" not in capsys.readouterr().out.splitlines()[0]
