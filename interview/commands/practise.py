"""`brinecall practise`: the program plays a caller, a learner asks and decides, and both ways are held side by side."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import cast

import click
import numpy as np

from engine.evaluation.calls import WorkedCall
from engine.foundation.plain_text import without_accents
from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.knowledge.model import DANGER_CHECK, ROLES, SOMETHING_ELSE, Knowledge, RoleId, frozen
from engine.knowledge.required import DEFAULT_UNIT
from engine.proving.drawn import Drawing, answering
from engine.proving.practice import Ended, Practice, PutQuestion
from engine.session.models import Models
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, clock, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from interview.command_line.worked_calls import (
    calls_of,
    files_or_kept,
    tell_problems,
    warn_of_elsewhere,
    warn_of_faults_here,
)
from interview.commands.simulate import share_typed
from interview.commands.tell_apart import known_tree
from interview.dialogue.history import name_of, value_words
from interview.dialogue.phrasing import short_name
from interview.frontends.bounded_line import read_line
from interview.storage.jobs import JobError
from interview.storage.practice import keep_score, scores_of
from interview.storage.who import account
from interview.understanding.keywords import command_words
from interview.understanding.nearest import Index, SpokenOf, cautions_told, checks_meant
from interview.understanding.normalize import clean
from reports.sheets.choose import cautions_of_papers

_UNDATED = ""


class _Left(Exception):  # noqa: N818
    """The learner leaves."""


@click.command("practise", cls=SaidCommand)
@click.argument("file", required=False, type=click.Path(path_type=Path), metavar="[FILE]")
@click.option("--call", "number", cls=SaidOption, type=click.IntRange(1), default=None, metavar="NUMBER")
@click.option("--tree", cls=SaidOption, metavar="TREE")
@click.option("--role", cls=SaidOption, type=click.Choice(ROLES))
@click.option("--seed", cls=SaidOption, type=click.IntRange(0), default=None)
@click.option("--misread", cls=SaidOption, callback=share_typed, default="0%", metavar="SHARE", show_default=True)
@click.option("--learner", cls=SaidOption, metavar="NAME", default="")
@click.option("--scores", cls=SaidOption, is_flag=True)
@click.pass_context
def practise_command(
    ctx: click.Context,
    /,
    file: Path | None,
    number: int | None,
    tree: str | None,
    role: str | None,
    seed: int | None,
    misread: float,
    learner: str,
    scores: bool,
) -> None:
    """Play a caller to a learner; the help that is shown stands in the words."""
    who = learner.strip() or account()
    if scores:
        _tell_scores(who)
        return
    places = places_of(ctx)
    warn_of_faults_here(places)
    models = load(places.faults_folder)
    rng = np.random.default_rng(seed)
    if tree is not None:
        drawing = Drawing(known_tree(models, tree), cast(RoleId | None, role), misread=misread)
        practice, call = _drawn(models, drawing, rng)
    else:
        chosen = files_or_kept([] if file is None else [file], places)
        warn_of_elsewhere(chosen, places)
        calls, problems = calls_of(chosen, models.knowledge)
        tell_problems(problems)
        calls = [call for call in calls if role in (None, call.role)]
        if not calls or (number is not None and number > len(calls)):
            raise BadInputError(say("practising.no_call", count=len(calls)))
        call = calls[number - 1 if number is not None else int(rng.integers(len(calls)))]
        facts = call.facts
        practice = Practice(models, call, lambda _, check: facts.get(check))
    try:
        _play(practice, call, who)
    except _Left:
        _print(say("practising.left"))


def _drawn(models: Models, drawing: Drawing, rng: np.random.Generator) -> tuple[Practice, WorkedCall]:
    """A pool drawn from the folder itself, as somebody who calls."""
    model = models.tree(drawing.tree)
    place = int(rng.choice(len(model.prior), p=model.prior / model.prior.sum()))
    role = drawing.role or ROLES[int(rng.integers(len(ROLES)))]
    call = WorkedCall(
        say("practising.drawn"), role, drawing.tree, DEFAULT_UNIT, (), frozen({}), (), model.hypotheses[place]
    )
    return Practice(models, call, answering(models, drawing, rng, place)), call


def _play(practice: Practice, call: WorkedCall, who: str) -> None:
    """Let the learner ask until they decide; then tell how it went, and keep the score."""
    known = practice.session.knowledge
    _print(say("practising.begin", role=known.roles[call.role].wording.technician))
    _print(say("practising.caller", said=known.trees[call.complaint].wording.customer))
    for thing in call.brought:
        _print(say("practising.brought", thing=thing.replace("_", " ")))
    while True:
        typed = _asked(say("practising.prompt"), say("practising.help.ask"))
        if _is(typed, "decide"):
            break
        _put(practice, typed)
    causes = _meant(known, say("practising.what_is_wrong"), say("practising.help.wrong"), _causes_meant)
    repair = _meant(known, say("practising.what_is_done"), say("practising.help.done"), _repair_meant)
    warned = _asked(say("practising.what_of"), say("practising.help.warn"), may_be_empty=True)
    ended = practice.end([cause for cause in causes if cause != SOMETHING_ELSE], repair[0] if repair[0] else None)
    forgotten = _forgotten(known, ended, call.role, warned)
    for line in _report(practice, call, ended, forgotten):
        _print(line)
    _keep(who, call, ended, len(forgotten))


def _put(practice: Practice, typed: str) -> None:
    """Put to the caller what the learner asks, or say that it is not clear."""
    known, session = practice.session.knowledge, practice.session
    found = checks_meant(known, typed)
    if len(found) != 1:
        names = ", ".join(name_of(session, check) for check in found)
        _print(say("practising.several", names=names) if found else say("practising.not_understood"))
        return
    asked = practice.ask(found[0])
    check = known.checks[asked.check]
    name = name_of(session, asked.check)
    if asked.said is None and asked.why == "needs":
        _print(say("practising.cannot", name=name, needs=check.needs))
    elif asked.said is None:
        _print(say("practising.unknown", name=name))
    else:
        _print(say("practising.said", name=name, said=value_words(session, asked.check, asked.said)))


def _causes_meant(known: Knowledge, line: str) -> tuple[str, ...]:
    """The causes of a line, several parted by commas; empty where it is not clear."""
    entries = {
        c.id: SpokenOf((c.id, *c.names), (c.wording.customer, c.wording.technician)) for c in known.causes.values()
    }
    entries[SOMETHING_ELSE] = SpokenOf((SOMETHING_ELSE,), (say("asking.something_else"),))
    index = Index(known, entries)
    found = [index.meant(part) for part in line.split(",") if part.strip()]
    return tuple(each[0] for each in found) if found and all(len(each) == 1 for each in found) else ()


def _repair_meant(known: Knowledge, line: str) -> tuple[str, ...]:
    """The repair of a line; an empty one is handing on."""
    if _is(line, "hand_on"):
        return ("",)
    entries = {r.id: SpokenOf((r.id,), (r.wording.customer, r.wording.technician)) for r in known.repairs.values()}
    found = Index(known, entries).meant(line)
    return found if len(found) == 1 else ()


def _meant(
    known: Knowledge, question: str, helped: str, read: Callable[[Knowledge, str], tuple[str, ...]]
) -> tuple[str, ...]:
    """What is meant by an answer; asked again until it is clear."""
    while True:
        typed = _asked(question, helped)
        if found := read(known, typed):
            _print(say("practising.taken_as", meant=", ".join(one or say("practising.handed_on") for one in found)))
            return found
        _print(say("practising.not_clear"))


def _asked(question: str, helped: str, may_be_empty: bool = False) -> str:
    """What is typed at a prompt; `help` tells what may be typed. Raises _Left where the learner leaves."""
    while True:
        click.echo(question, nl=False)
        line = read_line(sys.stdin)
        if not line or _is(line, "leave"):
            if not line:
                click.echo()
            raise _Left
        if not sys.stdin.isatty():
            click.echo()
        typed = clean(line)
        if _is(typed, "help"):
            _print(helped)
        elif typed or may_be_empty:
            return typed


def _is(typed: str, command: str) -> bool:
    """Whether a line is one of the words for something: those of practice, else those of every question."""
    plain = without_accents(clean(typed)).rstrip(".!?")
    if command == "leave":
        return plain in command_words(command)
    return plain in {without_accents(word.strip()) for word in say(f"practising.typed.{command}").split(",")}


def _owed(ended: Ended, role: RoleId) -> list[str]:
    """The cautions that the paper of the one who does the work tells, the gravest first."""
    papers = cautions_of_papers(ended.program.session, _UNDATED, ended.program.ended)
    return papers["technician" if role == "field" else "customer"]


def _forgotten(known: Knowledge, ended: Ended, role: RoleId, warned: str) -> list[str]:
    owed = list(dict.fromkeys(_owed(ended, role)))
    texts: Mapping[str, Iterable[str]] = {
        name: (name, known.cautions[name].in_short.for_role(role), known.cautions[name].wording.for_role(role))
        for name in owed
        if name in known.cautions
    }
    told = cautions_told(texts, warned)
    return [name for name in texts if name not in told]


def _report(practice: Practice, call: WorkedCall, ended: Ended, forgotten: Sequence[str]) -> list[str]:
    known = practice.session.knowledge
    lines = [""]
    if call.causes is not None:
        mark = say("practising.right") if ended.right else say("practising.wrong")
        lines.append(say("practising.was", cause=short_name(known, call.causes), mark=mark))
    if ended.mends is False and ended.repair is not None:
        done = known.repairs[ended.repair].wording.technician.rstrip(".")
        lines.append(say("practising.does_not_mend", done=done))
    run = ended.program
    named = run.session.hypotheses()[0][0]
    own = run.decision.repair if run.decision is not None else None
    asked = len(run.session.job.asked)
    for who, count, minutes, after, repair in (
        ("you", len(practice.questions), ended.minutes, ended.after, ended.repair),
        ("program", asked, run.minutes, ended.program_after, own),
    ):
        done = say("practising.handed_on") if repair is None else known.repairs[repair].wording.technician
        spent = say("practising.spent", after=f"{after:.0f}") if after is not None else ""
        fields = {"done": done.rstrip("."), "spent": spent}
        lines.append(say(f"practising.{who}", asked=count, minutes=f"{minutes:.0f}", **fields))
    lines.append(say("practising.program_named", cause=short_name(known, named)))
    lines += [_worth_line(practice, question) for question in practice.questions]
    if ended.danger_unasked:
        said = value_words(practice.session, DANGER_CHECK, str(call.facts[DANGER_CHECK]))
        lines.append(say("practising.danger_unasked", said=said))
    lines += [
        say("practising.forgotten", caution=known.cautions[name].in_short.for_role(call.role)) for name in forgotten
    ]
    return lines


def _worth_line(practice: Practice, question: PutQuestion) -> str:
    name = name_of(practice.session, question.check)
    fields = {"name": name, "minutes": f"{question.minutes:.1f}"}
    if question.check == DANGER_CHECK:
        return say("practising.worth_danger", **fields)
    if question.best in ("", question.check):
        return say("practising.worth_best", worth=f"{question.worth:+.0f}", **fields)
    best = name_of(practice.session, question.best)
    return say(
        "practising.worth", worth=f"{question.worth:+.0f}", best=best, more=f"{question.best_worth:+.0f}", **fields
    )


def _keep(who: str, call: WorkedCall, ended: Ended, forgotten: int) -> None:
    score = {
        "at": clock().isoformat(timespec="seconds"), "learner": who, "call": call.name, "complaint": call.complaint,
        "role": call.role, "right": None if ended.right is None else ended.right and ended.mends is not False,
        "named": ended.right, "mends": ended.mends, "minutes": ended.minutes, "after": ended.after,
        "program_minutes": ended.program.minutes, "program_after": ended.program_after, "forgotten": forgotten,
    }  # fmt: skip
    try:
        _print(say("practising.kept", path=keep_score(score)))
    except (OSError, JobError) as error:
        _print(say("practising.not_kept", why=why_not(error) if isinstance(error, OSError) else str(error)))


def _tell_scores(who: str) -> None:
    found = scores_of(who)
    judged = [score for score in found if score.get("right") is not None]
    right = sum(bool(score["right"]) for score in judged)
    _print(say("practising.scores", learner=who, count=len(found), right=right, judged=len(judged)))
    for score in found[-20:]:
        marks = {"True": say("trying.marks.right"), "False": say("trying.marks.wrong")}
        own, program = (f"{float(score.get(name) or 0):.0f}" for name in ("minutes", "program_minutes"))
        fields = {"day": str(score.get("at", ""))[:10], "call": score.get("call"), "forgotten": score.get("forgotten")}
        mark = marks.get(str(score.get("right")), "")
        _print(say("practising.score", mark=mark, minutes=own, program=program, **fields))


def _print(text: str) -> None:
    click.echo(folded(text, sys.stdout))
