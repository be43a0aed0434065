"""`brinecall tell-apart`: the causes of a tree that nobody can tell apart, by role, and those never named first."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping, Sequence

import click

from engine.foundation.texts import say
from engine.knowledge.model import ROLES, RoleId
from engine.proving.telling_apart import Alike, NeverFirst, alike, never_first
from engine.session.models import Models
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.proof_lines import named
from interview.command_line.startup import load
from interview.command_line.worked_calls import knowledge_used, warn_of_faults_here

_SHOWN = 12


@click.command("tell-apart", cls=SaidCommand)
@click.argument("tree", metavar="TREE")
@click.option("--role", cls=SaidOption, type=click.Choice(ROLES))
@click.option("--all", "everything", cls=SaidOption, is_flag=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def tell_apart_command(ctx: click.Context, /, tree: str, role: str | None, everything: bool, as_json: bool) -> None:
    """Tell which causes nobody can tell apart; the help that is shown stands in the words."""
    folder = places_of(ctx).faults_folder
    warn_of_faults_here(places_of(ctx))
    models = load(folder)
    tree = known_tree(models, tree)
    roles = [models.knowledge.roles[name] for name in ROLES if role in (None, name)]
    found = {who.id: (alike(models, tree, who), never_first(models, tree, who)) for who in roles}
    used = knowledge_used(folder, models.knowledge)
    if as_json:
        told = {
            who: {"alike": [vars(one) for one in pairs], "never_first": [vars(one) for one in never]}
            for who, (pairs, never) in found.items()
        }
        print(json.dumps({"knowledge": vars(used), "tree": tree, "roles": told}, ensure_ascii=False))
        return
    for line in (used.line(), *_lines(tree, found, None if everything else _SHOWN)):
        click.echo(folded(line, sys.stdout, rest="    "))


def known_tree(models: Models, typed: str) -> str:
    """The tree of this id. Raises BadInputError where there is none."""
    if typed not in models.knowledge.trees:
        raise BadInputError(say("learning.no_tree", tree=typed, known=", ".join(models.knowledge.trees)))
    return typed


def _lines(
    tree: str, found: Mapping[RoleId, tuple[Sequence[Alike], Sequence[NeverFirst]]], most: int | None
) -> Iterator[str]:
    for role, (pairs, never) in found.items():
        matter = [one for one in pairs if not one.same_repair]
        yield say("telling_apart.role", role=role, tree=tree, count=len(pairs), matter=len(matter))
        yield from ("  " + _pair(one) for one in (matter if most is None else matter[:most]))
        if most is not None and len(matter) > most:
            yield "  " + say("telling_apart.and_more", count=len(matter) - most)
        for one in never:
            how = "proved" if one.proved else "not_found"
            yield "  " + say(f"telling_apart.never.{how}", cause=one.cause, behind=named(one.behind))


def _pair(one: Alike) -> str:
    fields = {"first": one.first, "second": one.second, "best": one.best, "decibans": f"{one.decibans:.1f}"}
    fields |= {"known": f"{one.known * 100:.0f}", "chance": f"{one.chance * 100:.0f}"}
    if one.chance:
        return say("telling_apart.seldom", **fields)
    if not one.would:
        return say("telling_apart.nothing", **fields)
    return say("telling_apart.pair", would=one.would, needs=one.needs, tells=f"{one.would_decibans:.1f}", **fields)
