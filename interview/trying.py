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

from engine.belief import likelihood
from engine.calls import WorkedCall, read_calls
from engine.errors import KnowledgeError, Problem
from engine.model import SOMETHING_ELSE, Knowledge
from engine.session import Models
from interview.scripted import Run, run_call

__all__ = ["Score", "score", "try_files"]

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


def _as_json(item: Score, knowledge: Knowledge) -> dict[str, Any]:
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
    mark = {None: "  ", True: "ok", False: "no"}[item.first]
    causes, share = item.ranked[0]
    named = " + ".join(causes) or SOMETHING_ELSE
    asked = len(item.run.session.job.asked)
    return (
        f"{mark}  {item.call.name}: {named} {share:.0%}, {asked} asked, {item.run.minutes:.0f} min, {item.run.decided}"
    )


def _misled(item: Score) -> list[str]:
    """For a miss: the answers that speak most for the cause named first and against the true one, in decibans."""
    session, true = item.run.session, tuple(item.call.causes or ())
    model = session.model
    places = {frozenset(hypothesis): k for k, hypothesis in enumerate(model.hypotheses)}
    right, named = places.get(frozenset(true)), places[frozenset(item.ranked[0][0])]
    if right is None:
        return [f"      {' + '.join(true)} cannot be told behind this complaint: the tree does not name it"]
    lines = [f"      really {' + '.join(item.expected)}, believed {session.belief[right]:.1%}"]
    weights = []
    for found in session.evidence:
        chances = np.maximum(likelihood(model, found), 1e-300)
        weights.append((10.0 * float(np.log10(chances[named] / chances[right])), found.id))
    for decibans, name in sorted(weights, reverse=True)[:MISLED_SHOWN]:
        if decibans > 0.5:
            said = item.run.session.job.answers.get(name)
            lines.append(f"      misled by {name}{f' = {said.reading.value}' if said else ''}, {decibans:+.0f} db")
    if len(lines) == 1:
        lines.append("      nothing misled; too little was known, and the commoner cause stands first")
    return lines


@click.command("try")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option("--json", "as_json", is_flag=True, help="One JSON object on standard output.")
@click.option(
    "--floor", type=click.FloatRange(0.0, 1.0), default=0.0, help="Least share of calls with a true cause first."
)
@click.pass_obj
def try_files(models: Models, files: tuple[Path, ...], as_json: bool, floor: float) -> None:
    """Run worked calls and report how many come out right.

    Exit code 1 where the share of calls with a true cause first is under the floor, 2 where a file cannot be used.

    \b
    Examples:
      brinecall try calls.yaml
      brinecall try calls.yaml more.yaml --floor 0.85
      brinecall try calls.yaml --json > report.json
    """
    begun = time.perf_counter()
    calls = _read_all(files, models.knowledge)
    scores = []
    for number, call in enumerate(calls, start=1):
        if sys.stderr.isatty():
            click.echo(f"\rcall {number} of {len(calls)}", nl=False, err=True)
        scores.append(score(models, call))
    if sys.stderr.isatty():
        click.echo("\r" + " " * 30 + "\r", nl=False, err=True)
    totals = _totals(scores, time.perf_counter() - begun)
    if as_json:
        data = {"calls": [_as_json(item, models.knowledge) for item in scores], "totals": totals}
        click.echo(json.dumps(data, ensure_ascii=False))
    else:
        _print(scores, totals)
    if totals["first"] is not None and totals["first"] < floor:
        raise SystemExit(1)


def _print(scores: list[Score], totals: dict[str, Any]) -> None:
    for item in scores:
        click.echo(_line(item))
        if item.first is False:
            click.echo("\n".join(_misled(item)))
    click.echo()
    if totals["first"] is not None:
        click.echo(
            f"{totals['calls']} calls: a true cause first {totals['first']:.1%}, "
            f"all of them named {totals['exact']:.1%}, every true cause in the first three {totals['top3']:.1%}"
        )
    click.echo(
        f"asked {totals['median_asked']:g} in the middle, {totals['mean_minutes']:.0f} minutes on average, "
        f"run in {totals['seconds']:.1f} s"
    )


def _read_all(files: tuple[Path, ...], knowledge: Knowledge) -> list[WorkedCall]:
    """The calls of all files, or one error with the problems of all of them."""
    calls: list[WorkedCall] = []
    problems: list[Problem] = []
    for file in files:
        try:
            calls += read_calls(str(file), file.read_bytes(), knowledge)
        except KnowledgeError as error:
            problems += error.problems
        except OSError as error:
            why = (error.strerror or "no reason given").lower()
            problems.append(Problem(str(file), 1, 1, "this file cannot be read", f"the system says: {why}"))
    if problems:
        click.echo(str(KnowledgeError(problems)), err=True)
        raise SystemExit(2)
    return calls
