"""What a computation needs, asked line by line of whoever typed only its name, or nothing."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Mapping, Sequence
from itertools import count

import click

from engine.computations import CATALOGUE, ComputationError, Entry, Key, entry_of, read_value
from engine.foundation.plain_text import without_accents
from engine.foundation.texts import said, say
from engine.quantities.unit_systems import show_in, unit_asked_in
from interview.command_line.compute_help import all_rows
from interview.command_line.console import folded
from interview.frontends.bounded_line import read_line
from interview.understanding.keywords import command_words
from interview.understanding.normalize import clean
from interview.understanding.numbers import read_typed
from reports.phrases import sentence


class LeftError(Exception):
    """Whoever is asked leaves, or the input ends."""


def name_asked() -> str:
    """The name of a computation, asked by number or name. Raises LeftError."""
    names = list(CATALOGUE)
    number = count(1)
    for heading, rows in all_rows():
        tell("\n".join([heading, *(f"  {next(number):2}  {name}: {meaning}" for name, meaning in rows)]))
    while True:
        typed = asked(say("compute.form.which", count=len(names)))
        if typed.isdecimal() and 1 <= int(typed) <= len(names):
            return names[int(typed) - 1]
        try:
            return entry_of(typed.replace(" ", "-")).name
        except ComputationError as error:
            tell(str(error))


def keys_asked(entry: Entry, given: Mapping[str, str]) -> dict[str, str]:
    """What is typed for the keys that are not given: all of them where none is, else those that must be there.

    Raises LeftError.
    """
    tell(say("compute.form.begin", meaning=sentence(entry.meaning)))
    found = dict(given)
    for key in entry.keys:
        if key.name not in given and (key.required or not given):
            typed = _value(key)
            if typed:
                found[key.name] = typed
    return found


def _value(key: Key) -> str:
    """What is typed for one key, asked again until it can be read; empty where it may be left out and is."""
    while True:
        typed = asked(_question(key))
        if not typed:
            if not key.required:
                return ""
            tell(say("compute.form.needed"))
            continue
        try:
            read_value(key, typed, read_typed)
        except ComputationError as error:
            tell(str(error))
        else:
            return typed


def _question(key: Key) -> str:
    """The prompt for a key: what it is, its unit or its words, and what Return does."""
    what = "|".join(key.choices) or ("" if key.unit in ("number", "share") else unit_asked_in(key.unit))
    if key.default is not None:
        default = key.default if isinstance(key.default, str) else show_in(key.default, key.unit)
        return_does = say("compute.form.default", default=default)
    else:
        return_does = "" if key.required else say("compute.form.skip")
    asides = "; ".join(part for part in (what, return_does) if part)
    meaning = sentence(key.meaning).rstrip(".")
    return f"{meaning} ({asides}): " if asides else f"{meaning}: "


def is_meant(doubt: str) -> bool:
    """Whether what is doubted is really meant. Raises LeftError."""
    tell(doubt)
    answers = {word.strip(): name for name, words in said("compute.form.answers").items() for word in words.split(",")}
    while True:
        typed = without_accents(asked(say("compute.form.really")))
        if typed in answers:
            return answers[typed] == "meant"


def same_again(name: str, sections: Sequence[Mapping[str, str]]) -> str:
    """The line that does the same without asking."""
    words = [word for given in sections for word in (name, *(f"{key}={value}" for key, value in given.items()))]
    return say("compute.form.same_again", line=shlex.join(["brinecall", "compute", *words]))


def tell(text: str) -> None:
    """Say something in the form, on standard error: what is computed alone goes to the output."""
    click.echo(folded(text, sys.stderr), err=True)


def asked(question: str) -> str:
    """What is typed at a prompt. Raises LeftError."""
    click.echo(question, nl=False, err=True)
    line = read_line(sys.stdin)
    if not sys.stdin.isatty():
        click.echo(err=True)
    typed = clean(line)
    if not line or without_accents(typed) in command_words("leave"):
        raise LeftError
    return typed
