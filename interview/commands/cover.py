"""`brinecall cover`: every check and finding, and what one cause says of it."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence

import click

from engine.foundation.problems import advice_for
from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from engine.knowledge.number_words import AS_USUAL
from engine.proving.covering import Covered, covered
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from interview.command_line.worked_calls import KnowledgeUsed, knowledge_used, warn_of_faults_here

_GROUPS = ("shows", "here", "likelier", "as_usual", "never")


@click.command("cover", cls=SaidCommand)
@click.argument("cause", metavar="CAUSE")
@click.option("--worksheet", cls=SaidOption, is_flag=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def cover_command(ctx: click.Context, /, cause: str, worksheet: bool, as_json: bool) -> None:
    """Tell what a cause says of every check; the help that is shown stands in the words."""
    folder = places_of(ctx).faults_folder
    warn_of_faults_here(places_of(ctx))
    knowledge = load(folder).knowledge
    found = covered(knowledge, known_cause(knowledge, cause))
    used = knowledge_used(folder, knowledge)
    if as_json:
        print(json.dumps({"knowledge": vars(used), "cause": cause, "items": [vars(one) for one in found]}))
        return
    lines = _worksheet(knowledge, found) if worksheet else _table(cause, found, used)
    for line in lines:
        click.echo(line if worksheet else folded(line, sys.stdout, rest="    "))


def known_cause(knowledge: Knowledge, typed: str) -> str:
    """The cause of this id. Raises BadInputError where there is none."""
    if typed not in knowledge.causes:
        raise BadInputError(say("covering.no_cause", typed=typed, advice=advice_for(typed, knowledge.causes, "cause")))
    return typed


def _table(cause: str, found: Sequence[Covered], used: KnowledgeUsed) -> Iterator[str]:
    yield used.line()
    for group in _GROUPS:
        items = [one for one in found if one.said == group]
        yield say(f"covering.{group}", cause=cause, count=len(items))
        if group == "never":
            yield from ("  " + say("covering.item", item=one.item, others=one.others) for one in items)
        elif items:
            yield "  " + ", ".join(one.item for one in items)


def _worksheet(knowledge: Knowledge, found: Sequence[Covered]) -> Iterator[str]:
    """What was never looked at as lines of YAML to go through, strike out and fill in; beside each what is usual."""
    yield "  # " + say("covering.fill_in")
    for one in found:
        if one.said == "never":
            usual = knowledge.observable(one.item).usual
            told = ", ".join(f"{answer} {100 * share:.3g}" for answer, share in usual.items())
            yield f"    {one.item}: {AS_USUAL}    # {told}"
