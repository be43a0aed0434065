"""The pager of the machine, as something to read with alone."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager

import click

from engine.foundation.texts import say


def show_paged(text: str) -> None:
    """Show a text that is more than a screen, through the pager that this machine has."""
    with _only_reading():
        click.echo_via_pager(text, color=False)


@contextmanager
def _only_reading() -> Iterator[None]:
    """What `less`, the usual pager, heeds: it saves, runs and remembers nothing, and its last line says how to go on.

    Keys meant for the interview, such as the words of `record`, would else be its commands: `s` writes what it shows
    into a file named by the keys behind it.
    """
    before = {name: os.environ.get(name) for name in ("LESS", "LESSSECURE", "LESSHISTFILE")}
    # In a prompt of `less` these characters have a meaning, and a dollar sign ends it.
    prompt = re.sub(r"[?:.%\\]", r"\\\g<0>", say("talk.paging").replace("$", ""))
    wanted = {"LESS": f"{before['LESS'] or ''} -Ps{prompt}$".strip(), "LESSSECURE": "1", "LESSHISTFILE": "-"}
    os.environ.update(wanted)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
