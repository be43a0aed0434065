"""The commands `brinecall pool`, the record of a pool with its readings over time, and `brinecall forget`."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

import click

from engine.foundation.texts import said, say
from engine.knowledge.model import DANGER_CHECK, Check, Knowledge
from engine.quantities.unit_systems import show_in
from engine.store.connect import Store
from engine.store.forgetting import forget, jobs_of, left_of
from engine.store.listing import PoolReading, Wanted, list_jobs, readings_of_pool
from engine.store.people import Pool, find_pools, pool_of, pools_of_person
from interview.command_line.context import BadInputError, clock, places_of
from interview.command_line.filed_jobs import local_time
from interview.command_line.forgetting_here import erase_here
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.output import print_paper, refuse_early, write_paper
from interview.command_line.startup import load
from interview.command_line.store_access import known_pools, shop_store
from interview.command_line.tables import form_of, print_table, table_options
from interview.command_line.targets import inputs_of
from interview.command_line.telling_of import writer_here
from interview.commands.jobs import print_lines
from interview.storage.jobs import stamp
from interview.storage.practice import forget_scores, scores_of
from reports.charts.over_time import Strip, over_time_picture

_MOST_JOBS = 20
_BARS = "▁▂▃▄▅▆▇█"
_LEAST_TO_DRAW = 3


@click.command("pool", cls=SaidCommand)
@click.argument("words", metavar="WORDS...", nargs=-1, required=True, shell_complete=known_pools)
@table_options
@click.option("-o", "--output", cls=SaidOption, metavar="FILE.svg", type=click.Path(path_type=Path))
@click.pass_context
def pool_command(ctx: click.Context, words: tuple[str, ...], as_json: bool, as_csv: bool, output: Path | None) -> None:
    """Find a pool and show its record; the help that is shown stands in the words."""
    form = form_of(as_json, as_csv)
    if output is not None:
        if output.suffix.lower() != ".svg":
            raise BadInputError(say("store.pool.ending", path=output))
        refuse_early("svg", output, inputs_of(places_of(ctx)))
    with shop_store(places_of(ctx)) as store, store.reading() as connection:
        found = _called(store, words)
        if len(found) != 1:
            _print_pools(found, form)
            if output is not None:
                raise BadInputError(say("store.pool.one_pool"))
            return
        also = [pool for pool in pools_of_person(connection, found[0].person) if pool != found[0]]
        read = readings_of_pool(connection, found[0].pool)
        jobs = list_jobs(connection, Wanted(pool=found[0].pool), _MOST_JOBS)
    if output is not None:
        _draw(load(places_of(ctx).faults_folder).knowledge, found[0], read, output)
    elif form == "json":
        data = {"pool": asdict(found[0]), "readings": [asdict(one) for one in read]}
        print(json.dumps(data | {"jobs": [asdict(line) for line in jobs]}, ensure_ascii=False, indent=2))
    elif form == "csv":
        print_table((), (), [asdict(one) for one in read], form)
    else:
        knowledge = load(places_of(ctx).faults_folder).knowledge
        theirs = [say("store.pool.also", site=pool.site or pool.name, pool=pool.pool) for pool in also]
        lines = (*_record(found[0]), *theirs, "", *_over_time(knowledge, read), "")
        print_paper("".join(f"{line}\n" for line in lines).encode(), "text")
        print_lines(jobs, form)


def _called(store: Store, words: Sequence[str]) -> list[Pool]:
    """The pools that are looked for: the one of an id, or those of words."""
    with store.reading() as connection:
        one = pool_of(connection, words[0]) if len(words) == 1 else None
        return [one] if one is not None else find_pools(connection, " ".join(words))


def _print_pools(found: Sequence[Pool], form: str) -> None:
    headings = said("store.pool.headings")
    names = ("name", "telephone", "site", "serial", "latest", "pool")
    rows = [(p.name, p.telephone, p.site, p.serial, local_time(p.latest)[:10], p.pool) for p in found]
    print_table(
        [headings[name] for name in names], rows, [asdict(p) for p in found], form_of(form == "json", form == "csv")
    )
    if not found and form == "text":
        print(say("store.pool.none"))


def _record(pool: Pool) -> Iterator[str]:
    headings = said("store.pool.headings")
    told = asdict(pool) | {"latest": local_time(pool.latest)}
    yield from (
        f"{headings[name]}: {told[name]}"
        for name in ("name", "telephone", "site", "serial", "latest", "pool")
        if told[name]
    )


def _over_time(knowledge: Knowledge, read: Sequence[PoolReading]) -> Iterator[str]:
    """A line for each check that was read, the last reading first; of numbers how they went, too."""
    for name in dict.fromkeys(one.reading for one in reversed(read) if one.reading != DANGER_CHECK):
        check = knowledge.checks.get(name)
        of_it = [one for one in read if one.reading == name]
        title = name.replace("_", " ") if check is None else check.wording.technician.rstrip("?.")
        shown = []
        for one in reversed(of_it):
            if one.number is not None:
                value = _in_unit(check, one.number)
            elif check is not None:
                value = check.said(str(one.answer), lambda wording: wording.technician).rstrip(".")
            else:
                value = str(one.answer)
            shown.append(f"{value} ({local_time(one.at)[:10]})")
        numbers = [one.number for one in of_it if one.number is not None]
        drawn = f"  {sparkline(numbers)}" if len(numbers) >= _LEAST_TO_DRAW else ""
        yield f"{title}: {', '.join(shown[:5])}{drawn}"


def _draw(knowledge: Knowledge, pool: Pool, read: Sequence[PoolReading], output: Path) -> None:
    """Write the picture of the readings. Raises BadInputError where there is nothing to draw."""
    strips = []
    for name in dict.fromkeys(one.reading for one in read if one.number is not None):
        check = knowledge.checks.get(name)
        if check is not None and (check.remembered or check.from_record):
            # It is of the pool, and no reading of a day.
            continue
        title = name.replace("_", " ") if check is None else check.wording.technician.rstrip("?.")
        of_it = [(one.at[:10], one.number) for one in read if one.reading == name and one.number is not None]
        strips.append(
            Strip(title, tuple((date.fromisoformat(day), number, _in_unit(check, number)) for day, number in of_it))
        )
    called = ", ".join(part for part in (pool.name, pool.site) if part) or pool.telephone
    picture = over_time_picture(say("store.pool.over_time", pool=called), strips)
    if picture is None:
        raise BadInputError(say("store.pool.nothing_to_draw"))
    write_paper(picture.svg.encode(), output, private=True)
    print(say("store.pool.drawn", path=output))


def _in_unit(check: Check | None, number: float) -> str:
    return show_in(number, check.unit) if check is not None and check.unit else f"{number:g}"


def sparkline(numbers: Sequence[float]) -> str:
    """Numbers as a row of bars, the least the lowest, the greatest the highest."""
    least, span = min(numbers), max(numbers) - min(numbers)
    steps = len(_BARS) - 1
    return "".join(_BARS[round((number - least) / span * steps) if span else steps // 2] for number in numbers)


@click.command("forget", cls=SaidCommand)
@click.argument("words", metavar="WORDS...", nargs=-1, required=True, shell_complete=known_pools)
@click.option("--yes", "agreed", cls=SaidOption, is_flag=True)
@click.pass_context
def forget_command(ctx: click.Context, words: tuple[str, ...], agreed: bool) -> None:
    """Erase what is known of a person; the help that is shown stands in the words."""
    folder = places_of(ctx).jobs_folder
    learner = " ".join(words)
    with shop_store(places_of(ctx)) as store:
        found = _called(store, words)
        people = {pool.person for pool in found}
        if not people and (count := len(scores_of(learner))):
            # Nobody whose pool it is, and somebody who practised here.
            print(say("store.forget.practised", name=learner, count=count))
            if not agreed:
                _agree()
            print(say("store.forget.scores", count=forget_scores(learner)))
            return
        if len(people) != 1:
            if found:
                _print_pools(found, "text")
            raise BadInputError(say("store.forget.one_person" if people else "store.pool.none"))
        person = people.pop()
        with store.reading() as connection:
            of_them = jobs_of(connection, person)
        ids = [job for job, _ in of_them]
        name = found[0].name or found[0].telephone or found[0].site
        print(say("store.forget.what", name=name, count=len(ids), jobs=", ".join(short for _, short in of_them)))
        if not agreed:
            _agree()
        with store.writing() as connection:
            erased = forget(connection, ids, writer_here(), stamp(clock))
            # Before that is kept: where something of it here cannot be erased, they must be found again.
            papers = erase_here(folder, dict(of_them))
        scores = forget_scores(learner)
        with store.reading() as connection:
            left = left_of(connection, ids, person)
    print(say("store.forget.done", count=len(ids), words=erased, papers=papers))
    if scores:
        print(say("store.forget.scores", count=scores))
    if left:
        raise BadInputError(say("store.forget.left", count=left))
    print(say("store.forget.elsewhere"))


def _agree() -> None:
    """Ask whether it is meant. Raises BadInputError where nobody can be asked, Abort where it is not."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInputError(say("store.forget.say_yes"))
    click.confirm(say("store.forget.sure"), abort=True)
