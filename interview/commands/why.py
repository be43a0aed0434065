"""`brinecall why`: why one worked call comes out as it does, number by number, and what would turn it."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import Score, score
from engine.foundation.texts import say
from engine.inference.belief import decibans
from engine.knowledge.model import SOMETHING_ELSE
from engine.proving.numbers import behind, share_of
from engine.proving.reasons import Unasked, band_of, because, place_of, said_by, untold_facts
from engine.proving.turning import AlsoTurned, Turn, beside, may_be_touched, moved, smallest_turn
from engine.session.models import Models
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.proof_lines import (
    NumbersShown,
    because_json,
    because_lines,
    named,
    unasked_json,
    unasked_line,
)
from interview.command_line.startup import load
from interview.command_line.worked_calls import (
    KnowledgeUsed,
    Progress,
    calls_of,
    kept_calls,
    knowledge_used,
    really_at,
    tell_problems,
    warn_of_elsewhere,
    warn_of_faults_here,
)

_LEADING = 3
"""So many causes are told of, beside the true ones."""
_NAMES_SHOWN = 5


@click.command("why", cls=SaidCommand)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--call", "wanted", cls=SaidOption, metavar="NUMBER|WORDS", default="1")
@click.option("--with", "others", cls=SaidOption, multiple=True, type=click.Path(path_type=Path), metavar="FILE")
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def why_command(ctx: click.Context, /, file: Path, wanted: str, others: tuple[Path, ...], as_json: bool) -> None:
    """Tell why one call comes out as it does; the help that is shown stands in the words."""
    places = places_of(ctx)
    models = load(places.faults_folder)
    numbers = NumbersShown(models.knowledge, places.faults_folder)
    warn_of_elsewhere([file], places)
    warn_of_faults_here(places)
    calls, problems = calls_of([file], models.knowledge)
    tell_problems(problems)
    if problems:
        raise SystemExit(2)
    item = score(models, _chosen(calls, wanted, file))
    turn = smallest_turn(models, item) if item.first is not None and item.run.session.job.danger is None else None
    found = None
    if turn is not None:
        found = beside(models, turn, item, _others(models, turn, [file, *(others or kept_calls(places))]))
    used = knowledge_used(places.faults_folder, models.knowledge)
    if as_json:
        print(json.dumps(_as_json(item, used, turn, found, numbers), ensure_ascii=False, indent=2))
        return
    for line in (used.line(), *_lines(item, numbers), *_turn_lines(item, turn, found, numbers)):
        click.echo(folded(line, sys.stdout, rest="    "))


def _chosen(calls: Sequence[WorkedCall], wanted: str, file: Path) -> WorkedCall:
    """The call of this number, or the one whose name holds these words. Raises BadInputError where there is none."""
    if wanted.isdigit() and 1 <= int(wanted) <= len(calls):
        return calls[int(wanted) - 1]
    found = [call for call in calls if wanted.casefold() in call.name.casefold()]
    if len(found) != 1:
        raise BadInputError(say("why.no_call", file=file, wanted=wanted, count=len(calls), found=len(found)))
    return found[0]


def _others(models: Models, turn: Turn, files: Sequence[Path]) -> list[Score]:
    """The other calls that a change can touch, scored as they are."""
    calls, _ = calls_of(list(dict.fromkeys(map(really_at, files))), models.knowledge)
    may, progress = may_be_touched(models.knowledge, turn), Progress()
    near = [call for call in calls if call.causes is not None and may(call)]
    found = []
    for number, call in enumerate(near, start=1):
        progress.tell(say("trying.progress", number=number, count=len(near)))
        found.append(score(models, call))
    progress.end()
    return found


def _told_of(item: Score) -> list[str]:
    """The causes that are told of: the leading ones, then the true ones."""
    leading = [cause for cause, _ in item.causes[:_LEADING]]
    return [*leading, *(cause for cause in item.expected if cause not in (*leading, SOMETHING_ELSE))]


def _speaking(item: Score, cause: str) -> list[dict[str, Any]]:
    """What speaks for and against a cause: each answer in decibans with the number behind it, the heaviest first."""
    session = item.run.session
    weights = decibans(session.model, session.evidence, cause)
    found = {one.id: one for one in session.evidence}
    return [
        {
            "about": name,
            "answer": said_by(session, found[name]),
            "decibans": weight,
            "number": behind(
                session.knowledge, session.tree, cause, name, band_of(session.knowledge, found[name])
            ),
        }
        for name, weight in sorted(weights.items(), key=lambda pair: -abs(pair[1]))
    ]  # fmt: skip


def _facts(item: Score) -> list[Unasked]:
    """What the call knows and nobody asked, by what it would tell of what is true, else of what is named."""
    model = item.run.session.model
    one = place_of(model, item.call.causes) if item.call.causes is not None else None
    first = place_of(model, item.named)
    assert first is not None
    if one is None or one == first:
        second = place_of(model, item.ranked[1][0])
        assert second is not None
        return untold_facts(item, first, second)
    return untold_facts(item, one, first)


def _lines(item: Score, numbers: NumbersShown) -> Iterator[str]:
    session = item.run.session
    asked = len(session.job.asked)
    yield say("why.call", call=item.call.name, causes=named(item.named), share=f"{item.ranked[0][1]:.0%}", asked=asked)
    if item.expected:
        yield say("why.really", causes=" + ".join(item.expected))
    believed = dict(item.causes)
    for cause in _told_of(item):
        if cause not in session.tree.singles:
            yield say("trying.not_in_tree", causes=cause)
            continue
        share = numbers.text(share_of(session.tree, (cause,), SOMETHING_ELSE))
        yield say("why.cause", cause=cause, believed=f"{believed[cause]:.1%}", share=share)
        for one in _speaking(item, cause):
            fields = {"decibans": f"{one['decibans']:+.1f}", "number": numbers.text(one["number"])}
            yield "  " + say("why.answer", finding=f"{one['about']} = {one['answer']}", **fields)
    if (why := because(item)) is not None:
        yield say("why.between")
        yield from ("  " + line for line in because_lines(item, why, numbers))
    if session.job.danger is None and (facts := _facts(item)):
        yield say("why.not_asked")
        yield from ("  " + unasked_line(one, item.call.role) for one in facts)


def _turn_lines(item: Score, turn: Turn | None, found: AlsoTurned | None, numbers: NumbersShown) -> Iterator[str]:
    if item.first is None or item.run.session.job.danger is not None:
        return
    if turn is None or found is None:
        yield say("why.no_turn")
        return
    fields = {"number": turn.number.shown(), "place": numbers.place(turn.number), "first": named(turn.first)}
    scale, distance = turn.number.scale, f"{abs(moved(turn.number, turn.now, turn.then)):.0f}"
    yield say("why.turn", now=f"{turn.now * scale:.4g}", then=f"{turn.then * scale:.4g}", decibans=distance, **fields)
    if not turn.confirmed:
        yield "  " + say("why.unconfirmed")
    yield "  " + say("why.beside", touched=found.touched, wrong=len(found.wrong), right=len(found.right))
    for name in found.wrong[:_NAMES_SHOWN]:
        yield "    " + say("why.turns_wrong", call=name)


def _as_json(
    item: Score, used: KnowledgeUsed, turn: Turn | None, found: AlsoTurned | None, numbers: NumbersShown
) -> dict[str, Any]:
    session, believed = item.run.session, dict(item.causes)
    causes = [
        {
            "cause": cause,
            "probability": believed[cause],
            "share": numbers.as_json(share_of(session.tree, (cause,), SOMETHING_ELSE)),
            "answers": [{**one, "number": numbers.as_json(one["number"])} for one in _speaking(item, cause)],
        }
        for cause in _told_of(item)
        if cause in session.tree.singles
    ]
    turned = None
    if turn is not None and found is not None:
        turned = {
            **numbers.as_json(turn.number),
            "then": turn.then * turn.number.scale,
            "decibans": turn.decibans,
            "first": list(turn.first),
            "confirmed": turn.confirmed,
            "touched": found.touched,
            "wrong": list(found.wrong),
            "right": list(found.right),
        }
    return {
        "knowledge": vars(used),
        "call": item.call.name,
        "expected": item.expected,
        "named": list(item.named),
        "first": item.first,
        "causes": causes,
        "because": because_json(because(item), numbers),
        "not_asked": [] if session.job.danger is not None else [unasked_json(one) for one in _facts(item)],
        "turn": turned,
    }
