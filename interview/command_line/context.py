"""What a command line settles for all commands: knowledge, jobs and language; and what else all of them share."""

from __future__ import annotations

import os
import re
import shlex
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Literal

import click

from engine.foundation.texts import say
from interview.storage import jobs, settings
from interview.storage.taken import good_before, is_as_taken, is_taken

Rule = Literal["option", "environment", "setting", "before", "shipped"]
"""By which rule the knowledge in use was found; each goes before those behind it.

`before` is what was settled before a bundle was taken that is no longer as it was taken.
"""

FAULTS_ENVIRONMENT = "BRINECALL_FAULTS"
"""Names the faults folder where no option does."""
STORE_ENVIRONMENT = "BRINECALL_STORE"
"""Names another store; `none` for none."""
NO_STORE = "none"
_MEANS_MORE = re.compile(r"[^\w.:/\\-]|^$")
"""More than letters, figures and the signs of a path: to `cmd.exe` or PowerShell it may be an order (from memory)."""


class BadInputError(Exception):
    """Something on the command line that cannot be used; the text says what, and what to write instead."""


@dataclass(frozen=True)
class Places:
    """Which knowledge is used (None: the shipped one), where jobs are kept (None: the usual place), which language.

    A `language` of None is that of the locale. `store` is the address of the shop's store, None for the one settled.
    `named_by` is the rule by which a folder of one's own was found.
    """

    faults: Path | None = None
    jobs: Path | None = None
    language: str | None = None
    store: str | None = None
    named_by: Rule = "option"

    @property
    def rule(self) -> Rule:
        """By which rule the faults folder was found."""
        return "shipped" if self.faults is None and self.named_by != "before" else self.named_by

    @property
    def faults_folder(self) -> Traversable | Path:
        """The faults folder.

        Raises BadInputError where one that was settled for all commands is gone: other knowledge must not speak for it.
        """
        if self.faults is None:
            return files("faults")
        if self.named_by != "option" and not self.faults.is_dir():
            raise BadInputError(say(f"knowledge_command.gone.{self.named_by}", folder=self.faults))
        return self.faults

    @property
    def jobs_folder(self) -> Path:
        """The jobs folder. Raises JobError where there is no usual place."""
        return self.jobs or jobs.default_folder()

    @property
    def store_address(self) -> str:
        """Where jobs are filed: as said, as settled, else in a file beside them; empty where nowhere."""
        address = self.store or os.environ.get(STORE_ENVIRONMENT) or settings.store_address()
        if address == NO_STORE:
            return ""
        return address or str(self.jobs_folder / "store.sqlite")

    @property
    def shares_store(self) -> bool:
        """Whether jobs are filed in a store that others may use too."""
        return self.store_address not in ("", str(self.jobs_folder / "store.sqlite"))

    def command(self, *wanted: str) -> str:
        """What to type for a command with these words, with the same knowledge, jobs and language."""
        words = ["brinecall"]
        # What is settled here holds for the next command too; a variable may be set for this one alone.
        named = None if self.rule in ("setting", "before") else self.faults
        for option, folder in (("--faults", named), ("--jobs", self.jobs)):
            words += [option, str(folder)] if folder is not None else []
        words += ["--language", self.language] if self.language is not None else []
        # An address may hold a password.
        words += ["--store", self.store] if self.store is not None and "://" not in self.store else []
        return _typed([*words, *wanted])


def own_folder(ctx: click.Context) -> Path:
    """The faults folder that a command line names, to be written to.

    Raises BadInputError where it names none: what came with the program is nobody's to change.
    """
    folder = places_of(ctx).faults
    if folder is None:
        raise BadInputError(say("entries.which"))
    if not folder.is_dir():
        raise BadInputError(say("entries.no_folder", folder=folder))
    return folder


def faults_in_use(typed: Path | None) -> tuple[Path | None, Rule]:
    """The faults folder that every command takes, and by which rule.

    The one typed, else that of the variable BRINECALL_FAULTS, else the one settled, else the shipped one (None). Where
    one was taken from a bundle and somebody has changed it since, the one before it: a counter never stops for that.
    """
    if typed is not None:
        return typed, "option"
    if named := os.environ.get(FAULTS_ENVIRONMENT):
        return Path(named), "environment"
    if settled := settings.knowledge_folder():
        folder = Path(settled)
        if is_taken(folder) and not is_as_taken(folder):
            return good_before(folder), "before"
        return folder, "setting"
    return None, "shipped"


def places_of(ctx: click.Context) -> Places:
    """What the command line settled, for a command or shell completion; the usual where a command runs alone."""
    return ctx.find_object(Places) or Places()


def _typed(words: Sequence[str]) -> str:
    """Words as the command line of this platform takes them."""
    if sys.platform != "win32":
        return shlex.join(words)
    # Late: no other platform needs it.
    from subprocess import list2cmdline

    # Quotes are put round blanks only; so each word that means something else to a Windows shell gets one for a moment.
    quoted = ('"' + list2cmdline([f" {word}"])[2:] if _MEANS_MORE.search(word) else word for word in words)
    return " ".join(quoted)


def clock() -> datetime:
    """The time now, in the time zone of this machine."""
    return datetime.now().astimezone()
