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
from engine.knowledge.model import Knowledge
from engine.learning import answers, shares
from engine.learning.lessons import PriorWeight, TreeLesson, lessons
from engine.learning.overlay import overlay_lines
from engine.learning.replayed import ReplayedJob
from engine.learning.taken_over import CallsTried, tried
from engine.session.models import Models
from engine.store.connect import Store
from engine.store.listing import closed_jobs
from engine.store.rows import filed
from interview.command_line.context import BadInputError, Places, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.many_jobs import Workers, seen_again
from interview.command_line.output import print_paper, refuse_early, write_paper
from interview.command_line.startup import load
from interview.command_line.store_access import shop_store
from interview.command_line.targets import inputs_of
from interview.command_line.worked_calls import Progress, calls_of, kept_calls, tell_problems
from interview.storage.atomic_write import write_whole
from interview.storage.half_seen import HalfSeen
from reports.charts.reliability import reliability_picture
from reports.sheets.lessons import lesson_lines, tried_lines

_PROPOSALS, _PICTURE = (".yaml", ".yml"), ".svg"


@click.command("learn", cls=SaidCommand)
@click.option("--tree", cls=SaidOption, metavar="TREE")
@click.option("--since", cls=SaidOption, metavar="DAY", default="")
@click.option(
    "--weight", cls=SaidOption, type=click.FloatRange(1, 1e6), default=shares.PRIOR_STRENGTH, show_default=True
)
@click.option("--workers", cls=SaidOption, type=click.IntRange(1, 64), default=1, show_default=True)
@click.option("--on", cls=SaidOption, metavar="ADDRESS", default="")
@click.option("--calls", "with_calls", cls=SaidOption, is_flag=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.option("-o", "--output", cls=SaidOption, metavar="FILE", type=click.Path(path_type=Path))
@click.pass_context
def learn_command(
    ctx: click.Context,
    /,
    tree: str | None,
    since: str,
    weight: float,
    workers: int,
    on: str,
    with_calls: bool,
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
    if output is not None:
        _refuse_ending(output, places_of(ctx))
    with shop_store(places_of(ctx)) as store:
        seen = [job for job in _replayed(store, models, places_of(ctx), since, Workers(workers, on)) if job is not None]
    weights = PriorWeight(weight, answers.PRIOR_STRENGTH)
    found = [lesson for lesson in lessons(models, seen, weights) if tree in (None, lesson.tree)]
    tried_ones = _tried(models, found, places_of(ctx)) if with_calls and found else None
    if as_json:
        told: object = [asdict(lesson) for lesson in found]
        told = {"lessons": told, "calls": tried_ones and asdict(tried_ones)} if with_calls else told
        print(json.dumps(told, ensure_ascii=False, indent=2))
    elif not found:
        print(say("learning.nothing"))
    else:
        lines = [line for lesson in found for line in lesson_lines(models.knowledge, lesson)]
        lines += [] if tried_ones is None else tried_lines(tried_ones)
        print_paper("".join(f"{line}\n" for line in lines).encode(), "text")
    if output is not None and output.suffix.lower() == _PICTURE:
        _draw(models.knowledge, found, output)
    elif output is not None:
        _write(found, models.knowledge.fingerprint, weights, output)


def _tried(models: Models, found: Sequence[TreeLesson], places: Places) -> CallsTried:
    """The worked calls that the folder keeps, run with the numbers as they are and as proposed."""
    calls, problems = calls_of(kept_calls(places), models.knowledge)
    tell_problems(problems)
    progress = Progress()
    of_it = tried(
        models, found, calls, lambda done: progress.tell(say("learning.calls.progress", done=done, of=len(calls)))
    )
    progress.end()
    return of_it


def _refuse_ending(output: Path, places: Places) -> None:
    """Before anything is worked out: a file that is neither proposals nor a picture, or lies where it may not."""
    if output.suffix.lower() not in (*_PROPOSALS, _PICTURE):
        raise BadInputError(say("learning.ending", path=output))
    if output.suffix.lower() == _PICTURE:
        refuse_early("svg", output, inputs_of(places))
    elif output.resolve().is_relative_to(Path(str(places.faults_folder)).resolve()):
        # There it would be read as knowledge, which nothing becomes by itself.
        raise BadInputError(say("learning.in_use", path=output))


def _draw(knowledge: Knowledge, found: Sequence[TreeLesson], output: Path) -> None:
    """Write the diagrams of what was promised and what came true. Raises BadInputError where there is none."""
    told = [(knowledge.trees[each.tree].wording.technician.rstrip("."), each.guesses.reliability) for each in found]
    picture = reliability_picture([(name, reliability) for name, reliability in told if reliability is not None])
    if picture is None:
        raise BadInputError(say("learning.nothing_to_draw"))
    write_paper(picture.svg.encode(), output, private=False)
    print(say("learning.drawn", path=output), file=sys.stderr)


def _write(found: Sequence[TreeLesson], fingerprint: str, weights: PriorWeight, output: Path) -> None:
    text = "\n".join(overlay_lines(found, fingerprint, (weights.shares, weights.answers)))
    try:
        write_whole(output, f"{text}\n".encode())
    except OSError as error:
        raise BadInputError(f"{output}: {why_not(error)}") from error
    print(say("learning.written", path=output), file=sys.stderr)


def _replayed(
    store: Store, models: Models, places: Places, since: str, workers: Workers
) -> Iterator[ReplayedJob | None]:
    """Every closed job seen again, in the order of the store, whoever works at it; taken up where it was broken off."""
    half = HalfSeen(places.jobs_folder, models.knowledge.fingerprint)
    known, done, progress = half.taken(), 0, Progress()
    with store.reading() as connection:
        ids = closed_jobs(connection, since)
        work = ((job, tuple(row.event for row in filed(connection, job))) for job in ids)
        if known:
            print(say("learning.taken_up", done=len(known)), file=sys.stderr)
        for part, seen in seen_again(work, known, places.faults, models.knowledge.fingerprint, workers):
            told = [(job, len(events), one) for (job, events), one in zip(part, seen, strict=True)]
            half.keep(
                (job, count, None if one is None else vars(one))
                for job, count, one in told
                if (job, count) not in known
            )
            done += len(seen)
            progress.tell(say("learning.progress", done=done, of=len(ids)))
            yield from seen
    progress.end()
    half.let_go()
