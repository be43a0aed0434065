"""Worked calls for the commands that run them: the folder in use, the calls of files, and what is wrong with them."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from engine.evaluation.calls import WorkedCall, read_calls
from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, why_not
from engine.foundation.texts import say
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.files import FILES, inside
from engine.knowledge.format_version import FORMAT_FILE
from engine.knowledge.layers import laid_contents
from engine.knowledge.model import Knowledge
from engine.knowledge.overlay_file import lies_over, stack_of
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, Places

CALLS = "calls"
"""Where a faults folder keeps its worked calls."""


@dataclass(frozen=True)
class KnowledgeUsed:
    """Which knowledge a report speaks of: its folder, its fingerprint, the day of its newest file (empty: unknown)."""

    folder: str
    fingerprint: str
    date: str

    def line(self) -> str:
        """In one line."""
        named = {"folder": self.folder, "fingerprint": self.fingerprint}
        return say("trying.knowledge_of", date=self.date, **named) if self.date else say("trying.knowledge", **named)


def knowledge_used(folder: Traversable | Path, knowledge: Knowledge) -> KnowledgeUsed:
    """Which folder this is; the day is that of the newest of its files."""
    times = [path.stat().st_mtime for path in _files_of(folder)] if isinstance(folder, Path) else []
    day = datetime.fromtimestamp(max(times), UTC).date().isoformat() if times else ""
    return KnowledgeUsed(str(folder), knowledge.fingerprint, day)


def _files_of(folder: Path) -> list[Path]:
    wanted = [f"{name}*.yaml" if name.endswith("/") else name for name in (*FILES, FORMAT_FILE)]
    return [path for name in wanted for path in folder.glob(name) if path.is_file()]


def calls_of(files: Sequence[Path], knowledge: Knowledge) -> tuple[list[WorkedCall], list[Problem]]:
    """The calls of all files that can be used, and what is wrong with the others."""
    calls: list[WorkedCall] = []
    problems: list[Problem] = []
    for file in files:
        try:
            calls += read_calls(str(file), read_at_most(file, MOST_BYTES + 1), knowledge)
        except KnowledgeError as error:
            problems += error.problems
        except OSError as error:
            advice = say("trying.system_says", why=why_not(error).lower())
            problems.append(Problem(str(file), 1, 1, say("trying.unreadable"), advice))
    return calls, problems


def kept_calls(places: Places) -> list[Path]:
    """The files of worked calls that the folder in use keeps; none where it keeps none."""
    found: dict[str, Path] = {}
    for layer in stack_of(places.faults_folder):
        # A file of calls above stands for the one of its name below.
        items = inside(layer.folder.joinpath(CALLS))
        found |= {item.name: Path(str(item)) for item in items if item.name.endswith(".yaml")}
    return sorted(found.values())


def files_or_kept(files: Sequence[Path], places: Places) -> list[Path]:
    """The files that were named, else those that the folder in use keeps. Raises BadInputError where there are none."""
    found = [*files] or kept_calls(places)
    if not found:
        raise BadInputError(say("trying.no_calls", folder=places.faults_folder))
    return found


def tell_problems(problems: Sequence[Problem]) -> None:
    """Tell on standard error what is wrong with files of calls."""
    if problems:
        click.echo(str(KnowledgeError(problems)), err=True)


def warn_of_elsewhere(files: Sequence[Path], places: Places) -> None:
    """Tell on standard error which files of calls lie in another faults folder than the one in use."""
    used = Path(str(places.faults_folder)).resolve()
    # The calls of the folders below are those by which a folder that lies over them is tried.
    stack = {Path(str(layer.folder)).resolve() for layer in stack_of(used)}
    for file in files:
        home = next((folder for folder in really_at(file).parents if _is_faults_folder(folder)), None)
        if home is not None and home not in stack:
            command = Places(home, language=places.language).command("try", str(file))
            told = say("trying.elsewhere", file=file, home=home, used=used, command=command)
            click.echo(folded(told, sys.stderr), err=True)


def warn_of_faults_here(places: Places) -> None:
    """Tell on standard error where a folder `faults` lies here that is not in use and says something else.

    Whoever named a folder for this command knows what is used.
    """
    here, used = Path("faults"), Path(str(places.faults_folder))
    if places.rule == "option" or not _is_faults_folder(here) or really_at(here) == really_at(used):
        return
    with suppress(KnowledgeError):
        if laid_contents(here)[0] == laid_contents(used)[0]:
            return
    click.echo(folded(say("knowledge_command.here", used=used), sys.stderr), err=True)


def really_at(file: Path) -> Path:
    """Where a file really lies; as it was named where its links lead nowhere: reading it tells that."""
    try:
        return file.resolve()
    except (OSError, RuntimeError):
        # Before Python 3.13, links in a circle are the latter.
        return file.absolute()


def _is_faults_folder(folder: Path) -> bool:
    return lies_over(folder) or all((folder / name).is_dir() for name in FILES if name.endswith("/"))


class Progress:
    """How far a long work is, on standard error, where somebody watches."""

    def __init__(self) -> None:
        self._columns = 0

    def tell(self, text: str) -> None:
        """Write it over what stood there."""
        if sys.stderr.isatty():
            click.echo(f"\r{text:<{self._columns}}", nl=False, err=True)
            self._columns = len(text)

    def end(self) -> None:
        """Leave an empty line."""
        if self._columns:
            click.echo("\r" + " " * self._columns + "\r", nl=False, err=True)
            self._columns = 0
