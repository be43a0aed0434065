"""`brinecall try`: run worked calls, say how many come out right, and what misled in the others."""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
import numpy as np

from engine.evaluation.calls import WorkedCall, read_calls
from engine.evaluation.simulate import Run, run_call
from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, why_not
from engine.foundation.texts import say
from engine.foundation.yaml_reader import MOST_BYTES
from engine.inference.belief import likelihood
from engine.knowledge.model import SOMETHING_ELSE, Knowledge
from engine.quantities.quantity import figure
from engine.session.models import Models
from interview.command_line.console import folded
from interview.command_line.context import places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from reports.sheets.choose import cautions_of_papers

_UNDATED = ""
"""A scripted run has no clock."""
_INDENT = "      "
_PROGRESS_COLUMNS = 40
MISLED_SHOWN = 3
"""So many answers are named for a miss."""


@dataclass(frozen=True)
class Score:
    """One call's run against what was really wrong. The three marks are None where the call does not say."""

    call: WorkedCall
    run: Run
    ranked: tuple[tuple[tuple[str, ...], float], ...]
    causes: tuple[tuple[str, float], ...]
    first: bool | None
    exact: bool | None
    top3: bool | None

    @property
    def expected(self) -> list[str]:
        """The causes the call names, `something_else` for a fault the trees do not know."""
        if self.call.causes is None:
            return []
        return list(self.call.causes) or [SOMETHING_ELSE]


def score(models: Models, call: WorkedCall) -> Score:
    """Run a call and score it."""
    run = run_call(models, call)
    ranked = tuple(run.session.hypotheses())
    causes = tuple(run.session.marginals().items())
    if call.causes is None:
        return Score(call, run, ranked, causes, None, None, None)
    true, best = set(call.causes), set(ranked[0][0])
    unknown = next(share for hypothesis, share in ranked if not hypothesis)
    leading = sorted([*causes, (SOMETHING_ELSE, unknown)], key=lambda item: -item[1])[:3]
    first = best <= true and bool(best) == bool(true)
    top3 = (true or {SOMETHING_ELSE}) <= {cause for cause, _ in (leading if not true else causes[:3])}
    return Score(call, run, ranked, causes, first, best == true, top3)


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


def _totals(scores: list[Score], seconds: float) -> dict[str, Any]:
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
    named = " + ".join(causes) or SOMETHING_ELSE
    asked = len(item.run.session.job.asked)
    return say(
        "trying.line",
        mark=f"{marks[item.first]:<2}", call=item.call.name, causes=named, share=f"{share:.0%}", asked=asked,
        minutes=f"{item.run.minutes:.0f}", decided=item.run.decided,
    )  # fmt: skip


def _misled(item: Score) -> list[str]:
    """For a miss: the answers that speak most for the cause named first and against the true one, in decibans."""
    session, true = item.run.session, tuple(item.call.causes or ())
    model = session.model
    places = {frozenset(hypothesis): k for k, hypothesis in enumerate(model.hypotheses)}
    right, named = places.get(frozenset(true)), places[frozenset(item.ranked[0][0])]
    if right is None:
        return [_INDENT + say("trying.not_in_tree", causes=" + ".join(true))]
    believed = f"{session.belief[right]:.1%}"
    lines = [_INDENT + say("trying.really", causes=" + ".join(item.expected), believed=believed)]
    weights = []
    for found in session.evidence:
        chances = np.maximum(likelihood(model, found), 1e-300)
        weights.append((10.0 * float(np.log10(chances[named] / chances[right])), found.id))
    for decibans, name in sorted(weights, reverse=True)[:MISLED_SHOWN]:
        if decibans > 0.5:
            answer = session.job.answers.get(name)
            finding = f"{name} = {answer.reading.value}" if answer else name
            lines.append(_INDENT + say("trying.misled", finding=finding, decibans=f"{decibans:+.0f}"))
    if len(lines) == 1:
        lines.append(_INDENT + say("trying.nothing_misled"))
    return lines


@click.command("try", cls=SaidCommand)
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.option("--floor", cls=SaidOption, type=click.FloatRange(0.0, 1.0), default=0.0)
@click.pass_context
def try_files(ctx: click.Context, files: tuple[Path, ...], as_json: bool, floor: float) -> None:
    """Run worked calls and report how many come out right; the help that is shown stands in the words."""
    models = load(places_of(ctx).faults_folder)
    begun = time.perf_counter()
    calls = _read_all(files, models.knowledge)
    scores = []
    for number, call in enumerate(calls, start=1):
        if sys.stderr.isatty():
            told = say("trying.progress", number=number, count=len(calls))
            click.echo(f"\r{told}", nl=False, err=True)
        scores.append(score(models, call))
    if sys.stderr.isatty():
        click.echo("\r" + " " * _PROGRESS_COLUMNS + "\r", nl=False, err=True)
    totals = _totals(scores, time.perf_counter() - begun)
    if as_json:
        data = {"calls": [call_as_json(item, models.knowledge) for item in scores], "totals": totals}
        click.echo(json.dumps(data, ensure_ascii=False).encode())
    else:
        _print(scores, totals)
    if totals["first"] is not None and totals["first"] < floor:
        raise SystemExit(1)


def _print(scores: list[Score], totals: dict[str, Any]) -> None:
    for item in scores:
        _echo(_line(item))
        if item.first is False:
            _echo("\n".join(_misled(item)))
    click.echo()
    if totals["first"] is not None:
        shares = {name: f"{totals[name]:.1%}" for name in ("first", "exact", "top3")}
        _echo(say("trying.shares", calls=totals["calls"], **shares))
    asked, minutes = figure(totals["median_asked"]), f"{totals['mean_minutes']:.0f}"
    _echo(say("trying.effort", asked=asked, minutes=minutes, seconds=figure(totals["seconds"], ".1f")))


def _echo(text: str) -> None:
    click.echo(folded(text, sys.stdout, rest="    "))


def _read_all(files: tuple[Path, ...], knowledge: Knowledge) -> list[WorkedCall]:
    """The calls of all files, or one error with the problems of all of them."""
    calls: list[WorkedCall] = []
    problems: list[Problem] = []
    for file in files:
        try:
            calls += read_calls(str(file), read_at_most(file, MOST_BYTES + 1), knowledge)
        except KnowledgeError as error:
            problems += error.problems
        except OSError as error:
            advice = say("trying.system_says", why=why_not(error).lower())
            problems.append(Problem(str(file), 1, 1, say("trying.unreadable"), advice))
    if problems:
        click.echo(str(KnowledgeError(problems)), err=True)
        raise SystemExit(2)
    return calls
