"""The commands: `brinecall` and what follows it, its options, its messages and its exit codes."""

from __future__ import annotations

import errno
import gc
import importlib
import os
import signal
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

import click

from engine.foundation.problems import KnowledgeError, shown, why_not
from engine.foundation.texts import say
from engine.session.journal import JournalError
from engine.store.errors import StoreError
from interview.command_line.completing import known_languages
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, Places, faults_in_use, places_of
from interview.command_line.errors import refusal
from interview.command_line.help import SaidGroup, SaidOption
from interview.command_line.locale import speak
from interview.command_line.startup import load
from interview.commands import run
from interview.frontends.encoding import write_legibly
from interview.storage.jobs import JobError
from interview.storage.settings import shop_file

BAD_INPUT = 2
INTERRUPTED = 130
BROKEN_PIPE = 141
LOST_TERMINAL = 129
_LONGEST = 2000
"""So many characters a refusal has at most, whatever it quotes."""

_ELSEWHERE: Mapping[str, tuple[str, str]] = {
    "ask": ("interview.commands.ask", "ask"),
    "resume": ("interview.commands.ask", "resume"),
    "completion": ("interview.commands.completion", "completion"),
    "try": ("interview.commands.try_calls", "try_files"),
    "check": ("interview.commands.check", "check"),
    "knowledge": ("interview.commands.knowledge", "knowledge_command"),
    "schema": ("interview.commands.schema", "schema_command"),
    "new": ("interview.commands.new", "new_command"),
    "translate": ("interview.commands.translate", "translate_command"),
    "find": ("interview.commands.find", "find_command"),
    "entries": ("interview.commands.find", "entries_command"),
    "rename": ("interview.commands.find", "rename_command"),
    "compute": ("interview.commands.compute", "compute_command"),
    "record": ("interview.commands.record", "record_command"),
    "jobs": ("interview.commands.jobs", "jobs_command"),
    "close": ("interview.commands.close", "close_command"),
    "due": ("interview.commands.close", "due_command"),
    "pool": ("interview.commands.pool", "pool_command"),
    "learn": ("interview.commands.learn", "learn_command"),
    "forget": ("interview.commands.pool", "forget_command"),
    "sheet": ("interview.commands.sheet", "sheet_command"),
    "label": ("interview.commands.label", "label_command"),
    "shop": ("interview.commands.shop", "shop_command"),
    "simulate": ("interview.commands.simulate", "simulate_command"),
    "cover": ("interview.commands.cover", "cover_command"),
    "tell-apart": ("interview.commands.tell_apart", "tell_apart_command"),
    "sensitive": ("interview.commands.sensitive", "sensitive_command"),
    "practise": ("interview.commands.practise", "practise_command"),
    "elicit": ("interview.commands.elicit", "elicit_command"),
    "why": ("interview.commands.why", "why_command"),
    "draw": ("interview.commands.draw", "draw_command"),
    "card": ("interview.commands.draw", "card_command"),
}
"""Commands of other modules, imported when they are used: the interview must not wait for them."""

PARTS: Mapping[str, tuple[str, ...]] = {
    "call": ("ask", "resume", "sheet", "label", "record", "close", "due"),
    "shop": ("jobs", "pool", "forget", "shop", "completion"),
    "trade": ("compute", "card", "draw", "practise"),
    "edit": ("knowledge", "check", "new", "find", "entries", "rename", "schema", "translate", "elicit"),
    "prove": ("try", "why", "cover", "tell-apart", "sensitive", "simulate", "learn"),
}
"""The commands by who needs them: whoever takes a call first, whoever proves an edit last."""


class _Commands(SaidGroup):
    """A group that finds some of its commands in modules imported only then."""

    parts = PARTS

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted({*super().list_commands(ctx), *_ELSEWHERE})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _ELSEWHERE:
            return super().get_command(ctx, cmd_name)
        module, name = _ELSEWHERE[cmd_name]
        found: click.Command = getattr(importlib.import_module(module), name)
        return found

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the options that stand before the command."""
        if not ctx.resilient_parsing:
            _speak_as_typed(args)
        try:
            rest = super().parse_args(ctx, args)
        except click.NoSuchOption as error:
            raise self._behind(ctx, error.option_name) or error from None
        # Here and not in the group's function: shell completion reads the options and runs nothing.
        faults, rule = faults_in_use(ctx.params.get("faults"))
        jobs, language, store = (ctx.params.get(name) for name in ("jobs", "language", "store"))
        ctx.obj = Places(faults, jobs, language, store, rule)
        return rest

    def _behind(self, ctx: click.Context, option: str) -> click.UsageError | None:
        """What is said of an option that one of the commands has, and that stands before it; None for any other."""
        for name in (name for part in PARTS.values() for name in part):
            command = self.get_command(ctx, name)
            if command is not None and any(option in param.opts for param in command.params):
                return click.UsageError(say("command_line.option_behind", name=option, command=name))
        return None


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted or ctx.resilient_parsing:
        return
    # Late: no other command needs it, and it takes longer to import than the rest of this module.
    from importlib.metadata import PackageNotFoundError, version

    try:
        number = version("brinecall")
    except PackageNotFoundError:
        number = say("command_line.version.not_installed")
    for line in _version_lines(ctx, number):
        click.echo(line)
    ctx.exit()


def _version_lines(ctx: click.Context, number: str) -> Iterator[str]:
    """The version, and which knowledge, language, jobs and store are in use."""
    # The option may stand before the others; then all is what it is without them, and the lines say so.
    faults, rule = faults_in_use(ctx.params.get("faults"))
    given = {name: ctx.params.get(name) for name in ("jobs", "language", "store")}
    places = Places(faults, given["jobs"], given["language"], given["store"], rule)
    yield say("command_line.version.number", number=number)
    knowledge = load(places.faults_folder).knowledge
    yield say("command_line.version.knowledge", fingerprint=knowledge.fingerprint, folder=places.faults_folder)
    yield say("command_line.version.language", code=speak(places, os.environ))
    yield say("command_line.version.jobs", folder=places.jobs_folder)
    yield say("command_line.version.settings", folder=shop_file().parent)
    address = places.store_address
    yield say("command_line.version.store", address=address) if address else say("command_line.version.no_store")


def _speak_as_typed(arguments: Sequence[str]) -> None:
    """Speak the language that a command line asks for before it is read: its help and its mistakes are said in it."""
    faults, code = (_typed(arguments, option) for option in ("--faults", "--language"))
    # A language that is not there is refused where the options are used.
    with suppress(BadInputError):
        folder, rule = faults_in_use(None if faults is None else Path(faults))
        speak(Places(folder, None, code, named_by=rule), os.environ)


def _typed(arguments: Sequence[str], option: str) -> str | None:
    """What is typed for an option, as `--option value` or as `--option=value`."""
    given = [argument.partition("=")[2] for argument in arguments if argument.startswith(f"{option}=")]
    given += [value for name, value in pairwise(arguments) if name == option]
    return given[-1] if given else None


@click.group(
    "brinecall",
    cls=_Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option("--faults", cls=SaidOption, type=click.Path(path_type=Path))
@click.option("--jobs", cls=SaidOption, type=click.Path(path_type=Path))
@click.option("--language", cls=SaidOption, shell_complete=known_languages)
@click.option("--store", cls=SaidOption, metavar="ADDRESS")
@click.option("--version", cls=SaidOption, is_flag=True, expose_value=False, callback=_version)
@click.pass_context
def cli(ctx: click.Context, /, **_: object) -> None:
    """The program; the help that is shown stands in the words."""
    speak(places_of(ctx), os.environ)
    if places_of(ctx).rule == "before":
        told = say("bundle.changed_since", before=places_of(ctx).faults_folder)
        click.echo(folded(told, sys.stderr), err=True)
    if ctx.invoked_subcommand is None:
        ctx.exit(run.start(places_of(ctx), {}, pipe=False))


def main() -> int:
    """The program: run the command line of this process, and give its exit code."""
    # Importing makes many objects and hardly any garbage; looking for it would cost a tenth of the time to the first
    # question. The first question turns it on again, and so does the end.
    gc.disable()
    # The tables are small: threads that share the work on one wait for each other longer than they work.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    if signal.getsignal(signal.SIGINT) is signal.SIG_DFL:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    write_legibly()
    try:
        code = command_line()
    except KeyboardInterrupt:
        code = INTERRUPTED
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
        return _carried_out(arguments)
    except KnowledgeError as error:
        # The words that would tell what is wrong are wrong themselves.
        return _failed(str(error.problems[0]))


def _carried_out(arguments: Sequence[str] | None) -> int:
    try:
        result = cli.main(arguments, prog_name="brinecall", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as done:
        return done.exit_code
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else int(done.code is not None)
    except click.ClickException as error:
        return _failed(refusal(error))
    except (KeyboardInterrupt, click.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        return BROKEN_PIPE
    except OSError as error:
        if error.errno in (errno.EIO, errno.EBADF) and error.filename is None:
            return LOST_TERMINAL
        if _nobody_reads(error):
            return BROKEN_PIPE
        return _failed(f"{error.filename or say('command_line.output')}: {why_not(error)}")
    except Exception as error:
        message = _explained(error)
        if message is None:
            raise
        return _failed(message)


def _explained(error: Exception) -> str | None:
    """The project's own errors in one line; None for a fault of the program."""
    if isinstance(error, KnowledgeError):
        more = len(error.problems) - 1
        first = str(error.problems[0]) if error.problems else say("command_line.no_trees")
        return say("command_line.and_more", first=first, count=more) if more > 0 else first
    return str(error) if isinstance(error, JournalError | JobError | BadInputError | StoreError) else None


def _failed(message: str) -> int:
    print(folded(f"brinecall: {shown(message, _LONGEST)}", sys.stderr), file=sys.stderr)
    return BAD_INPUT


def _flushed(code: int) -> int:
    """Flush what was printed; where nobody reads it any more, say nothing about it."""
    try:
        sys.stdout.flush()
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not _nobody_reads(error):
            return _failed(say("command_line.not_written", why=why_not(error))) if code == 0 else code
        return BROKEN_PIPE
    return code


def _nobody_reads(error: OSError) -> bool:
    """Whether nobody is at the other end of the output any more; Windows calls that an invalid argument."""
    invalid = sys.platform == "win32" and error.errno == errno.EINVAL and error.filename is None
    return invalid or error.errno == errno.EPIPE
