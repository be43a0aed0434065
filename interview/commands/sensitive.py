"""`brinecall sensitive`: the numbers of a tree on which most hangs, so that their sources are asked for first."""

from __future__ import annotations

import json
import sys
from typing import Any, cast

import click

from engine.foundation.texts import say
from engine.knowledge.model import ROLES, Knowledge, RoleId
from engine.proving.numbers import Number
from engine.proving.sensitive import Sensitive, answered_pools, sensitive
from interview.command_line.console import folded
from interview.command_line.context import places_of
from interview.command_line.help import SaidArgument, SaidCommand, SaidOption
from interview.command_line.proof_lines import NumbersShown
from interview.command_line.startup import load
from interview.command_line.worked_calls import Progress, knowledge_used, warn_of_faults_here
from interview.commands.tell_apart import known_tree


@click.command("sensitive", cls=SaidCommand)
@click.argument("tree", metavar="TREE")
@click.argument("count", cls=SaidArgument, type=click.IntRange(1, 100_000), metavar="[POOLS]", default=150)
@click.option("--role", cls=SaidOption, type=click.Choice(ROLES))
@click.option("--seed", cls=SaidOption, type=click.IntRange(0), default=1, show_default=True)
@click.option("--most", cls=SaidOption, type=click.IntRange(1), default=20, show_default=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def sensitive_command(
    ctx: click.Context, /, tree: str, count: int, role: str | None, seed: int, most: int, as_json: bool
) -> None:
    """Tell which numbers matter most; the help that is shown stands in the words."""
    folder = places_of(ctx).faults_folder
    warn_of_faults_here(places_of(ctx))
    models, progress = load(folder), Progress()
    tree = known_tree(models, tree)
    numbers = NumbersShown(models.knowledge, folder)
    pools = []
    for pool in answered_pools(models, tree, count, seed, cast(RoleId | None, role)):
        pools.append(pool)
        progress.tell(say("simulating.progress", number=len(pools), count=count))
    found = sensitive(models, tree, pools, lambda done, of: progress.tell(say("sensitive.progress", done=done, of=of)))
    progress.end()
    used = knowledge_used(folder, models.knowledge)
    if as_json:
        told = [_as_json(models.knowledge, one, numbers) for one in found]
        print(json.dumps({"knowledge": vars(used), "pools": len(pools), "numbers": told}, ensure_ascii=False))
        return
    lines = [used.line(), say("sensitive.head", pools=len(pools), tree=tree, seed=seed, found=len(found))]
    lines += [_line(models.knowledge, one, numbers) for one in found[:most]]
    for line in lines:
        click.echo(folded(line, sys.stdout, rest="    "))


def _line(knowledge: Knowledge, one: Sensitive, numbers: NumbersShown) -> str:
    how = say("sensitive.halved") if one.halving else say("sensitive.doubled")
    fields = {
        "name": one.number.shown(),
        "number": numbers.text(one.number),
        "source": source_of(knowledge, one.number),
    }
    return say("sensitive.line", lost=f"{one.lost:.2f}", moved=one.moved, how=how, **fields)


def source_of(knowledge: Knowledge, number: Number) -> str:
    """What the entry of a number says of where it comes from."""
    entries: Any = getattr(knowledge, f"{number.kind}s")
    return str(getattr(entries[number.entry], "source", ""))


def _as_json(knowledge: Knowledge, one: Sensitive, numbers: NumbersShown) -> dict[str, Any]:
    return {
        **numbers.as_json(one.number),
        "lost": one.lost,
        "moved": one.moved,
        "halving": one.halving,
        "source": source_of(knowledge, one.number),
    }
