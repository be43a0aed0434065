"""Random interviews to their end, and all interviews to a depth, each under the laws of safety."""

from __future__ import annotations

import random
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import copy
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from itertools import groupby

from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager, Ending
from interview.messages import Control, Question, Reply
from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.plain_knowledge import FAULTS
from tests.benchmarks.safety_laws import LAWS
from tests.benchmarks.safety_people import Anybody, AnySheet, Piped, Typed, Watched
from tests.benchmarks.safety_strategy import Chance
from tests.benchmarks.safety_watch import BrokenError, Law, Watch
from tests.interview.people import clock

AT = "2026-05-04T09:30:00Z"
MOST_QUESTIONS = 300
"""An interview with more than these has no end; the longest that ended had some 250."""
ROLES = ("counter", "phone", "field", "field")
UNITS = ("default", "number_display", "tells_little")
TREES = tuple(sorted(path.stem for path in (FAULTS / "trees").glob("*.yaml")))
MOST_REPLIES = 60
"""So many of the replies before a breach are shown."""
FRONTS = (Watched,) * 17 + (Typed,) * 2 + (Piped,)
A_LANGUAGE = 50
"""So many seeds in a row are of one language, as changing it takes time."""
ENDS, NO_EXCEPTION = "every_interview_ends", "no_exception"


@dataclass
class Found:
    """What a search met: how often each law was tested and each hazard reached, and the first breaches."""

    interviews: int = 0
    questions: int = 0
    tested: Counter[str] = field(default_factory=Counter)
    hazards: Counter[str] = field(default_factory=Counter)
    broken: list[Breach] = field(default_factory=list)

    def add(self, other: Found) -> None:
        """Bring in what another part of the search met."""
        self.interviews += other.interviews
        self.questions += other.questions
        self.tested.update(other.tested)
        self.hazards.update(other.hazards)
        self.broken += other.broken

    def unreached(self, laws: Sequence[Law] = LAWS) -> list[str]:
        """Laws that were never put to the test, and hazards that nothing brought."""
        wanted = [law.__name__ for law in laws]
        hazards = sorted({hazard for act in plain.acts().values() for hazard in act.brings})
        return [n for n in wanted if not self.tested[n]] + [h for h in hazards if not self.hazards[h]]


@dataclass(frozen=True)
class Breach:
    """A law that was broken, and how to see it again."""

    law: str
    what: str
    where: str
    replies: tuple[str, ...]

    def __str__(self) -> str:
        left = len(self.replies) - MOST_REPLIES
        told = (f"(and {left} before)", *self.replies[left:]) if left > 0 else self.replies
        steps = "\n".join(f"    {reply}" for reply in told)
        return f"{self.what}\n  {self.where}\n{steps}"


@cache
def _models(language: str) -> Models:
    return Models(load_knowledge(files("faults"), language))


@contextmanager
def speaking(language: str) -> Iterator[Models]:
    """The shipped knowledge in a language, which is spoken meanwhile."""
    use_language(language)
    try:
        yield _models(language)
    finally:
        use_language("en")


def language_of(seed: int) -> str:
    """The language of this seed's interview: Spanish in one of four."""
    return "es" if seed // A_LANGUAGE % 4 == 3 else "en"


def random_interviews(seeds: Sequence[int]) -> Found:
    """An interview for each seed."""
    found = Found()
    for language, some in groupby(seeds, language_of):
        with speaking(language) as models:
            for seed in some:
                found.add(random_interview(seed, models))
    return found


def random_interview(seed: int, models: Models, laws: Sequence[Law] = LAWS) -> Found:
    """One interview with somebody who replies at random, through up to four visits, to its end."""
    rng = random.Random(seed)
    Chance.salt = seed + 1 if rng.random() < 0.9 else 0
    watch = Watch(laws)
    start = _start(rng)
    where = f"seed {seed}: {language_of(seed)}, {start}"
    for about, value in start:
        watch.write(Event("answered", AT, about=about, value=value))
    broken: list[Breach] = []
    try:
        _visits(rng, watch, models, language_of(seed))
    except BrokenError as error:
        broken = [Breach(error.law, str(error), where, tuple(watch.replies))]
    except Exception:
        broken = [Breach(NO_EXCEPTION, traceback.format_exc(), where, tuple(watch.replies))]
    finally:
        Chance.salt = 0
    watch.tested.update((ENDS, NO_EXCEPTION))
    return Found(1, watch.questions, watch.tested, watch.hazards, broken)


def _start(rng: random.Random) -> list[tuple[str, str]]:
    """What was said before the first question: mostly the start, so that the tree is met; sometimes nothing."""
    said = [("role", rng.choice(ROLES)), ("danger_now", "none"), ("unit", rng.choice(UNITS))]
    said.append(("complaint", rng.choice(TREES)))
    return said if rng.random() < 0.8 else said[: rng.choice((0, 1))]


def _visits(rng: random.Random, watch: Watch, models: Models, language: str) -> None:
    ways, patience = rng.choice(FRONTS), rng.choice((5, 15, 30, 60))
    for visit in range(4):
        watch.begin_visit()
        session = Session(models, watch.events)
        talk: list[DialogueManager] = []
        person = Anybody(rng, patience if visit < 3 else 0, language)
        # A program that has read the sheet of a job with something waiting never closes it; a person does at last.
        front = (ways if visit < 3 else Watched)(watch, person, lambda held=talk: held[0].wanted)  # type: ignore[misc]
        talk.append(DialogueManager(session, front, watch, clock, AnySheet))
        if _to_its_end(talk[0], watch).closed:
            return
    raise BrokenError(ENDS, "nobody who closes it can")


def _to_its_end(talk: DialogueManager, watch: Watch) -> Ending:
    begun = watch.questions
    while watch.questions - begun < MOST_QUESTIONS:
        if (ending := talk.step()) is not None:
            return ending
    raise BrokenError(ENDS, f"{MOST_QUESTIONS} questions in one visit")


# --- all interviews to a depth ------------------------------------------------------------------------------------


class _Paused(Exception):  # noqa: N818
    """The replies are used up, and this question stands."""

    def __init__(self, question: Question) -> None:
        super().__init__()
        self.question = question


@dataclass(frozen=True)
class _Stand:
    """Where an interview may stand: what came before the step at hand, and the replies within it."""

    watch: Watch
    carried: Mapping[str, object]
    minded: dict[str, set[str]]
    within: tuple[Reply, ...]
    question: Question
    key: str


def exhaustive(models: Models, start: Sequence[tuple[str, str]], depth: int) -> tuple[Found, int]:
    """Every interview from a start with the replies of `alphabet`, breadth first; and the states that were met."""
    watch = Watch(LAWS)
    for about, value in start:
        watch.write(Event("answered", AT, about=about, value=value))
    found, seen = Found(), set[str]()
    edge = _next(models, watch, {}, {}, (), found, str(start))
    for _ in range(depth):
        further: list[_Stand] = []
        for stand in edge:
            for reply in alphabet(stand.question):
                replies = (*stand.within, reply)
                further += _next(models, stand.watch, stand.carried, stand.minded, replies, found, str(start))
        edge = []
        for stand in further:
            if stand.key not in seen:
                seen.add(stand.key)
                edge.append(stand)
    return found, len(seen)


def alphabet(question: Question) -> list[Reply]:
    """Few replies that stand for all: usual and most striking, those of note for safety, and all that is none."""
    from interview.messages import Deferred, Given, Request, Unable

    if question.measure is not None:
        low, high = question.measure.possible
        given: list[Reply] = [Given(low), Given(high)]
    elif question.kind == "ask":
        check = plain.checks()[question.about]
        ids = [choice.id for choice in question.choices]
        given = [
            Given(i) for n, i in enumerate(ids) if n in (0, len(ids) - 1) or i in check.keeps_off | {*check.reports}
        ]
    else:
        given = [Given(choice.id) for choice in question.choices if not choice.needs_reason]
    others: list[Reply] = [Control.BACK, Control.FINISH, Control.LEAVE, Request("say", "tingle")]
    others += [Control.UNKNOWN] * bool(question.unknown)
    others += [Unable("seized")] * question.may_fail + [Deferred("")] * question.may_wait
    return given + others


def _next(
    models: Models,
    before: Watch,
    carried: Mapping[str, object],
    minded: dict[str, set[str]],
    within: tuple[Reply, ...],
    found: Found,
    where: str,
) -> list[_Stand]:
    """Where the interview stands after these replies; nowhere where it has ended, or a law was broken."""
    watch = before.fork()
    replies = list(within)
    talk: list[DialogueManager] = []

    def policy(question: Question) -> Reply:
        if not replies:
            raise _Paused(question)
        return replies.pop(0)

    def held(noted: Watch, first: Mapping[str, object], told: dict[str, set[str]], visit: bool) -> None:
        if visit:
            noted.begin_visit()
        front = Watched(noted, policy, lambda: talk[0].wanted)
        manager = DialogueManager(Session(models, noted.events), front, noted, clock, AnySheet)
        if not visit:
            manager._taken_up = True
            _give_back(manager, first)
            manager._minded = {about: set(ids) for about, ids in told.items()}
        talk[:] = [manager]

    held(watch, carried, minded, visit=False)
    base, rest = (before, carried, minded), within
    try:
        while True:
            ending = talk[0].step()
            if ending is not None and (ending.closed or replies):
                return []
            if ending is not None:
                held(watch, {}, {}, visit=True)
            kept = {about: set(ids) for about, ids in talk[0]._minded.items()}
            base, rest = (watch.fork(), _carried(talk[0]), kept), tuple(replies)
    except _Paused as paused:
        return [_Stand(*base, rest, paused.question, _key(talk[0], watch, paused.question))]
    except BrokenError as error:
        found.broken.append(Breach(error.law, str(error), where, tuple(watch.replies)))
    except Exception:
        found.broken.append(Breach(NO_EXCEPTION, traceback.format_exc(), where, tuple(watch.replies)))
    finally:
        found.interviews += 1
        found.questions += watch.questions - before.questions
        found.tested.update(watch.tested - before.tested)
        found.hazards.update(watch.hazards - before.hazards)
    return []


def _give_back(talk: DialogueManager, carried: Mapping[str, object]) -> None:
    """A conversation taken up as it was left."""
    for name, value in carried.items():
        setattr(talk._talk, name, copy(value))


def _carried(talk: DialogueManager) -> dict[str, object]:
    """What a conversation holds beside its events from one question to the next."""
    names = ("wanted", "wanted_at", "again", "together", "trouble_asked")
    return {name: copy(getattr(talk._talk, name)) for name in names}


def _key(talk: DialogueManager, watch: Watch, question: Question) -> str:
    """The job as it is, what the person minds and wants, and what is next; not how it came to be so."""
    job = talk.session.job
    said = sorted((name, answered.reading.value) for name, answered in job.answers.items())
    flags: list[object] = [
        job.role,
        job.plant,
        job.left_as,
        sorted(job.mended),
        sorted(job.unknown),
        sorted(job.cannot),
    ]
    flags += [sorted(job.barred), job.repaired, job.verified, job.awaiting, sorted(job.waiting), job.danger_said]
    reports = [(r.danger, bool(r.made_safe), bool(r.cleared)) for r in job.reports]
    minded = sorted((about, sorted(ids)) for about, ids in talk._minded.items())
    stands = (
        talk.session.walk.state,
        question.kind,
        question.about,
        len(question.choices),
        talk.wanted,
        talk._talk.again,
        minded,
    )
    return repr((said, flags, reports, stands, watch.stands()))
