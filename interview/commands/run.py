"""Joins knowledge, kept job, front end and conversation into one run, and turns how it ended into an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from engine.foundation.identity import new_uuid
from engine.foundation.problems import advice_for
from engine.foundation.texts import say
from engine.quantities.unit_systems import use_system
from engine.session.journal import PLANT, Event, Journal
from interview.command_line.context import BadInputError, Places, clock
from interview.command_line.filing_behind import FilingBehind
from interview.command_line.startup import LateModels, load, role_words
from interview.commands.call import Call
from interview.dialogue.opening import ask_role, first_question, first_words, role_question
from interview.messages import FrontEnd, Given, Note, Request
from interview.storage import jobs, settings
from interview.storage.jobs import stamp
from interview.storage.unfiled import marked
from interview.storage.who import at_work

if TYPE_CHECKING:
    from engine.session.models import Models
    from engine.session.session import Session
    from interview.command_line.output import RenderOptions
    from interview.command_line.shop_side import ShopSide


def has_terminal() -> bool:
    """Whether both sides are a terminal that can move its cursor."""
    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM") != "dumb"


def choose_front_end(pipe: bool) -> FrontEnd:
    """The front end for the streams of this process."""
    if hasattr(sys.stdin, "reconfigure"):
        # Bytes that are no text become question marks and no traceback.
        sys.stdin.reconfigure(errors="replace")
    # Late: each process has one front end.
    if pipe:
        from interview.frontends.json_lines import pipe_front_end

        return pipe_front_end()
    if has_terminal():
        from interview.frontends.terminal import terminal_front_end

        return terminal_front_end()
    from interview.frontends.plain import plain_front_end

    return plain_front_end()


def start(places: Places, said: Mapping[str, str], pipe: bool, wish: RenderOptions | None = None) -> int:
    """A new interview. `said` holds what is known of role, complaint and unit. Returns the exit code."""
    # A program answers with bare numbers, which must not mean something else because of somebody's choice.
    use_system("metric" if pipe else wish.wanted_units if wish is not None else settings.units_in_use())
    behind = FilingBehind(places, shop_side)
    late = LateModels(places.faults_folder, then=behind.file)
    if said or places.rule in ("option", "environment"):
        # Ids must be checked before anything is asked, and a folder that is being edited may hold mistakes. The one
        # that is settled was looked through when it was.
        refuse_unknown(late.get(), said)
    front = choose_front_end(pipe)
    journal = jobs.new_job(places.jobs_folder, clock())
    with _kept(places, journal, behind):
        # The knowledge is named later, once it is loaded; whatever is said meanwhile is on disk at once.
        journal.write(Event("opened", stamp(clock), about=new_uuid(), value=journal.job, by=at_work()))
        answers, first = dict(said), None
        usual = "" if pipe else settings.role_picked()
        if not pipe:
            front.tell(first_words(_from_home(journal.path)))
        if "role" not in said and (words := role_words(places.faults_folder)) is not None:
            question = role_question(words) if pipe else first_question(words, usual)
            match ask_role(front, question, late.start, lambda note: _keep_note(journal, note)):
                case None:
                    if jobs.holds_something(journal):
                        print(_resume_line(places, journal), file=sys.stderr)
                    return 0
                case Given(value):
                    answers["role"] = str(value)
                case Request() as request:
                    first = request
                case Note():
                    # It is kept; whether it tells of danger takes the knowledge.
                    pass
        for about, value in answers.items():
            journal.write(Event("answered", stamp(clock), about=about, value=value))
        call = Call(places, front, journal, wish, pipe, usual, remember="role" not in said)
        _converse(call, _opened(late.get(), journal), first)
    return 0


def resume(places: Places, job: str | None) -> int:
    """Go on with a kept job, by default the newest open one here. Returns the exit code."""
    use_system(settings.units_in_use())
    others = ""
    if job is None:
        newest, others = _newest(places)
        job = newest.id
    if not places.shares_store:
        return _resume_here(places, job, others)
    with shop_side(places).taken_up(job) as brought:
        return _resume_here(places, brought.name, others, brought.told)


def _resume_here(places: Places, job: str, others: str, told: Sequence[Event] = ()) -> int:
    """Go on with a job whose journal lies here.

    Args: `others`, what is told of other open ones; `told`, what was told of it at a desk elsewhere.
    """
    folder, behind = places.jobs_folder, FilingBehind(places, shop_side)
    kept = jobs.find(folder, job)
    journal, kept = jobs.open_again(folder, kept.id)
    kept = kept.with_told(told)
    with _kept(places, journal, behind):
        models = load(places.faults_folder)
        front = choose_front_end(pipe=False)
        taken = Event("resumed", stamp(clock), about=PLANT, by=at_work())
        journal.write(taken)
        session = jobs.taken_up(models, replace(kept, events=(*kept.events, taken)))
        about = session.tree.wording.for_role(session.job.role or "counter") if session.job.complaint else ""
        again = say("jobs.again", job=kept.id, count=kept.answers)
        front.tell(" ".join(part for part in (again, about, others) if part))
        for line in (*map(_closed_by, told), kept.spoilt_lines(), jobs.set_aside(session)):
            if line:
                front.tell(line)
        if not session.job.fingerprint:
            session = _opened(models, journal, told)
        elif session.job.fingerprint != models.knowledge.fingerprint:
            front.tell(say("jobs.changed"))
        behind.start()
        _converse(Call(places, front, journal), session)
    return 0


def _converse(call: Call, session: Session, first: Request | None = None) -> None:
    """Hold a conversation, and say how to come back to a job that was closed, or left open."""
    # Late: all that comes after the first question loads while it is read.
    from interview.commands.conversation import converse

    if converse(call, session, first):
        print(say("jobs.closed", command=call.places.command("sheet", call.journal.job)), file=sys.stderr)
    else:
        print(_resume_line(call.places, call.journal), file=sys.stderr)


def shop_side(places: Places) -> ShopSide:
    """The shop's store, for an interview and for what prints a job."""
    # Late: what it needs takes longer to import than a first question to stand.
    from interview.command_line.shop_side import ShopSide

    return ShopSide(places)


def refuse_unknown(models: Models, said: Mapping[str, str]) -> None:
    """Raises BadInputError where an option names an id that the knowledge does not have."""
    knowledge = models.knowledge
    known: dict[str, list[str]] = {
        "role": list(knowledge.roles),
        "unit": list(knowledge.units),
        "complaint": list(knowledge.trees),
    }
    for about, name in said.items():
        if name not in known[about]:
            raise BadInputError(
                say("jobs.unknown_option", option=f"--{about}", name=name, advice=advice_for(name, known[about]))
            )


def _closed_by(event: Event) -> str:
    """Who closed the job at a desk elsewhere, and when; empty for what else was told there."""
    if event.kind not in ("closed", "handed_on"):
        return ""
    return say("jobs.closed_by", who=event.by or "?", day=event.at[:10])


def _newest(places: Places) -> tuple[jobs.KeptJob, str]:
    folder = places.jobs_folder
    found = jobs.open_jobs(folder)
    if found and places.shares_store:
        found = shop_side(places).still_open(found)
    if not found:
        raise jobs.JobError(say("jobs.none_open", folder=folder))
    others = ", ".join(kept.id for kept in found[1:4])
    if not others:
        return found[0], ""
    left = len(found) - 4
    return found[0], say("jobs.also_more", jobs=others, left=left) if left > 0 else say("jobs.also", jobs=others)


def _opened(models: Models, journal: Journal, told: Sequence[Event] = ()) -> Session:
    """The session of a job that has only begun; from here on its journal names the knowledge it is asked with."""
    event = Event("opened", stamp(clock), value=journal.job, text=models.knowledge.fingerprint)
    journal.write(event)
    return jobs.taken_up(models, jobs.read_job(journal.path.parent, journal.job).with_told(told))


def _keep_note(journal: Journal, note: str) -> None:
    journal.write(Event("noted", stamp(clock), text=note))


def _from_home(path: Path) -> str:
    """A path as people write it, `~` for their home."""
    with suppress(RuntimeError, ValueError):
        return str(Path("~") / path.relative_to(Path.home()))
    return str(path)


def _resume_line(places: Places, journal: Journal) -> str:
    return say("jobs.kept", command=places.command("resume", journal.job))


@contextmanager
def _kept(places: Places, journal: Journal, behind: FilingBehind) -> Iterator[None]:
    """Close the journal at the end, whatever happens; where the person broke off, say how to go on.

    Else what was said here, and what waited before, goes into the shop's store: all of it is on disk already.
    """
    try:
        yield
    except KeyboardInterrupt:
        if jobs.holds_something(journal):
            print(f"\n{_resume_line(places, journal)}", file=sys.stderr)
        raise
    finally:
        jobs.drop_if_empty(journal)
    if places.store_address and marked(places.jobs_folder):
        shop_side(places).file_away(behind.told())
