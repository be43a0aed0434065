"""`brinecall try`: run worked calls, say how many come out right, and what misled in the others."""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import click

from engine.evaluation.scoring import Score, score
from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from engine.proving.reasons import because
from engine.quantities.quantity import figure
from interview.command_line.console import folded
from interview.command_line.context import places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.proof_lines import NumbersShown, because_json, because_lines, named
from interview.command_line.startup import load
from interview.command_line.worked_calls import (
    KnowledgeUsed,
    Progress,
    calls_of,
    knowledge_used,
    tell_problems,
    warn_of_elsewhere,
)
from reports.sheets.choose import cautions_of_papers

_UNDATED = ""
"""A scripted run has no clock."""
_INDENT = "      "


def call_as_json(item: Score, knowledge: Knowledge) -> dict[str, Any]:
    """A call's run as data for scripts: what was asked, believed and decided, and the boxes of each paper."""
    job = item.run.session.job
    decision = item.run.decision
    repair = knowledge.repairs.get(decision.repair or "") if decision else None
    return {
        "call": item.call.name,
        "role": item.call.role,
        "complaint": item.call.complaint,
        "expected": item.expected,
        "ranked": [{"causes": list(causes), "probability": share} for causes, share in item.ranked],
        "causes": [{"cause": cause, "probability": share} for cause, share in item.causes],
        "asked": job.asked,
        "unknown": [check for check in job.asked if check in job.unknown],
        "minutes": item.run.minutes,
        "decision": item.run.decided,
        "cautions": item.run.cautions,
        "papers": cautions_of_papers(item.run.session, _UNDATED, item.run.ended),
        "parts": [need.part for need in repair.parts] if repair else [],
        "first": item.first,
        "exact": item.exact,
        "top3": item.top3,
    }


def _totals(scores: Sequence[Score], seconds: float) -> dict[str, Any]:
    scored = [item for item in scores if item.first is not None]

    def share(marks: Iterable[bool | None]) -> float | None:
        values = [bool(mark) for mark in marks]
        return sum(values) / len(values) if values else None

    return {
        "calls": len(scores),
        "first": share(item.first for item in scored),
        "exact": share(item.exact for item in scored),
        "top3": share(item.top3 for item in scored),
        "median_asked": statistics.median(len(item.run.session.job.asked) for item in scores),
        "mean_minutes": statistics.fmean(item.run.minutes for item in scores),
        "seconds": round(seconds, 3),
    }


def _line(item: Score) -> str:
    marks = {None: "", True: say("trying.marks.right"), False: say("trying.marks.wrong")}
    causes, share = item.ranked[0]
    asked = len(item.run.session.job.asked)
    return say(
        "trying.line",
        mark=f"{marks[item.first]:<2}", call=item.call.name, causes=named(causes), share=f"{share:.0%}", asked=asked,
        minutes=f"{item.run.minutes:.0f}", decided=item.run.decided,
    )  # fmt: skip


@click.command("try", cls=SaidCommand)
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.option("--floor", cls=SaidOption, type=click.FloatRange(0.0, 1.0), default=0.0)
@click.pass_context
def try_files(ctx: click.Context, files: tuple[Path, ...], as_json: bool, floor: float) -> None:
    """Run worked calls and report how many come out right; the help that is shown stands in the words."""
    places = places_of(ctx)
    models = load(places.faults_folder)
    used = knowledge_used(places.faults_folder, models.knowledge)
    numbers = NumbersShown(models.knowledge, places.faults_folder)
    begun = time.perf_counter()
    warn_of_elsewhere(files, places)
    calls, problems = calls_of(files, models.knowledge)
    tell_problems(problems)
    if not calls:
        raise SystemExit(2)
    scores, progress = [], Progress()
    for number, call in enumerate(calls, start=1):
        progress.tell(say("trying.progress", number=number, count=len(calls)))
        scores.append(score(models, call))
    progress.end()
    totals = _totals(scores, time.perf_counter() - begun)
    if as_json:
        told = [
            {**call_as_json(item, models.knowledge), "because": because_json(because(item), numbers)} for item in scores
        ]
        data = {"knowledge": vars(used), "calls": told, "totals": totals}
        click.echo(json.dumps(data, ensure_ascii=False).encode())
    else:
        _print(scores, totals, used, numbers)
    if problems or (totals["first"] is not None and totals["first"] < floor):
        raise SystemExit(1)


def _print(scores: Sequence[Score], totals: dict[str, Any], used: KnowledgeUsed, numbers: NumbersShown) -> None:
    for item in scores:
        _echo(_line(item))
        if (why := because(item)) is not None:
            _echo("\n".join(_INDENT + line for line in because_lines(item, why, numbers)))
    click.echo()
    _echo(used.line())
    if totals["first"] is not None:
        shares = {name: f"{totals[name]:.1%}" for name in ("first", "exact", "top3")}
        _echo(say("trying.shares", calls=totals["calls"], **shares))
    asked, minutes = figure(totals["median_asked"]), f"{totals['mean_minutes']:.0f}"
    _echo(say("trying.effort", asked=asked, minutes=minutes, seconds=figure(totals["seconds"], ".1f")))


def _echo(text: str) -> None:
    click.echo(folded(text, sys.stdout, rest="    "))
