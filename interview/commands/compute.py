"""The command `brinecall compute`: one of the trade's computations, with its working and source."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterable, Mapping, Sequence
from importlib.resources.abc import Traversable
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from engine.computations import (
    CATALOGUE,
    Computation,
    ComputationError,
    DoubtedError,
    compute_sections,
    entry_of,
    is_limited,
)
from engine.foundation.texts import say
from engine.quantities.unit_systems import (
    System,
    in_us_units_too,
    is_typed_in_us_units,
    shown_in,
    system_in_use,
    use_system,
)
from interview.command_line.compute_form import LeftError, is_meant, keys_asked, name_asked, same_again, tell
from interview.command_line.compute_help import all_rows, rows_of, text_of
from interview.command_line.console import folded
from interview.command_line.context import Places, places_of
from interview.command_line.help import SaidCommand, SaidOption, write_rows
from interview.command_line.placeholders import in_their_words
from interview.storage.settings import units_in_use
from interview.understanding.numbers import in_signs, read_typed
from reports.text_layout import wrapped

if TYPE_CHECKING:
    from engine.chlorinator.dose_limits import DoseLimits
    from engine.knowledge.catalogue import Placed
    from engine.knowledge.schema import CautionForm

_WIDTH, _LEAST_WIDTH = 80, 20
_REFUSED = 2
_NAME, _NAMED = "NAME", "brinecall.compute.named"
_GRAVITY = ("DANGER", "WARNING", "CAUTION", "NOTICE")


class _ComputeCommand(SaidCommand):
    """Writes its help from the catalogue, so that neither names a computation the other lacks."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the options and arguments, and note of which computation help is wanted."""
        ctx.meta[_NAMED] = next((word for word in args if word in CATALOGUE), None)
        # A page of help is written before any other option is read.
        behind = next((value for option, value in pairwise(args) if option == "--units"), None)
        use_system("us" if behind == "us" else "metric" if behind == "metric" else units_in_use())
        return super().parse_args(ctx, args)

    def collect_usage_pieces(self, ctx: click.Context) -> list[str]:
        """The parts of the line that shows how it is typed, with the name of the computation where one is known."""
        pieces, named = super().collect_usage_pieces(ctx), ctx.meta.get(_NAMED)
        return [str(named) if piece == in_their_words(_NAME) and named else piece for piece in pieces]

    def shown_text(self, ctx: click.Context) -> str:
        """What it does; behind the name of a computation, what that one does."""
        name = ctx.meta.get(_NAMED)
        return text_of(CATALOGUE[name]) if name else self.said_text()

    def shown_examples(self, ctx: click.Context) -> str:
        """Examples of several computations; behind the name of one, its own stands with its keys."""
        return "" if ctx.meta.get(_NAMED) else super().shown_examples(ctx)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write every computation in a line, or the keys of one, and the options."""
        name = ctx.meta.get(_NAMED)
        for heading, rows in [rows_of(CATALOGUE[name])] if name else all_rows():
            with formatter.section(heading):
                write_rows(formatter, rows)
        super().format_options(ctx, formatter)


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
        text = shown_in(form.technician) if form else caution.replace("_", " ")
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
    shown = in_us_units_too if system_in_use() == "us" else str
    paragraphs = [
        *map(shown, done.working),
        say("compute.source", source=done.source),
        *(say("compute.note", note=shown(note)) for note in done.notes),
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
        "cautions": list(_cautions(done)[1]),
    }
    return json.dumps(fields, indent=2, allow_nan=False)


def _is_typed_so(name: str, sections: Iterable[Mapping[str, str]]) -> bool:
    """Whether any quantity was typed in US customary units: then the answer is wanted in them too."""
    keys = {key.name: key for key in CATALOGUE[name].keys if key.unit}
    pairs = [(keys[key], value) for given in sections for key, value in given.items() if key in keys]
    return any(is_typed_in_us_units(in_signs(value), key.unit) for key, value in pairs)


def _complete_name(_: click.Context, __: click.Parameter, incomplete: str) -> list[str]:
    return [name for name in CATALOGUE if name.startswith(incomplete)]


def _complete_key(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
    """The keys that are not typed yet; behind the equals sign of one, the words it may be."""
    entry = CATALOGUE.get(ctx.params.get("name") or "")
    if entry is None:
        return []
    typed = {word.partition("=")[0] for word in ctx.params.get("inputs") or ()}
    words = [f"{key.name}={word}" for key in entry.keys for word in (key.choices if "=" in incomplete else ("",))]
    return [word for word in words if word.startswith(incomplete) and word.partition("=")[0] not in typed]


@click.command("compute", cls=_ComputeCommand)
@click.argument("name", required=False, metavar=_NAME, shell_complete=_complete_name)
@click.argument("inputs", nargs=-1, metavar="KEY=VALUE ...", shell_complete=_complete_key)
@click.option("--units", cls=SaidOption, type=click.Choice(get_args(System)))
@click.option("--ask/--no-ask", cls=SaidOption, default=None)
@click.option("--really", cls=SaidOption, is_flag=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.pass_context
def compute_command(
    context: click.Context,
    name: str | None,
    inputs: tuple[str, ...],
    units: System | None,
    ask: bool | None,
    really: bool,
    as_json: bool,
) -> None:
    """Do one computation and print it; a refusal is one line on the error stream and exit code 2."""
    use_system(units or units_in_use())
    asking = ask if ask is not None else sys.stdin.isatty() and sys.stdout.isatty()
    try:
        done = _asked_for(name, inputs, really) if asking else _computed(name, inputs, not really)
    except LeftError:
        context.exit(_REFUSED)
    except ComputationError as error:
        click.echo(folded(f"brinecall: {error}", sys.stderr), err=True)
        context.exit(_REFUSED)
    click.echo(_as_json(done) if as_json else _as_text(done))


def _computed(name: str | None, inputs: Sequence[str], doubting: bool) -> Computation:
    """What was typed, worked out. Raises ComputationError."""
    if name is None:
        raise ComputationError(say("compute.refused.which"))
    entry_of(name)
    return _worked_out(name, [_pairs(section) for section in _sections(name, inputs)], doubting)


def _worked_out(name: str, sections: Sequence[Mapping[str, str]], doubting: bool) -> Computation:
    done = compute_sections(name, sections, _limits(name), doubting, read_typed)
    if _is_typed_so(name, sections):
        use_system("us")
    return done


def _asked_for(name: str | None, inputs: Sequence[str], really: bool) -> Computation:
    """The same, with what is missing asked. Raises ComputationError, LeftError."""
    given_name = name or name_asked()
    entry, sections = entry_of(given_name), [_pairs(section) for section in _sections(given_name, inputs)]
    lacking = any(key.required and key.name not in given for given in sections for key in entry.keys)
    if lacking:
        sections = [keys_asked(entry, given) for given in sections]
    try:
        done = _worked_out(given_name, sections, not really)
    except DoubtedError as error:
        if not lacking or not is_meant(f"{str(error)[:1].upper()}{str(error)[1:]}."):
            raise
        done = _worked_out(given_name, sections, doubting=False)
    if lacking:
        tell(same_again(given_name, sections))
    return done
