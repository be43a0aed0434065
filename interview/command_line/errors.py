"""What a command line that cannot be used is told, in the language in use."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

import click

from engine.foundation.texts import say
from interview.command_line.placeholders import in_their_words

_NEAR = 0.7
"""So near a word must be to a command to be taken for a slip of it: `chek` is, `interview` is no `entries`."""


def refusal(error: click.ClickException) -> str:
    """What is wrong with a command line, and where it can be said what was meant."""
    match error:
        case click.NoSuchOption():
            wrong = say("command_line.no_option", name=repr(error.option_name))
            return _with_guess(wrong, sorted(error.possibilities or ()))
        case click.MissingParameter():
            return _missing(error)
        case click.BadParameter() if error.param is not None:
            about = in_their_words(error.param.get_error_hint(error.ctx))
            return say("command_line.bad_value", about=about, why=error.message)
        case click.BadOptionUsage():
            name = repr(error.option_name)
            if _is_flag(error):
                return say("command_line.takes_no_value", name=name)
            return say("command_line.needs_value", name=name)
        case _:
            return error.format_message()


def no_such_command(name: str, known: Iterable[str], behind: str) -> str:
    """What a word that is no command is told: what it may be, or which commands there are.

    Args: `behind`, what is typed before a command, such as `brinecall`.
    """
    wrong, commands = say("command_line.no_command", name=repr(name)), sorted(known)
    if near := difflib.get_close_matches(name, commands, cutoff=_NEAR):
        return _with_guess(wrong, near)
    return f"{wrong} {say('command_line.commands', commands=', '.join(commands), help=f'{behind} --help')}"


def _missing(error: click.MissingParameter) -> str:
    about = in_their_words(error.param.get_error_hint(error.ctx)) if error.param is not None else ""
    wrong = say("command_line.missing", about=about)
    if error.param is None or not isinstance(error.param.type, click.Choice):
        return wrong
    return f"{wrong} {say('command_line.choose', known=', '.join(map(str, error.param.type.choices)))}"


def _is_flag(error: click.BadOptionUsage) -> bool:
    params = error.ctx.command.params if error.ctx is not None else []
    return any(isinstance(p, click.Option) and p.is_flag and error.option_name in p.opts for p in params)


def _with_guess(wrong: str, near: Sequence[str]) -> str:
    if not near:
        return wrong
    names = ", ".join(map(repr, near))
    return f"{wrong} {say('command_line.mean' if len(near) == 1 else 'command_line.mean_one_of', names=names)}"
