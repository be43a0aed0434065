"""`brinecall knowledge bundle`, `take` and `back`: a checked knowledge in one file, taken by a counter and given up."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from engine.evaluation.look_over import look_over
from engine.evaluation.scoring import score, totals_of
from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, why_not
from engine.foundation.texts import language_in_use, say
from engine.knowledge.bundle import MOST_PACKED, Bundle, BundleError, folders_of, packed, unpacked
from engine.knowledge.format_version import PRESENT
from engine.knowledge.loader import load_knowledge
from engine.session.models import Models
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, Places, clock, faults_in_use, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from interview.command_line.worked_calls import Progress, calls_of, kept_calls
from interview.storage import settings, taken
from interview.storage.atomic_write import write_whole
from interview.storage.who import account

_PATH = click.Path(path_type=Path)
_SHOWN = 16
"""So many signs of a hash are told and compared; nobody makes another bundle with the same ones."""
_LONGEST_NOTES = 2000


@click.command("knowledge-bundle", cls=SaidCommand)
@click.argument("file", metavar="FILE", type=_PATH)
@click.argument("folder", metavar="[FOLDER]", required=False, type=_PATH)
@click.option("--notes", cls=SaidOption, metavar="TEXT", default="")
@click.option("--who", cls=SaidOption, metavar="NAME", default="", of="bundle")
@click.pass_context
def bundle_command(ctx: click.Context, /, file: Path, folder: Path | None, notes: str, who: str) -> None:
    """Make one file of a checked knowledge; the help that is shown stands in the words."""
    places = places_of(ctx) if folder is None else Places(folder)
    source = places.faults_folder
    looked = look_over(source)
    if looked.stops():
        first = next(problem for problem in looked.found if problem.grade != "look again")
        raise BadInputError(say("bundle.not_checked", folder=source, first=first))
    try:
        files = folders_of(source)
        # What is handed on is proved as it will lie there, and not as it lies here.
        with TemporaryDirectory(prefix="brinecall-") as place:
            fingerprint = load_knowledge(_laid_out(Path(place), files), language_in_use()).fingerprint
        by = who.strip() or account()
        made = clock().date().isoformat()
        bundle = Bundle(files, PRESENT, fingerprint, made, by, notes.strip()[:_LONGEST_NOTES], _proof(places))
        write_whole(file, packed(bundle))
    except BundleError as error:
        raise BadInputError(str(error)) from None
    except OSError as error:
        raise BadInputError(say("bundle.not_written", file=file, why=why_not(error))) from error
    _tell(say("bundle.made", file=file, folder=source, fingerprint=fingerprint, count=len(files)))
    for line in _told(bundle):
        _tell(line)
    command = Places().command("knowledge", "take", file.name, "--hash", bundle.hash()[:_SHOWN])
    _tell(say("bundle.tell_hash", command=command))


@click.command("knowledge-take", cls=SaidCommand)
@click.argument("file", metavar="FILE", type=_PATH)
@click.option("--hash", "hashed", cls=SaidOption, metavar="HASH", default="", of="bundle")
def take_command(file: Path, hashed: str) -> None:
    """Take a bundle for all commands of this counter; the help that is shown stands in the words."""
    try:
        bundle = unpacked(read_at_most(file, MOST_PACKED + 1))
        given = "".join(hashed.split()).lower()
        if hashed and (len(given) < _SHOWN // 2 or not bundle.hash().startswith(given)):
            raise BundleError("other_hash", hash=bundle.hash()[:_SHOWN])
        folder = _put(bundle)
    except BundleError as error:
        raise BadInputError(f"{file}: {error}. {say('bundle.kept_on')}") from None
    except OSError as error:
        raise BadInputError(say("bundle.unreadable", file=file, why=why_not(error))) from error
    before, now = settings.knowledge_folder(), str(folder)
    if before != now:
        _settle(knowledge=now, knowledge_before=before)
    taken.clear_old(folder, *([Path(before)] if before else []))
    _tell(say("bundle.taken", by=bundle.by, made=bundle.made, fingerprint=bundle.fingerprint))
    for line in _told(bundle):
        _tell(line)
    _tell(say("bundle.back_with", command=Places().command("knowledge", "back")))


@click.command("knowledge-back", cls=SaidCommand)
def back_command() -> None:
    """Go back to the knowledge that was settled before; the help that is shown stands in the words."""
    now, before = settings.knowledge_folder(), settings.knowledge_before()
    if not any(folder and taken.is_taken(Path(folder)) for folder in (now, before)):
        raise BadInputError(say("bundle.none_before"))
    if before:
        if not taken.is_usable(Path(before)):
            raise BadInputError(say("bundle.gone_before", folder=before))
        # A mistake in it would stop the counter.
        load_knowledge(Path(before), language_in_use())
    _settle(knowledge=before, knowledge_before=now)
    used, rule = faults_in_use(None)
    place = Places(used, named_by=rule).faults_folder
    _tell(say("bundle.in_use", folder=place, fingerprint=load(place).knowledge.fingerprint))


def bundled_lines(folder: Traversable | Path) -> Iterator[str]:
    """Of knowledge that was taken: who made it when, its notes, its proof and its hash."""
    if isinstance(folder, Path) and taken.is_taken(folder) and (said := taken.manifest_of(folder)):
        yield say("bundle.taken", by=said.get("by"), made=said.get("made"), fingerprint=said.get("fingerprint"))
        if said.get("notes"):
            yield say("bundle.notes", notes=said["notes"])
        yield say("bundle.hash", hash=str(said.get("hash"))[:_SHOWN])


def _put(bundle: Bundle) -> Path:
    """Put a bundle in its place, once it makes what it says. Raises BundleError, and then nothing is left of it."""
    with TemporaryDirectory(prefix="brinecall-") as place:
        try:
            made = load_knowledge(_laid_out(Path(place), bundle.files), language_in_use())
        except KnowledgeError as error:
            first = str(error.problems[0]).removeprefix(place).lstrip("/\\")
            raise BundleError("mistakes", first=first) from None
    if made.fingerprint != bundle.fingerprint:
        raise BundleError("other")
    return taken.keep(bundle.hash(), bundle.manifest(), bundle.files, bundle.top())


def _laid_out(place: Path, files: Mapping[str, bytes]) -> Path:
    """Write the files of a bundle into a place of their own, and give the folder that lies over the others."""
    for name, content in files.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(content)
    return place / max(name.partition("/")[0] for name in files)


def _proof(places: Places) -> dict[str, float | str | None]:
    """What the worked calls that a folder keeps come to."""
    models: Models = load(places.faults_folder)
    calls, _ = calls_of(kept_calls(places), models.knowledge)
    progress, scores = Progress(), []
    for number, call in enumerate(calls, start=1):
        progress.tell(say("bundle.progress", number=number, count=len(calls)))
        scores.append(score(models, call))
    progress.end()
    return {name: None if value is None else round(value, 4) for name, value in totals_of(scores).items()}


def _told(bundle: Bundle) -> Iterator[str]:
    proof = bundle.proof
    if bundle.notes:
        yield say("bundle.notes", notes=bundle.notes)
    if proof.get("calls"):
        shares = {name: f"{float(proof.get(name) or 0):.1%}" for name in ("first", "top3")}
        yield say("bundle.proved", calls=proof["calls"], asked=proof.get("median_asked"), **shares)
    else:
        yield say("bundle.not_proved")
    yield say("bundle.hash", hash=bundle.hash())


def _settle(**said: str) -> None:
    try:
        settings.settle(**said)
    except OSError as error:
        raise BadInputError(f"{settings.preferences_file()}: {why_not(error)}") from error


def _tell(line: str) -> None:
    click.echo(folded(line, sys.stdout, rest="    "))
