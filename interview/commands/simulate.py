"""`brinecall simulate`: pools drawn from the folder itself, interviewed, and what each is taken for."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from typing import cast

import click

from engine.foundation.texts import say
from engine.knowledge.model import ROLES, RoleId
from engine.proving.drawn import Drawing, DrawnPool, Simulated, TakenFor, simulated
from engine.quantities.quantity import figure
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidArgument, SaidCommand, SaidOption
from interview.command_line.many_pools import drawn_pools
from interview.command_line.proof_lines import named
from interview.command_line.startup import load
from interview.command_line.worked_calls import KnowledgeUsed, Progress, knowledge_used, warn_of_faults_here

_FAULTS_SHOWN, _OTHERS_SHOWN = 40, 3


def share_typed(_: click.Context, __: click.Parameter, value: str) -> float:
    """A share typed as `5%` or `0.05`, 0 to 1. Raises BadInputError for anything else."""
    text = value.strip()
    try:
        share = float(text.removesuffix("%").strip()) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        share = -1.0
    if not 0.0 <= share <= 1.0:
        raise BadInputError(say("simulating.no_rate", typed=text))
    return share


@click.command("simulate", cls=SaidCommand)
@click.argument("tree", metavar="TREE")
@click.argument("count", cls=SaidArgument, type=click.IntRange(1, 1_000_000), metavar="[POOLS]", default=200)
@click.option("--role", cls=SaidOption, type=click.Choice(ROLES))
@click.option("--misread", cls=SaidOption, callback=share_typed, default="0%", metavar="SHARE", show_default=True)
@click.option("--seed", cls=SaidOption, type=click.IntRange(0), default=1, show_default=True)
@click.option("--workers", cls=SaidOption, type=click.IntRange(1, 64), default=1, show_default=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def simulate_command(
    ctx: click.Context,
    /,
    tree: str,
    count: int,
    role: str | None,
    misread: float,
    seed: int,
    workers: int,
    as_json: bool,
) -> None:
    """Draw pools and interview them; the help that is shown stands in the words."""
    places = places_of(ctx)
    models = load(places.faults_folder)
    warn_of_faults_here(places)
    if tree not in models.knowledge.trees:
        raise BadInputError(say("learning.no_tree", tree=tree, known=", ".join(models.knowledge.trees)))
    drawing, progress = Drawing(tree, cast(RoleId | None, role), misread=misread, seed=seed), Progress()
    pools: list[DrawnPool] = []
    for pool in drawn_pools(models, drawing, count, places.faults, workers):
        pools.append(pool)
        progress.tell(say("simulating.progress", number=len(pools), count=count))
    progress.end()
    found, used = simulated(pools), knowledge_used(places.faults_folder, models.knowledge)
    if as_json:
        print(json.dumps({"knowledge": vars(used), "drawing": asdict(drawing), **asdict(found)}, ensure_ascii=False))
        return
    for line in _lines(found, used, drawing):
        click.echo(folded(line, sys.stdout, rest="    "))


def _lines(found: Simulated, used: KnowledgeUsed, drawing: Drawing) -> Iterator[str]:
    yield used.line()
    who = drawing.role or say("simulating.each_role")
    yield say(
        "simulating.head",
        pools=found.pools, tree=drawing.tree, who=who, seed=drawing.seed, misread=f"{drawing.misread:.0%}",
    )  # fmt: skip
    yield say("simulating.right", right=f"{found.right:.1%}", believed=f"{found.believed:.1%}")
    yield say(
        "simulating.effort",
        asked=figure(found.median_asked), minutes=f"{found.mean_minutes:.0f}", after=f"{found.mean_after:.0f}",
    )  # fmt: skip
    told = (say("simulating.decided", decision=name, share=f"{n / found.pools:.0%}") for name, n in found.decisions)
    yield say("simulating.decisions", decisions=", ".join(told))
    yield from (_taken_line(one) for one in found.by_fault[:_FAULTS_SHOWN])
    if len(found.by_fault) > _FAULTS_SHOWN:
        yield say("simulating.and_more", count=len(found.by_fault) - _FAULTS_SHOWN)


def _taken_line(one: TakenFor) -> str:
    others = (say("simulating.other", cause=named(cause), count=n) for cause, n in one.for_others[:_OTHERS_SHOWN])
    fields = {"cause": named(one.was), "drawn": one.drawn, "right": one.right}
    if not one.for_others:
        return say("simulating.always_right", **fields)
    return say("simulating.taken", others=", ".join(others), **fields)
