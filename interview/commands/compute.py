"""The command `brinecall compute`: one of the trade's computations, with its working and source."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterable, Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from engine.computations import CATALOGUE, Computation, ComputationError, Entry, compute_sections, is_limited, usage
from engine.foundation.texts import say
from engine.quantities.unit_systems import other_units_of
from interview.command_line.console import folded
from interview.command_line.context import Places, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.storage.settings import units_in_use
from reports.text_layout import wrapped

if TYPE_CHECKING:
    from engine.chlorinator.dose_limits import DoseLimits
    from engine.knowledge.catalogue import Placed
    from engine.knowledge.schema import CautionForm

_WIDTH, _LEAST_WIDTH = 80, 20
_REFUSED = 2
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
    cautions, ids = _cautions(done)
    lines = []
    for caution in ids:
        form = cautions[caution].form if caution in cautions else None
        signal = form.signal if form else "CAUTION"
        text = form.technician if form else caution.replace("_", " ")
        lines.append((_GRAVITY.index(signal), f"{say(f'pages.signals.{signal}')}: {text}"))
    return [line for _, line in sorted(lines, key=lambda item: item[0])]


def _cautions(done: Computation) -> tuple[Mapping[str, Placed[CautionForm]], tuple[str, ...]]:
    """The cautions of the knowledge, and the ids of those that belong to acting on a computation."""
    if not done.occasions:
        return {}, ()
    # Late: it brings the forms of the whole catalogue, which computations without cautions do not need.
    from interview.command_line.knowledge_parts import caution_ids, safety_in

    folder = safety_in(_faults_folder())
    return folder.cautions, caution_ids(folder, done.occasions)


def _limits(name: str) -> DoseLimits | None:
    """The limits that a computation goes by, None where it goes by none. Raises ComputationError without them."""
    entry = CATALOGUE.get(name)
    if entry is None or not is_limited(entry):
        return None
    # Late: as in `_cautions`.
    from interview.command_line.knowledge_parts import limits_in

    limits = limits_in(_faults_folder())
    if limits is None:
        raise ComputationError(say("compute.refused.no_limits", folder=_faults_folder()))
    return limits


def _as_text(done: Computation) -> str:
    """Lay a computation out for a person: working, source, notes, cautions."""
    paragraphs = [
        *done.working,
        *_in_us_units(done),
        say("compute.source", source=done.source),
        *(say("compute.note", note=note) for note in done.notes),
        *_caution_lines(done),
    ]
    width = min(shutil.get_terminal_size().columns, _WIDTH) if sys.stdout.isatty() else _WIDTH
    return "\n".join(wrapped(line, rest="  ", width=max(width, _LEAST_WIDTH)) for line in paragraphs)


def _in_us_units(done: Computation) -> list[str]:
    """The quantities of a working in US customary units, where those are chosen; the formula itself is metric."""
    if units_in_use() != "us":
        return []
    pairs = [say("compute.same", metric=metric, us=us) for metric, us in other_units_of(done.working)]
    return [say("compute.in_us_units", quantities="; ".join(pairs))] if pairs else []


def _as_json(done: Computation) -> str:
    """Lay a computation out for a script, in full precision."""
    fields: Mapping[str, object] = {
        "name": done.name,
        "inputs": dict(done.inputs),
        "results": dict(done.results),
        "working": list(done.working),
        "source": done.source,
        "notes": list(done.notes),
        "cautions": list(_cautions(done)[1]),
    }
    return json.dumps(fields, indent=2, allow_nan=False)


@click.command("compute", cls=_ComputeCommand, options_metavar="[--json] [--sure]")
@click.argument("name", required=False, metavar="NAME")
@click.argument("inputs", nargs=-1, metavar="key=value ...")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.option("--sure", cls=SaidOption, is_flag=True)
@click.pass_context
def compute_command(
    context: click.Context, name: str | None, inputs: tuple[str, ...], as_json: bool, sure: bool
) -> None:
    """Do one computation and print it; a refusal is one line on the error stream and exit code 2."""
    try:
        if name is None:
            raise ComputationError(say("compute.refused.which"))
        sections = [_pairs(section) for section in _sections(name, inputs)]
        done = compute_sections(name, sections, _limits(name), sure)
    except ComputationError as error:
        click.echo(folded(say("compute.error", what=error), sys.stderr), err=True)
        context.exit(_REFUSED)
    click.echo(_as_json(done) if as_json else _as_text(done))
