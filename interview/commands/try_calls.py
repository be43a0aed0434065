"""`brinecall try`: run worked calls, say how many come out right, and what misled in the others."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import click

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import Score, score, totals_of
from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from engine.proving.comparing import CallOutcome, Comparison, Moved, outcome_of_score, worst_first
from engine.proving.reasons import because
from engine.quantities.quantity import figure
from engine.session.models import Models
from interview.command_line.comparison_lines import edit_json, head_lines, moved_json, moved_lines
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.former_knowledge import former_folder, former_models
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.many_calls import scores_of
from interview.command_line.past_jobs import report_jobs
from interview.command_line.proof_lines import NumbersShown, because_json, because_lines, named
from interview.command_line.startup import load
from interview.command_line.worked_calls import (
    KnowledgeUsed,
    Progress,
    calls_of,
    files_or_kept,
    knowledge_used,
    tell_problems,
    warn_of_elsewhere,
    warn_of_faults_here,
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


def _line(item: Score) -> str:
    marks = {None: "", True: say("trying.marks.right"), False: say("trying.marks.wrong")}
    causes, share = item.ranked[0]
    asked = len(item.run.session.job.asked)
    return say(
        "trying.line",
        mark=f"{marks[item.first]:<2}", call=item.call.name, causes=named(causes), share=f"{share:.0%}", asked=asked,
        minutes=f"{item.run.minutes:.0f}", decided=item.run.decided,
    )  # fmt: skip


@dataclass(frozen=True)
class _Wanted:
    """Which calls are told of."""

    only: str | None
    tree: str | None
    changed: bool

    def tells(self, item: Score, moved: bool) -> bool:
        """Whether a call is told of."""
        marks = {"ok": bool(item.first), "no": item.first is False, "partly": bool(item.left_out), "moved": moved}
        return self.only is None or marks[self.only]


@click.command("try", cls=SaidCommand)
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option("--against", cls=SaidOption, metavar="FOLDER|shipped|git:REVISION")
@click.option("--only", cls=SaidOption, type=click.Choice(["ok", "no", "partly", "moved"]))
@click.option("--tree", cls=SaidOption, metavar="TREE")
@click.option("--changed", cls=SaidOption, is_flag=True)
@click.option("--jobs", "of_jobs", cls=SaidOption, is_flag=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.option("--floor", cls=SaidOption, type=click.FloatRange(0.0, 1.0), default=0.0)
@click.option("-j", "--workers", cls=SaidOption, type=click.IntRange(1, 64), default=1, show_default=True)
@click.pass_context
def try_files(
    ctx: click.Context,
    /,
    files: tuple[Path, ...],
    against: str | None,
    only: str | None,
    tree: str | None,
    changed: bool,
    of_jobs: bool,
    as_json: bool,
    floor: float,
    workers: int,
) -> None:
    """Run worked calls and report how many come out right; the help that is shown stands in the words."""
    places = places_of(ctx)
    warn_of_faults_here(places)
    models = load(places.faults_folder)
    if against is None and (changed or of_jobs or only == "moved"):
        raise BadInputError(say("trying.needs_against"))
    if tree is not None and tree not in models.knowledge.trees:
        raise BadInputError(say("learning.no_tree", tree=tree, known=", ".join(models.knowledge.trees)))
    used = knowledge_used(places.faults_folder, models.knowledge)
    if of_jobs and against is not None:
        with former_folder(places, against) as folder:
            report_jobs(
                places, models, Comparison(former_models(folder, against), models, _looked_at), used, tree, as_json
            )
        return
    chosen = files_or_kept(files, places)
    warn_of_elsewhere(chosen, places)
    calls, problems = calls_of(chosen, models.knowledge)
    tell_problems(problems)
    if not calls:
        raise SystemExit(2)
    wanted = _Wanted(only, tree, changed)
    numbers = NumbersShown(models.knowledge, places.faults_folder)
    report = _Report(used, numbers, wanted, places.faults, workers)
    if against is None:
        report.run(models, calls, None)
    else:
        with former_folder(places, against) as folder:
            report.run(models, calls, Comparison(former_models(folder, against), models, _looked_at))
    report.print(as_json)
    if problems or (report.totals["first"] is not None and report.totals["first"] < floor):
        raise SystemExit(1)


def _looked_at(models: Models, call: WorkedCall) -> CallOutcome:
    return _outcome(score(models, call))


def _outcome(item: Score) -> CallOutcome:
    papers = cautions_of_papers(item.run.session, _UNDATED, item.run.ended)
    return outcome_of_score(item, {str(reader): cautions for reader, cautions in papers.items()})


@dataclass
class _Report:
    """What the calls came to, and beside it what moved where there is something to hold it against."""

    used: KnowledgeUsed
    numbers: NumbersShown
    wanted: _Wanted
    faults: Path | None
    workers: int
    scores: list[Score] = field(default_factory=list)
    moved: dict[int, Moved] = field(default_factory=dict)
    totals: dict[str, Any] = field(default_factory=dict)
    against: Comparison | None = None
    untouched: int = 0

    def run(self, models: Models, calls: Sequence[WorkedCall], against: Comparison | None) -> None:
        """Run the calls that are wanted."""
        begun, progress, self.against = time.perf_counter(), Progress(), against
        calls = [call for call in calls if self.wanted.tree in (None, call.complaint)]
        if against is not None:
            self.untouched = sum(not against.may_touch(call) for call in calls)
            calls = [call for call in calls if not self.wanted.changed or against.may_touch(call)]
        for number, scored in enumerate(scores_of(models, calls, self.faults, self.workers)):
            progress.tell(say("trying.progress", number=number + 1, count=len(calls)))
            self.scores.append(scored)
            call = scored.call
            if against is not None and (moved := against.moved(call, _outcome(self.scores[-1]))) is not None:
                self.moved[number] = moved
        progress.end()
        self.totals = {**totals_of(self.scores), "seconds": round(time.perf_counter() - begun, 3)}

    def told(self) -> Iterator[Score]:
        """The calls that are told of."""
        return (item for k, item in enumerate(self.scores) if self.wanted.tells(item, k in self.moved))

    def print(self, as_json: bool) -> None:
        """Print it."""
        if as_json:
            click.echo(json.dumps(self._data(), ensure_ascii=False).encode())
            return
        moved = worst_first([one for k, one in self.moved.items() if self.wanted.tells(self.scores[k], True)])
        if self.against is None:
            _print(list(self.told()), self.numbers)
        else:
            for one in moved:
                _echo("\n".join(moved_lines(one, self.numbers)))
        click.echo()
        _echo(self.used.line())
        if self.against is not None:
            for line in head_lines(moved, len(self.against.edits), len(self.scores), self.untouched):
                _echo(line)
        if self.totals["first"] is not None:
            shares = {name: f"{self.totals[name]:.1%}" for name in ("first", "exact", "top3")}
            _echo(say("trying.shares", calls=self.totals["calls"], **shares))
        if self.scores:
            asked, minutes = figure(self.totals["median_asked"]), f"{self.totals['mean_minutes']:.0f}"
            seconds = figure(self.totals["seconds"], ".1f")
            _echo(say("trying.effort", asked=asked, minutes=minutes, seconds=seconds))

    def _data(self) -> dict[str, Any]:
        knowledge = self.used
        told = [
            {
                **call_as_json(item, item.run.session.knowledge),
                "because": because_json(because(item), self.numbers),
            }
            for item in self.told()
        ]
        data: dict[str, Any] = {"knowledge": vars(knowledge), "calls": told, "totals": self.totals}
        if self.against is not None:
            data["against"] = {
                "fingerprint": self.against.old.knowledge.fingerprint,
                "edits": [edit_json(edit, self.numbers) for edit in self.against.edits],
                "moved": [moved_json(one, self.numbers) for one in worst_first([*self.moved.values()])],
                "untouched": self.untouched,
            }
        return data


def _print(scores: Sequence[Score], numbers: NumbersShown) -> None:
    for item in scores:
        _echo(_line(item))
        if (why := because(item)) is not None:
            _echo("\n".join(_INDENT + line for line in because_lines(item, why, numbers)))


def _echo(text: str) -> None:
    click.echo(folded(text, sys.stdout, rest="    "))
