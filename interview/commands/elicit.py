"""`brinecall elicit`: what somebody says of twenty pools with a cause, what it implies, and into the file if wanted."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import click

from engine.evaluation.scoring import score
from engine.foundation.plain_text import without_accents
from engine.foundation.problems import advice_for, why_not
from engine.foundation.texts import said, say
from engine.knowledge.answers_written import with_answers
from engine.knowledge.files import contents_of
from engine.knowledge.loader import knowledge_from
from engine.knowledge.model import Knowledge
from engine.knowledge.overlay_file import lies_over
from engine.proving.comparing import Comparison, outcome_of_score, worst_first
from engine.proving.covering import covered
from engine.proving.eliciting import OUT_OF, Counted, implied, shares_of, with_said
from engine.proving.places import file_of_cause
from engine.session.models import Models
from interview.command_line.comparison_lines import head_lines, moved_lines
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, Places, clock, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.proof_lines import NumbersShown
from interview.command_line.startup import load
from interview.command_line.worked_calls import Progress, calls_of, kept_calls, warn_of_faults_here
from interview.commands.cover import known_cause
from interview.frontends.bounded_line import read_line
from interview.storage.atomic_write import write_whole
from interview.storage.who import account
from interview.understanding.counts import count_typed
from interview.understanding.keywords import command_words
from interview.understanding.normalize import clean

_ASKED = 5
_MOVED_SHOWN = 10


class _Left(Exception):  # noqa: N818
    """Whoever is asked leaves."""


@click.command("elicit", cls=SaidCommand)
@click.argument("cause", metavar="CAUSE")
@click.option("--check", "checks", cls=SaidOption, multiple=True, metavar="CHECK")
@click.option("--who", cls=SaidOption, metavar="NAME", default="")
@click.pass_context
def elicit_command(ctx: click.Context, /, cause: str, checks: tuple[str, ...], who: str) -> None:
    """Ask of twenty pools; the help that is shown stands in the words."""
    places = places_of(ctx)
    warn_of_faults_here(places)
    if lies_over(places.faults_folder):
        # Before anything is asked: what would be written stands in another folder than this one.
        raise BadInputError(say("eliciting.lies_over", folder=places.faults_folder))
    models = load(places.faults_folder)
    known = models.knowledge
    items = _wanted(known, known_cause(known, cause), checks)
    try:
        told = _told(known, cause, items)
        if not told:
            _print(say("eliciting.nothing"))
            return
        sure = _one_of("sure").replace("_", " ")
        source = _source(told, who.strip() or account(), sure)
        shares = {item: shares_of(known, item, answers) for item, answers in told.items()}
        for line in _implied(known, cause, shares):
            _print(line)
        _tell_moved(places, models, with_said(known, cause, shares))
        _print(say("eliciting.source", source=source))
        if places.faults is None:
            # What came with the program is nobody's to change.
            _print(say("entries.which"))
        elif _one_of("write") == "yes":
            _print(say("eliciting.written", place=_write(places, cause, shares, source)))
        else:
            _print(say("eliciting.not_written"))
    except _Left:
        _print(say("eliciting.left"))


def _wanted(known: Knowledge, cause: str, checks: Sequence[str]) -> list[str]:
    """The checks that are asked of: those named, else those never looked at that tell most of others."""
    for name in checks:
        if name not in known.checks and name not in known.findings:
            advice = advice_for(name, [*known.checks, *known.findings], "check")
            raise BadInputError(say("eliciting.no_check", typed=name, advice=advice))
        if name in known.causes[cause].likelier:
            raise BadInputError(say("eliciting.makes_likelier", check=name, cause=cause))
    return [*checks] or [one.item for one in covered(known, cause) if one.said == "never"][:_ASKED]


def _told(known: Knowledge, cause: str, items: Sequence[str]) -> dict[str, dict[str, Counted]]:
    """What is said of each check, by answer; what is left open keeps what is usual."""
    _print(say("eliciting.begin", cause=known.causes[cause].wording.technician.rstrip("."), of=OUT_OF))
    told: dict[str, dict[str, Counted]] = {}
    for item in items:
        observed = known.observable(item)
        _print(say("eliciting.check", check=item, words=observed.wording.technician))
        found: dict[str, Counted] = {}
        for answer in observed.answers:
            if answer.id not in observed.usual or sum(each.low for each in found.values()) >= OUT_OF:
                continue
            usual = f"{OUT_OF * observed.usual[answer.id]:.2g}"
            one = _count(say("eliciting.how_many", of=OUT_OF, answer=answer.wording.technician, usual=usual))
            if one is not None:
                found[answer.id] = one
        if sum(each.low for each in found.values()) > OUT_OF:
            _print(say("eliciting.too_many", of=OUT_OF))
        if found:
            told[item] = found
    return told


def _count(question: str) -> Counted | None:
    """How many of twenty; None where it is left open by an empty line."""
    while True:
        typed = _asked(question)
        if not typed:
            return None
        if (found := count_typed(typed)) is not None:
            return found
        _print(say("eliciting.no_count", of=OUT_OF))


def _one_of(what: str) -> str:
    """One of a few answers: how sure, or whether to write."""
    choices = said(f"eliciting.{what}.typed")
    while True:
        typed = without_accents(_asked(say(f"eliciting.{what}.question")))
        for name, words in choices.items():
            if typed and typed in {without_accents(word.strip()) for word in words.split(",")}:
                return name
        _print(say(f"eliciting.{what}.help"))


def _asked(question: str) -> str:
    """What is typed at a prompt. Raises _Left where whoever is asked leaves."""
    while True:
        click.echo(question, nl=False)
        line = read_line(sys.stdin)
        if not sys.stdin.isatty():
            click.echo()
        typed = clean(line)
        if not line or without_accents(typed) in command_words("leave"):
            raise _Left
        if without_accents(typed) not in said("eliciting.help_words").values():
            return typed
        _print(say("eliciting.help", of=OUT_OF))


def _source(told: Mapping[str, Mapping[str, Counted]], who: str, sure: str) -> str:
    """Who said what of twenty, when and how sure, in a line for the file."""
    parts = []
    for item, answers in told.items():
        parts.append(f"{item} {', '.join(f'{answer} {one.shown()}' for answer, one in answers.items())}")
    day = clock().date().isoformat()
    return say("eliciting.in_file", told="; ".join(parts), who=who, day=day, sure=sure, of=OUT_OF)


def _implied(known: Knowledge, cause: str, shares: Mapping[str, Mapping[str, float]]) -> Iterator[str]:
    for item, answers in shares.items():
        before = implied(known, item, known.causes[cause].shows.get(item, {}))
        after = implied(known, item, answers)
        moved = (f"{name} {before[name]:.0%} -> {share:.0%}" for name, share in after.items())
        yield say("eliciting.implied", check=item, answers=", ".join(moved))


def _tell_moved(places: Places, models: Models, new: Knowledge) -> None:
    """What it would do to the worked calls that the folder keeps."""
    calls, _ = calls_of(kept_calls(places), models.knowledge)
    changed, progress = Models(new), Progress()
    held = Comparison(models, changed, lambda made, call: outcome_of_score(score(made, call), {}))
    near = [call for call in calls if held.may_touch(call)]
    moved = []
    for number, call in enumerate(near, start=1):
        progress.tell(say("trying.progress", number=number, count=len(near)))
        found = held.moved(call, held.look(changed, call))
        moved += [] if found is None else [found]
    progress.end()
    numbers = NumbersShown(models.knowledge, places.faults_folder)
    for one in worst_first(moved)[:_MOVED_SHOWN]:
        _print("\n".join(moved_lines(one, numbers)))
    for line in head_lines(moved, len(held.edits), len(near), len(calls) - len(near)):
        _print(line)


def _write(places: Places, cause: str, shares: Mapping[str, Mapping[str, float]], source: str) -> str:
    """Write it into the file of the cause, where the folder is whole with it. Raises BadInputError, KnowledgeError."""
    folder = Path(str(places.faults_folder))
    contents, problems = contents_of(folder)
    name = file_of_cause(contents, cause)
    new = with_answers(name, contents[name], cause, shares, source)
    # Raises where a mistake would come in: then nothing is written.
    knowledge_from(str(folder), {**contents, name: new}, problems)
    try:
        write_whole(folder / name, new)
    except OSError as error:
        raise BadInputError(f"{folder / name}: {why_not(error)}") from error
    return str(folder / name)


def _print(text: str) -> None:
    click.echo(folded(text, sys.stdout))
