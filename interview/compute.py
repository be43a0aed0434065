"""The command `brinecall compute`: one of the trade's computations, with its working and source."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterable, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from engine.computations import CATALOGUE, Computation, ComputationError, compute_sections, usage
from reports.text import wrapped

__all__ = ["compute_command"]

_WIDTH = 80
_REFUSED = 2
_GRAVITY = ("DANGER", "WARNING", "CAUTION", "NOTICE")
_EXAMPLES = (
    "brinecall compute salt-dose volume=20000usgal now=1.2g/L target=3200",
    "brinecall compute salt-from-conductivity conductivity=6.5 temp=68F",
    "brinecall compute cell-health voltage=7.5 current=14 salinity=3.2 temp=24 clean=0.147 --json",
)


def _help() -> str:
    """Write the help from the catalogue, so that neither names a computation the other lacks."""
    lines = ["Do one of the trade's computations and show its working, its source and what it is worth.", ""]
    lines += ["\b", "Examples:", *(f"  {example}" for example in _EXAMPLES), ""]
    lines += [
        "A bare number is in the unit shown; other units are understood: 3.2g/L, 68F, 12psi, 20000usgal, 5ft.",
        "Keys in brackets may be left out. Quote a value that holds a space.",
        "",
    ]
    for entry in CATALOGUE.values():
        name, *keys = usage(entry).split(" ", 1)
        lines += ["\b", f"{name}: {entry.meaning}"]
        lines += textwrap.wrap(keys[0], _WIDTH - 8, initial_indent="    ", subsequent_indent="    ")
        if entry.verdicts:
            lines.append(f"    verdict is {', '.join(entry.verdicts[:-1])} or {entry.verdicts[-1]}")
        lines.append("")
    return "\n".join(lines)


def _pairs(inputs: Iterable[str]) -> dict[str, str]:
    """Split `key=value` words."""
    given: dict[str, str] = {}
    for word in inputs:
        key, equals, value = word.partition("=")
        if not equals or not key.strip():
            raise ComputationError(
                f"{word!r} is not key=value; write for example volume=50, and quote a value that holds a space"
            )
        if key.strip() in given:
            raise ComputationError(f"{key.strip()} is given twice; give it once")
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
    chosen = context.find_root().params.get("faults") if context else None
    return Path(chosen) if chosen else files("faults")


def _caution_lines(ids: Iterable[str]) -> list[str]:
    """Word the cautions as the knowledge does, the gravest first; one that it lacks is still named.

    Only the file of cautions is read: a mistake in a tree must not stand between a person and a dose.
    """
    from engine.loading.treefile import read_folder  # late: it brings the YAML reader, which --json does not need

    wanted = tuple(ids)
    if not wanted:
        return []
    try:
        content = {"cautions.yaml": _faults_folder().joinpath("cautions.yaml").read_bytes()}
    except OSError:
        content = {}
    folder, _ = read_folder("faults", content)
    lines = []
    for caution in wanted:
        placed = folder.cautions.get(caution)
        words = f"{placed.form.signal}: {placed.form.technician}" if placed else f"CAUTION: {caution.replace('_', ' ')}"
        lines.append(words)
    return sorted(lines, key=lambda line: _GRAVITY.index(line.partition(":")[0]))


def _as_text(done: Computation) -> str:
    """Lay a computation out for a person: working, source, notes, cautions."""
    paragraphs = [
        *done.working,
        f"Source: {done.source}",
        *(f"Note: {note}" for note in done.notes),
        *_caution_lines(done.cautions),
    ]
    return "\n".join(wrapped(line, rest="  ", width=_WIDTH) for line in paragraphs)


def _as_json(done: Computation) -> str:
    """Lay a computation out for a script, in full precision."""
    fields: Mapping[str, object] = {
        "name": done.name,
        "inputs": dict(done.inputs),
        "results": dict(done.results),
        "working": list(done.working),
        "source": done.source,
        "notes": list(done.notes),
        "cautions": list(done.cautions),
    }
    return json.dumps(fields, indent=2, allow_nan=False)


@click.command("compute", help=_help(), options_metavar="[--json]")
@click.argument("name", required=False, metavar="NAME")
@click.argument("inputs", nargs=-1, metavar="key=value ...")
@click.option("--json", "as_json", is_flag=True, help="One JSON object in full precision instead of text.")
@click.pass_context
def compute_command(context: click.Context, name: str | None, inputs: tuple[str, ...], as_json: bool) -> None:
    """Do one computation and print it; a refusal is one line on the error stream and exit code 2."""
    try:
        if name is None:
            raise ComputationError("which computation? `brinecall compute --help` lists them")
        done = compute_sections(name, [_pairs(section) for section in _sections(name, inputs)])
    except ComputationError as error:
        click.echo(f"Error: {error}", err=True)
        context.exit(_REFUSED)
    click.echo(_as_json(done) if as_json else _as_text(done))
