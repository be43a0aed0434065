"""The command `brinecall compute`: one of the trade's computations, with its working and source."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterable, Mapping
from contextlib import suppress
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from engine.computations import CATALOGUE, Computation, ComputationError, Entry, compute_sections, usage
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import language_in_use, say
from interview.command_line.console import folded
from interview.command_line.context import Places, places_of
from interview.command_line.help import SaidCommand, SaidOption
from reports.text_layout import wrapped

if TYPE_CHECKING:
    from engine.knowledge.catalogue import Folder
    from engine.knowledge.properties import Occasion

_WIDTH, _LEAST_WIDTH = 80, 20
_REFUSED = 2
_SAFETY_FILES = ("hazards.yaml", "cautions.yaml")
_GRAVITY = ("DANGER", "WARNING", "CAUTION", "NOTICE")


class _ComputeCommand(SaidCommand):
    """Writes its help from the catalogue, so that neither names a computation the other lacks."""

    def said_text(self) -> str:
        """What it does, with every computation's keys and verdicts."""
        return "\n\n".join([super().said_text(), *map(_entry_text, CATALOGUE.values())])


def _entry_text(entry: Entry) -> str:
    name, *keys = usage(entry).split(" ", 1)
    lines = [f"{name}: {entry.meaning}", *(f"    {shown}" for shown in keys)]
    if entry.verdicts:
        verdict = say("compute.verdict", words=", ".join(entry.verdicts[:-1]), last=entry.verdicts[-1])
        lines.append(f"    {verdict}")
    return "\n".join(lines)


def _pairs(inputs: Iterable[str]) -> dict[str, str]:
    """Split `key=value` words."""
    given: dict[str, str] = {}
    for word in inputs:
        key, equals, value = word.partition("=")
        if not equals or not key.strip():
            raise ComputationError(say("compute.refused.no_pair", typed=repr(word)))
        if key.strip() in given:
            raise ComputationError(say("compute.refused.twice", key=key.strip()))
        given[key.strip()] = value
    return given


def _sections(name: str, inputs: Iterable[str]) -> list[list[str]]:
    """Part the inputs where the computation's name is repeated: one part for each section of a pool."""
    parts: list[list[str]] = [[]]
    for word in inputs:
        if word == name:
            parts.append([])
        else:
            parts[-1].append(word)
    return parts


def _faults_folder() -> Traversable | Path:
    """The folder of the knowledge: the program's `--faults`, else the one that ships."""
    context = click.get_current_context(silent=True)
    return (places_of(context) if context else Places()).faults_folder


def _caution_lines(done: Computation) -> list[str]:
    """Word the cautions as the knowledge does, the gravest first; an occasion without one is still named."""
    folder = _safety() if done.occasions else None
    lines = []
    for caution in _told_for(folder, done):
        form = None if folder is None or caution not in folder.cautions else folder.cautions[caution].form
        signal = form.signal if form else "CAUTION"
        text = form.technician if form else caution.replace("_", " ")
        lines.append((_GRAVITY.index(signal), f"{say(f'pages.signals.{signal}')}: {text}"))
    return [line for _, line in sorted(lines, key=lambda item: item[0])]


def _told_for(folder: Folder | None, done: Computation) -> tuple[str, ...]:
    """The ids of the cautions that belong to acting on a computation; an occasion that has none stands for itself."""
    # Late: as in `_safety`.
    from engine.knowledge.hazards import told_for

    acts = {} if folder is None else {name: placed.form for name, placed in folder.acts.items()}
    occasions = cast("tuple[Occasion, ...]", done.occasions)
    found = [told_for(acts, "technician", occasion) or (occasion,) for occasion in occasions]
    return tuple(dict.fromkeys(name for names in found for name in names))


def _safety() -> Folder:
    """The hazardous acts and their cautions, in the language in use.

    Only their files are read: a mistake in a tree must not stand between a person and a dose.
    """
    # Late: they bring the forms of the whole catalogue, which computations without cautions do not need.
    from engine.knowledge.loader import read_folder
    from engine.knowledge.translation import overlay_of

    def content(folder: Traversable | Path) -> Mapping[str, bytes]:
        found = {}
        for name in _SAFETY_FILES:
            with suppress(OSError):
                found[name] = folder.joinpath(name).read_bytes()
        return found

    faults = _faults_folder()
    folder, _ = read_folder("faults", content(faults))
    code = language_in_use()
    return folder if code == ENGLISH else overlay_of(folder, code, content(faults.joinpath(LANGUAGES, code))).folder


def _as_text(done: Computation) -> str:
    """Lay a computation out for a person: working, source, notes, cautions."""
    paragraphs = [
        *done.working,
        say("compute.source", source=done.source),
        *(say("compute.note", note=note) for note in done.notes),
        *_caution_lines(done),
    ]
    width = min(shutil.get_terminal_size().columns, _WIDTH) if sys.stdout.isatty() else _WIDTH
    return "\n".join(wrapped(line, rest="  ", width=max(width, _LEAST_WIDTH)) for line in paragraphs)


def _as_json(done: Computation) -> str:
    """Lay a computation out for a script, in full precision."""
    fields: Mapping[str, object] = {
        "name": done.name,
        "inputs": dict(done.inputs),
        "results": dict(done.results),
        "working": list(done.working),
        "source": done.source,
        "notes": list(done.notes),
        "cautions": list(_told_for(_safety(), done)) if done.occasions else [],
    }
    return json.dumps(fields, indent=2, allow_nan=False)


@click.command("compute", cls=_ComputeCommand, options_metavar="[--json]")
@click.argument("name", required=False, metavar="NAME")
@click.argument("inputs", nargs=-1, metavar="key=value ...")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.pass_context
def compute_command(context: click.Context, name: str | None, inputs: tuple[str, ...], as_json: bool) -> None:
    """Do one computation and print it; a refusal is one line on the error stream and exit code 2."""
    try:
        if name is None:
            raise ComputationError(say("compute.refused.which"))
        done = compute_sections(name, [_pairs(section) for section in _sections(name, inputs)])
    except ComputationError as error:
        click.echo(folded(say("compute.error", what=error), sys.stderr), err=True)
        context.exit(_REFUSED)
    click.echo(_as_json(done) if as_json else _as_text(done))
