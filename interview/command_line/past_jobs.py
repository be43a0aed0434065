"""Kept jobs held against an older state of the knowledge: which would have gone otherwise, and what that would save."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Sequence
from typing import Any

import click

from engine.foundation.texts import say
from engine.proving.comparing import Comparison, Moved, worst_first
from engine.proving.past_jobs import call_of_job, saved
from engine.session.models import Models
from engine.store.listing import closed_jobs
from engine.store.rows import filed
from interview.command_line.comparison_lines import moved_json, moved_lines
from interview.command_line.console import folded
from interview.command_line.context import Places
from interview.command_line.proof_lines import NumbersShown
from interview.command_line.store_access import shop_store
from interview.command_line.worked_calls import KnowledgeUsed, Progress


def report_jobs(
    places: Places, models: Models, held: Comparison, used: KnowledgeUsed, tree: str | None, as_json: bool
) -> None:
    """Tell of the closed jobs of the store that go otherwise now. Raises as `shop_store`."""
    numbers, progress = NumbersShown(models.knowledge, places.faults_folder), Progress()
    moved: list[Moved] = []
    seen = 0
    with shop_store(places) as store, store.reading() as connection:
        ids = closed_jobs(connection)
        for number, job in enumerate(ids, start=1):
            progress.tell(say("learning.progress", done=number, of=len(ids)))
            events = tuple(row.event for row in filed(connection, job))
            name = next((str(event.value) for event in events if event.kind == "opened"), job)
            call = call_of_job(models, name, events)
            if call is None or tree not in (None, call.complaint):
                continue
            seen += 1
            found = held.moved(call, held.look(models, call)) if held.may_touch(call) else None
            moved += [] if found is None else [found]
    progress.end()
    moved = worst_first(moved)
    if as_json:
        told = [{**moved_json(one, numbers), "saved": saved(one)} for one in moved]
        data: dict[str, Any] = {"knowledge": vars(used), "jobs": seen, "moved": told}
        click.echo(json.dumps(data, ensure_ascii=False).encode())
        return
    for line in _lines(moved, seen, numbers):
        click.echo(folded(line, sys.stdout, rest="    "))
    click.echo(used.line())


def _lines(moved: Sequence[Moved], seen: int, numbers: NumbersShown) -> Iterator[str]:
    for one in moved:
        yield from moved_lines(one, numbers)
        minutes = saved(one)
        if minutes is not None:
            way = "saves" if minutes >= 0 else "costs"
            yield "      " + say(f"comparing.{way}", minutes=f"{abs(minutes):.0f}")
    told = [minutes for one in moved if (minutes := saved(one)) is not None]
    yield say("comparing.jobs", moved=len(moved), jobs=seen, told=len(told), minutes=f"{math.fsum(told):+.0f}")
