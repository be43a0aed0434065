"""Pages of help: their words in the language in use, and that they fit a narrow screen without a word cut."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said
from interview.command_line.help import SaidOption, range_shown
from interview.commands.app import PARTS, cli, command_line
from interview.commands.knowledge import knowledge_command
from tests.interview.people import run

FAULTS = Path(__file__).parents[3] / "faults"
COMMANDS = ["", *cli.list_commands(click.Context(cli))]
WORD = re.compile(r"(?<![\w{<-])[^\W\d_]{2,}(?![\w}(:=])")
AS_TYPED = re.compile(r"(?:brinecall|eval) |-[-\w]")
"""How lines begin that show what is typed; they are the same in every language."""


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    use_language("en")


Page = Callable[..., list[str]]


@pytest.fixture
def page(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Page:
    """Shows a command's page of help, as lines."""

    def shown(command: str, language: str, columns: int = 80) -> list[str]:
        monkeypatch.setenv("COLUMNS", str(columns))
        assert command_line(["--language", language, *command.split(), "--help"]) == 0
        return capsys.readouterr().out.splitlines()

    return shown


def sentences(lines: list[str]) -> set[str]:
    """Lines with three words or more, without those that show what is typed."""
    stripped = {line.strip() for line in lines}
    return {line for line in stripped if len(WORD.findall(line)) >= 3 and not AS_TYPED.match(line) and "=" not in line}


@pytest.mark.parametrize("command", COMMANDS)
def test_no_line_of_the_english_help_is_left_in_the_spanish_one(page: Page, command: str) -> None:
    english, spanish = page(command, "en"), page(command, "es")
    assert sentences(english)
    assert sentences(english) & sentences(spanish) == set()
    assert {"Usage:", "Options:", "Commands:", "Examples:"} & {
        word for line in spanish for word in line.split()
    } == set()


@pytest.mark.parametrize("command", COMMANDS)
def test_the_spanish_help_shows_the_same_commands_options_and_examples(page: Page, command: str) -> None:
    english, spanish = page(command, "en"), page(command, "es")

    def typed(lines: list[str]) -> list[str]:
        return [found[0] for line in lines if (found := re.match(r" +((?:--?[\w-]+|brinecall [\w-]+)\b)", line))]

    assert typed(spanish) == typed(english)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("columns", [80, 40])
@pytest.mark.parametrize("command", COMMANDS)
def test_a_page_of_help_fits_the_screen_with_its_words_whole(
    page: Page, command: str, columns: int, language: str
) -> None:
    wide, lines = page(command, language), page(command, language, columns)
    assert [line for line in lines if len(line) > columns] == []
    places = [FAULTS / "words", FAULTS / "languages" / "es" / "words"][language == "es"]
    texts = [" ".join(wide), *((places / file).read_text(encoding="utf-8") for file in ("help.yaml", "compute.yaml"))]
    vocabulary = {part for text in texts for part in re.split(r"[\s|\"]+", text)} | {"\\"}
    assert {part for line in lines for part in re.split(r"[\s|\"]+", line)} <= vocabulary


@given(st.integers(-1000, 1000), st.integers(0, 1000))
def test_the_limits_of_a_number_are_shown_as_an_inequality(low: int, more: int) -> None:
    high = low + more
    for kind, shown in (
        (click.IntRange(low, high), f"{low}<=x<={high}"),
        (click.IntRange(min=low), f"x>={low}"),
        (click.IntRange(max=high), f"x<={high}"),
    ):
        assert range_shown(kind) == shown
    assert range_shown(click.STRING) is None


def test_the_language_may_stand_anywhere_before_the_command(tmp_path: Path) -> None:
    asked, folder = ["--language=es", "--help"], ["--faults", str(FAULTS)]
    for typed in ([*asked, *folder], [*folder, *asked], ["--help", *folder, "--language", "es"]):
        assert run(tmp_path, *typed).stdout.startswith("Uso: brinecall")


def test_what_is_typed_stands_on_a_page_as_it_is_typed(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["new", "--help"]) == 0
    page = capsys.readouterr().out
    assert 'facts="{ph: 7.9}"' in page
    for name in COMMANDS[1:]:
        assert command_line([name, "--help"]) == 0
        assert "{{" not in capsys.readouterr().out


def test_a_command_of_commands_shows_its_line_in_the_language_in_use(capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("jobs", "knowledge"):
        assert command_line(["--language", "es", name, "--help"]) == 0
        assert not re.search(r"COMMAND|ARGS", capsys.readouterr().out.splitlines()[0])
    use_language("en")


def test_the_locale_decides_where_no_language_is_asked_for(tmp_path: Path) -> None:
    assert run(tmp_path, "--help", LC_ALL="es_MX.UTF-8").stdout.startswith("Uso: brinecall")


def test_an_option_of_several_commands_has_its_words_in_one_place() -> None:
    ask, sheet = (cli.get_command(click.Context(cli), name) for name in ("ask", "sheet"))
    assert ask is not None
    assert sheet is not None
    context = click.Context(sheet, info_name="sheet")
    shared = {option.name: option for option in ask.params if isinstance(option, SaidOption)}
    for option in sheet.params:
        if isinstance(option, SaidOption) and option.name in shared:
            assert option.get_help_record(context) == shared[option.name].get_help_record(context)


def every_command() -> Iterator[tuple[str, click.Command]]:
    """The commands, and those inside a command, each with the group it is in."""
    context = click.Context(cli)
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        assert command is not None
        yield "", command
        if isinstance(command, click.Group):
            yield from ((name, inner) for inner in command.commands.values())


@pytest.mark.parametrize("language", ["en", "es"])
def test_beside_each_command_stands_a_whole_short_sentence(language: str) -> None:
    """One line on a screen of 80 columns: 64 characters are left beside the longest name."""
    use_language(language)
    shown = {command.name: command.get_short_help_str() for _, command in every_command()}
    assert {name: text for name, text in shown.items() if not re.fullmatch(r"[A-ZÁÉÍÓÚ¿][^.]{9,62}\.", text)} == {}
    assert len(set(shown.values())) == len(shown)


def test_usage_lines_are_in_the_language_in_use() -> None:
    """No word in capitals of the English usage lines is left, but for those that are the same in both."""

    def placeholders(language: str) -> set[str]:
        use_language(language)
        shown = [(command, command.get_help(click.Context(command))) for _, command in every_command()]
        option_lines = [line for _, text in shown for line in text.splitlines() if re.match(r" +-", line)]
        usage = [" ".join(command.collect_usage_pieces(click.Context(command))) for command, _ in shown]
        # Beside an option stands what it is for, after two spaces.
        return set(
            re.findall(r"[A-ZÁÉÍÓÚ]{2,}", " ".join([*usage, *(line.strip().split("  ")[0] for line in option_lines)]))
        )

    assert placeholders("en") & placeholders("es") <= {"ID", "SHELL"}


def test_every_command_stands_in_one_part_of_the_list() -> None:
    listed = [name for names in PARTS.values() for name in names]
    assert sorted(listed) == sorted(cli.list_commands(click.Context(cli)))


def test_every_command_has_its_examples() -> None:
    lacking = {command.name for _, command in every_command()} - set(said("help.examples"))
    within = {command.name for group, command in every_command() if group == "jobs"}
    assert lacking == within


def test_a_command_that_is_not_there_is_told_which_there_are(tmp_path: Path) -> None:
    for words, group in ((["qqq"], cli), (["knowledge", "qqq"], knowledge_command)):
        done = run(tmp_path, *words)
        assert done.returncode == 2
        assert len(done.stderr.splitlines()) == 1
        assert all(name in done.stderr for name in group.list_commands(click.Context(group)))


def test_the_version_tells_what_is_in_use(tmp_path: Path) -> None:
    plain = run(tmp_path / "jobs", "--version", BRINECALL_STORE="").stdout.splitlines()
    assert len(plain) == 6
    for part in (str(FAULTS), "en", str(tmp_path / "jobs"), str(tmp_path / "jobs" / "store.sqlite")):
        assert any(line.endswith(part) for line in plain), part
    options = ["--faults", str(FAULTS), "--language", "es", "--store", "none", "--jobs", str(tmp_path / "others")]
    spanish = run(tmp_path / "jobs", *options, "--version").stdout
    assert "Idioma: es" in spanish
    assert "ninguno" in spanish
    assert str(tmp_path / "others") in spanish
