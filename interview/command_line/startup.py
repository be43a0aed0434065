"""The knowledge, loaded behind the first question, and the few words that this question needs before."""

from __future__ import annotations

import atexit
import gc
import sys
from collections.abc import Callable
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import language_in_use, say
from engine.foundation.yaml_reader import MOST_BYTES, compose
from interview.command_line.console import folded
from interview.storage.taken import good_before, is_taken

if TYPE_CHECKING:
    from engine.session.models import Models

ROLES_FILE = "roles.yaml"
MOST_WAIT_S = 5.0
"""Whoever leaves while the knowledge loads waits for it at most so long; mostly it is there in a second."""


class LateModels:
    """Knowledge that is loaded in the background from `start` on, and waited for where it is needed."""

    def __init__(self, folder: Traversable | Path, then: Callable[[], None] | None = None) -> None:
        """Args: the faults folder; what is to be done in the background once it is loaded."""
        self._folder, self._then = folder, then
        self._thread = Thread(target=self._load, name="knowledge", daemon=True)
        self._ready = Event()
        self._started = False
        self._models: Models | None = None
        self._error: BaseException | None = None

    def start(self) -> None:
        """Begin to load; once begun, nothing more happens."""
        gc.enable()
        if not self._started:
            self._started = True
            self._thread.start()
            # Ended in the middle of what is not written in Python, it would take the process down with it.
            atexit.register(self._thread.join, MOST_WAIT_S)

    def get(self) -> Models:
        """The models, as soon as they are there. Raises KnowledgeError where the folder has mistakes."""
        self.start()
        self._ready.wait()
        if self._error is not None:
            raise self._error
        assert self._models is not None
        return self._models

    def _load(self) -> None:
        try:
            self._models = load(self._folder)
        except BaseException as error:
            self._error = error
        finally:
            self._ready.set()
        if self._models is not None and sys.stdin is not None and sys.stdin.isatty():
            # Whoever types leaves time for it; a program may have said all before it is done.
            _make_ready(self._models)
        if self._then is not None:
            self._then()


def _make_ready(models: Models) -> None:
    """Prepare what reads free lines, so that the first of them is read as quickly as all after it."""
    # Late: as below, and nobody waits for it who says nothing in a line.
    from interview.understanding.readiness import make_ready

    make_ready(models.knowledge)


def load(folder: Traversable | Path) -> Models:
    """The models of a faults folder.

    Of one that was taken from a bundle, and that this program finds a mistake in, those of the one before it: that is
    told on standard error. Raises KnowledgeError with everything that is wrong in any other folder.
    """
    # Late: it brings numpy and pydantic, which the first question needs not.
    from engine.session.models import load_models

    try:
        return load_models(folder, language_in_use())
    except KnowledgeError as error:
        if not isinstance(folder, Path) or not is_taken(folder):
            raise
        before = good_before(folder) or files("faults")
        told = say("bundle.unusable", folder=folder, first=error.problems[0], before=before)
        print(folded(told, sys.stderr), file=sys.stderr)
        return load_models(before, language_in_use())


def role_words(folder: Traversable | Path) -> list[tuple[str, str]] | None:
    """Each role's id and words, read from the one small file that holds them; None where it is not as it should be.

    Another language has a file like it; where that lacks a role, the English words stand.
    """
    english = _role_entries(folder)
    if english is None or language_in_use() == ENGLISH:
        return english
    return list((dict(english) | dict(_role_entries(folder.joinpath(LANGUAGES, language_in_use())) or ())).items())


def _role_entries(folder: Traversable | Path) -> list[tuple[str, str]] | None:
    try:
        data = compose(ROLES_FILE, read_at_most(folder.joinpath(ROLES_FILE), MOST_BYTES + 1))[0].data
    except (OSError, KnowledgeError):
        return None
    entries = data if isinstance(data, list) else []
    whole = [entry for entry in entries if isinstance(entry, dict) and {"role", "customer"} <= entry.keys()]
    if not whole or len(whole) < len(entries):
        return None
    return [(str(entry["role"]), str(entry["customer"])) for entry in whole]
