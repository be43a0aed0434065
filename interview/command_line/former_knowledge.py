"""An older state of the knowledge: another folder, or a revision of the folder in use, where git keeps it."""

from __future__ import annotations

import io
import shutil
import subprocess
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

from engine.foundation.problems import KnowledgeError, shown
from engine.foundation.texts import say
from engine.session.models import Models
from interview.command_line.context import BadInputError, Places
from interview.command_line.startup import load

REVISION = "git:"
"""What an argument begins with that is a revision and no folder."""
SHIPPED = "shipped"
"""The word for the knowledge that came with the program; a folder of this name is `./shipped`."""
_GIT_S = 60


@contextmanager
def former_folder(places: Places, told: str) -> Iterator[Path]:
    """The folder of the older knowledge, for as long as it is needed.

    Args: `told`, a folder, or `git:` and a revision of the folder in use, or the word for what came with the program.

    Raises: BadInputError where there is no such folder or revision, or no git.
    """
    if told == SHIPPED:
        yield Path(str(files("faults")))
        return
    if not told.startswith(REVISION):
        if not Path(told).is_dir():
            raise BadInputError(say("comparing.no_folder", folder=told, revision=f"{REVISION}HEAD"))
        yield Path(told)
        return
    with TemporaryDirectory(prefix="brinecall-") as temporary:
        _unpack(Path(str(places.faults_folder)), told.removeprefix(REVISION), Path(temporary))
        yield Path(temporary)


def former_models(folder: Path, told: str) -> Models:
    """The older knowledge. Raises BadInputError where it cannot be used, with the first mistake in it."""
    try:
        return load(folder)
    except KnowledgeError as error:
        first = str(error.problems[0]).removeprefix(str(folder)).lstrip("/\\")
        raise BadInputError(say("comparing.unusable", told=told, first=first)) from error


def _unpack(folder: Path, revision: str, into: Path) -> None:
    """The files of a revision of a folder."""
    git = shutil.which("git")
    if git is None:
        raise BadInputError(say("comparing.no_git"))
    # A revision is no option, whatever it is called.
    command = [git, "-C", str(folder), "archive", "--format=tar", "--end-of-options", revision]
    try:
        done = subprocess.run(command, capture_output=True, timeout=_GIT_S, check=False)  # noqa: S603
    except (OSError, subprocess.TimeoutExpired) as error:
        raise BadInputError(say("comparing.no_revision", revision=revision, folder=folder, why=str(error))) from error
    if done.returncode != 0:
        why = shown((done.stderr.decode(errors="replace").strip().splitlines() or [""])[0])
        raise BadInputError(say("comparing.no_revision", revision=revision, folder=folder, why=why))
    with tarfile.open(fileobj=io.BytesIO(done.stdout)) as archive:
        for member in archive:
            name = Path(member.name)
            content = archive.extractfile(member) if member.isfile() else None
            if content is None or name.is_absolute() or ".." in name.parts:
                continue
            (into / name).parent.mkdir(parents=True, exist_ok=True)
            (into / name).write_bytes(content.read())
