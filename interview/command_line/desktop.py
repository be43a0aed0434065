"""What the machine around the program does with a paper: shows it in the viewer that is usual there, or prints it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import click

from engine.foundation.problems import shown, why_not
from engine.foundation.texts import say
from interview.command_line.output import SheetError

_QUEUES = ("lp", "lpr")
"""What takes a paper on its standard input and queues it. Source: POSIX.1-2017, `lp`; `lpr` is common practice."""
_PATIENCE_S = 60


def refuse_without_viewer() -> None:
    """Raises SheetError where no viewer can be opened from here: nobody would see the paper."""
    if sys.platform in ("win32", "darwin"):
        return
    desktop = os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    if not desktop or shutil.which("xdg-open") is None:
        raise SheetError(say("handing_over.no_viewer"))


def open_in_viewer(path: Path) -> None:
    """Open a paper in the program that is usual for it. Raises SheetError where that cannot be started."""
    try:
        failed = click.launch(str(path.absolute())) != 0
    except OSError:
        failed = True
    if failed:
        raise SheetError(say("handing_over.not_opened", path=path))


def print_queue() -> tuple[str, ...]:
    """The command that queues what is to be printed. Raises SheetError where there is none."""
    found = next((place for name in _QUEUES if (place := shutil.which(name)) is not None), None)
    if found is None:
        raise SheetError(say("handing_over.no_queue"))
    return (found,)


def send_to_print(made: bytes, queue: tuple[str, ...]) -> str:
    """Give a paper to the print queue; a sentence that says so. Raises SheetError with what the queue says if not."""
    try:
        # The program is one of two by name; the paper goes in by its standard input, never as an argument.
        done = subprocess.run(queue, input=made, capture_output=True, timeout=_PATIENCE_S, check=False)  # noqa: S603
    except subprocess.TimeoutExpired as error:
        raise SheetError(say("handing_over.not_printed", why=say("handing_over.no_answer"))) from error
    except OSError as error:
        raise SheetError(say("handing_over.not_printed", why=why_not(error))) from error
    said = shown((done.stderr or done.stdout).decode(errors="replace"), 200)
    if done.returncode != 0:
        raise SheetError(say("handing_over.not_printed", why=said or str(done.returncode)))
    return say("handing_over.printed")
