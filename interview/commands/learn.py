"""The command `brinecall learn`: what the shop's closed jobs say of its guesses, and of the knowledge's numbers."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

import click

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.learning import answers, shares
from engine.learning.lessons import PriorWeight, TreeLesson, lessons
from engine.learning.overlay import overlay_lines
from engine.learning.replayed import ReplayedJob
from engine.session.models import Models
from engine.store.connect import Store
from engine.store.listing import closed_jobs
from engine.store.rows import filed
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.many_jobs import Workers, seen_again
from interview.command_line.output import print_paper
from interview.command_line.startup import load
from interview.command_line.store_access import shop_store
from interview.storage.atomic_write import write_whole
from reports.sheets.lessons import lesson_lines


@click.command("learn", cls=SaidCommand)
@click.option("--tree", cls=SaidOption, metavar="TREE")
@click.option("--since", cls=SaidOption, metavar="DAY", default="")
@click.option(
    "--weight", cls=SaidOption, type=click.FloatRange(1, 1e6), default=shares.PRIOR_STRENGTH, show_default=True
)
@click.option("--workers", cls=SaidOption, type=click.IntRange(1, 64), default=1, show_default=True)
@click.option("--on", cls=SaidOption, metavar="ADDRESS", default="")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.option("-o", "--output", cls=SaidOption, metavar="FILE.yaml", type=click.Path(path_type=Path))
@click.pass_context
def learn_command(
    ctx: click.Context,
    /,
    tree: str | None,
    since: str,
    weight: float,
    workers: int,
    on: str,
    as_json: bool,
    output: Path | None,
) -> None:
    """Report what closed jobs teach, and write proposals; the help that is shown stands in the words."""
    models = load(places_of(ctx).faults_folder)
    if tree is not None and tree not in models.knowledge.trees:
        raise BadInputError(say("learning.no_tree", tree=tree, known=", ".join(models.knowledge.trees)))
    if since:
        try:
            since = date.fromisoformat(since).isoformat()
        except ValueError:
            raise BadInputError(say("recording.no_day", name="--since", value=since)) from None
    with shop_store(places_of(ctx)) as store:
        seen = [
            job
            for job in _replayed(store, models, places_of(ctx).faults, since, Workers(workers, on))
            if job is not None
        ]
    weights = PriorWeight(weight, answers.PRIOR_STRENGTH)
    found = [lesson for lesson in lessons(models, seen, weights) if tree in (None, lesson.tree)]
    if as_json:
        print(json.dumps([asdict(lesson) for lesson in found], ensure_ascii=False, indent=2))
    elif not found:
        print(say("learning.nothing"))
    else:
        lines = (line for lesson in found for line in lesson_lines(models.knowledge, lesson))
        print_paper("".join(f"{line}\n" for line in lines).encode(), "text")
    if output is not None:
        _write(found, models.knowledge.fingerprint, weights, output)


def _write(found: Sequence[TreeLesson], fingerprint: str, weights: PriorWeight, output: Path) -> None:
    text = "\n".join(overlay_lines(found, fingerprint, (weights.shares, weights.answers)))
    try:
        write_whole(output, f"{text}\n".encode())
    except OSError as error:
        raise BadInputError(f"{output}: {why_not(error)}") from error
    print(say("learning.written", path=output), file=sys.stderr)


def _replayed(
    store: Store, models: Models, folder: Path | None, since: str, workers: Workers
) -> Iterator[ReplayedJob | None]:
    """Every closed job seen again, in the order of the store, whoever works at it."""
    done = 0
    with store.reading() as connection:
        ids = closed_jobs(connection, since)
        work = ((job, tuple(row.event for row in filed(connection, job))) for job in ids)
        for part in seen_again(work, folder, models.knowledge.fingerprint, workers):
            done += len(part)
            _tell(done, len(ids))
            yield from part


def _tell(done: int, of: int) -> None:
    """How far it is, where somebody watches."""
    if sys.stderr.isatty():
        print(f"\r{say('learning.progress', done=done, of=of)}", end="" if done < of else "\n", file=sys.stderr)
