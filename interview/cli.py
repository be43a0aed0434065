"""The commands: `brinecall` and what follows it, its options, its messages and its exit codes."""

from __future__ import annotations

import errno
import gc
import importlib
import os
import signal
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from interview.wishing import sheet_options, wish_of

if TYPE_CHECKING:
    from interview.running import Places

__all__ = ["cli", "command_line", "main"]

BAD_INPUT = 2
INTERRUPTED = 130
BROKEN_PIPE = 141
LOST_TERMINAL = 129

_ELSEWHERE: Mapping[str, tuple[str, str]] = {
    "try": ("interview.trying", "try_files"),
    "check": ("interview.check", "check"),
    "compute": ("interview.compute", "compute_command"),
    "sheet": ("interview.sheeting", "sheet_command"),
    "draw": ("interview.drawing", "draw_command"),
    "card": ("interview.drawing", "card_command"),
}
"""Commands of other modules, imported when they are used: the interview must not wait for them."""

_EXAMPLES = """\b
Examples:
  brinecall                              an interview, from the start
  brinecall ask --complaint low-salt     the trouble is known already
  brinecall resume                       go on with the newest open job
  brinecall try faults/calls/visible.yaml
  brinecall check my-faults
"""


_ASK_EXAMPLES = """\b
Examples:
  brinecall ask --role phone --complaint flow-fault
  brinecall ask --facts call.yaml --call 2
"""


class _Commands(click.Group):
    """A group that finds some of its commands in modules imported only then."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted({*super().list_commands(ctx), *_ELSEWHERE})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _ELSEWHERE:
            return super().get_command(ctx, cmd_name)
        module, name = _ELSEWHERE[cmd_name]
        found: click.Command = getattr(importlib.import_module(module), name)
        return found


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    from interview.opening import load
    from interview.running import Places

    # The option may stand before --faults; then the fingerprint is that of the shipped knowledge, and it says so.
    places = Places(faults=ctx.params.get("faults"))
    whose = "shipped knowledge" if places.faults is None else f"knowledge of {places.faults}"
    try:
        number = version("brinecall")
    except PackageNotFoundError:
        number = "(not installed)"
    click.echo(f"brinecall {number}, {whose} {load(places.faults_folder).knowledge.fingerprint}")
    ctx.exit()


@click.group(
    cls=_Commands,
    invoke_without_command=True,
    epilog=_EXAMPLES,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--faults", type=click.Path(path_type=Path), help="Folder of fault trees to use in place of the shipped ones."
)
@click.option(
    "--jobs", type=click.Path(path_type=Path), help="Folder to keep jobs in (also: the variable BRINECALL_JOBS)."
)
@click.option("--language", help="Code of the language, such as es; without it, that of your locale.")
@click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    callback=_version,
    help="The version, and the knowledge's fingerprint.",
)
@click.pass_context
def cli(ctx: click.Context, faults: Path | None, jobs: Path | None, language: str | None) -> None:
    """Find why a salt-water pool's chlorinator makes no chlorine, and print the job sheet."""
    from interview.opening import load
    from interview.running import Places, start
    from interview.speaking import speak

    ctx.obj = Places(faults, jobs, language)
    speak(ctx.obj, os.environ)
    if ctx.invoked_subcommand == "try":
        ctx.obj = load(ctx.obj.faults_folder)
    if ctx.invoked_subcommand is None:
        ctx.exit(start(ctx.obj, {}, pipe=False))


def _known(kind: str) -> Callable[[click.Context, click.Parameter, str], list[str]]:
    """For shell completion: the ids of one kind that begin like what is typed."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
        from interview.opening import load
        from interview.running import Places

        parent = ctx.parent.params if ctx.parent is not None else {}
        folder = Places(faults=parent.get("faults")).faults_folder
        ids: Iterable[str] = getattr(load(folder).knowledge, kind)
        return [name for name in ids if name.startswith(incomplete)]

    return complete


def _kept_jobs(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
    from engine.journal import job_ids
    from interview.running import Places

    parent = ctx.parent.params if ctx.parent is not None else {}
    return [name for name in job_ids(Places(jobs=parent.get("jobs")).jobs_folder) if name.startswith(incomplete)]


@cli.command(epilog=_ASK_EXAMPLES)
@click.option(
    "--complaint", shell_complete=_known("trees"), help="The complaint, by its id; it is asked where this is left out."
)
@click.option("--role", shell_complete=_known("roles"), help="Who asks: counter, phone or field.")
@click.option("--unit", shell_complete=_known("units"), help="The unit profile, by its id.")
@click.option(
    "--facts", type=click.Path(path_type=Path), help="Take the answers from a worked call, and print the sheet."
)
@click.option("--call", type=click.IntRange(min=1), help="Which call of that file, counted from 1.")
@click.option("--pipe", is_flag=True, help="Questions and replies as JSON lines, for programs.")
@sheet_options(columns=False)
@click.pass_context
def ask(
    ctx: click.Context,
    /,
    complaint: str | None,
    role: str | None,
    unit: str | None,
    facts: Path | None,
    call: int | None,
    pipe: bool,
    **sheet: object,
) -> None:
    """An interview, with what is known already."""
    from engine.loading.phrases import say
    from interview.running import scripted, start

    if call is not None and facts is None:
        raise click.UsageError("--call goes with --facts FILE: it says which call of that file")
    if pipe and facts is not None:
        raise click.UsageError("--pipe and --facts exclude each other: answers come from one side only")
    if pipe and any(value is not None for value in sheet.values()):
        raise click.UsageError(say("sheet_command.not_with_pipe"))
    given = {"role": role, "unit": unit, "complaint": complaint}
    said = {about: name for about, name in given.items() if name is not None}
    places: Places = ctx.obj
    wish = wish_of(sheet)
    ctx.exit(scripted(places, facts, call or 1, said, wish) if facts is not None else start(places, said, pipe, wish))


@cli.command()
@click.argument("job", required=False, shell_complete=_kept_jobs)
@click.pass_context
def resume(ctx: click.Context, job: str | None) -> None:
    """Go on with an open job: the newest one, or JOB."""
    from interview.running import resume as go_on

    ctx.exit(go_on(ctx.obj, job))


@cli.command(epilog='\b\nExample, for bash:\n  eval "$(brinecall completion bash)"\n')
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Print what makes SHELL complete commands, options and ids."""
    from click.shell_completion import get_completion_class

    found = get_completion_class(shell)
    assert found is not None, shell
    click.echo(found(cli, {}, "brinecall", "_BRINECALL_COMPLETE").source())


def main() -> int:
    """The program: run the command line of this process, and give its exit code."""
    # Importing makes many objects and hardly any garbage; looking for it would cost a tenth of the time to the first
    # question. The first question turns it on again, and so does the end.
    gc.disable()
    code = command_line()
    # What is left is only leaving; a second Ctrl-C on the way out must not show a traceback.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    return code


def command_line(arguments: Sequence[str] | None = None) -> int:
    """Run a command line, by default that of this process.

    Every way it can go wrong ends in one line on standard error and an exit code.

    Returns:
        0 done, 1 below what was demanded, 2 bad input, 129 the terminal was lost, 130 broken off, 141 nobody reads the
        output any more.
    """
    return _flushed(_run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    try:
        result = cli.main(arguments, prog_name="brinecall", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as done:
        return done.exit_code
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else int(done.code is not None)
    except click.ClickException as error:
        return _failed(error.format_message())
    except (KeyboardInterrupt, click.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        return BROKEN_PIPE
    except OSError as error:
        if error.errno in (errno.EIO, errno.EBADF) and error.filename is None:
            return LOST_TERMINAL
        return _failed(f"{error.filename or 'the output'}: {error.strerror or error}")
    except Exception as error:
        message = _explained(error)
        if message is None:
            raise
        return _failed(message)


def _explained(error: Exception) -> str | None:
    """The project's own errors in one line; None for a fault of the program."""
    from engine.errors import KnowledgeError
    from engine.journal import JournalError
    from interview.jobs import JobError
    from interview.running import BadInputError
    from interview.sheet import SheetError

    if isinstance(error, KnowledgeError):
        more = len(error.problems) - 1
        rest = f" (and {more} more)" if more > 0 else ""
        return f"{error.problems[0]}{rest}" if error.problems else "the fault trees cannot be used"
    return str(error) if isinstance(error, JournalError | JobError | BadInputError | SheetError) else None


def _failed(message: str) -> int:
    print(f"brinecall: {' '.join(message.split())}", file=sys.stderr)
    return BAD_INPUT


def _flushed(code: int) -> int:
    """Flush what was printed; where nobody reads it any more, say nothing about it."""
    try:
        sys.stdout.flush()
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if error.errno != errno.EPIPE:
            return _failed(f"the output could not be written ({error.strerror})") if code == 0 else code
        return BROKEN_PIPE
    return code
