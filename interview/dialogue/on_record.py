"""A pool that is on record: found by what is said of its owner, and what it says taken and not asked again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.foundation.texts import say
from engine.session.journal import RECORDED
from interview.dialogue.history import name_of, value_words
from interview.dialogue.phrasing import short_name
from interview.dialogue.state import DialogueState, RecordsError
from interview.messages import Choice, Question
from reports.phrases import day_in_words

if TYPE_CHECKING:
    from engine.store.known import KnownAnswer, KnownJob, KnownPool

RECORD = "record"
"""What an answer is by that was taken from a pool's record."""
NONE_OF_THESE = "none"
_MOST_OFFERED = 8
_TEXTS = (("customer", "name"), ("telephone", "telephone"), ("site", "site"), ("serial", "serial"))


def found_on_record(talk: DialogueState, words: str) -> tuple[KnownPool, ...]:
    """The pools that words are of; none, and a line, where they cannot be looked up."""
    try:
        return tuple(talk.records.find(words))[:_MOST_OFFERED]
    except RecordsError as error:
        talk.front.tell(say("on_record.away", why=str(error)))
        return ()


def which_pool(words: str, found: tuple[KnownPool, ...]) -> Question:
    """Ask which of several pools is meant; a choice's id is its number as the screen shows it."""
    choices = tuple(Choice(str(number), _called(known)) for number, known in enumerate(found, start=1))
    none = Choice(NONE_OF_THESE, say("heeding.none_of_these"))
    return Question("set_up", "pool", say("on_record.which", said=words), (*choices, none), harmless=True)


def take_record(talk: DialogueState, known: KnownPool) -> None:
    """Note whose pool it is, and take what stays as it was or only grew older; what was said already stands."""
    before = len(talk.session.events)
    pool = known.pool
    for about, value in (("pool", pool.pool), ("person", pool.person), *((a, getattr(pool, n)) for a, n in _TEXTS)):
        if value:
            talk.record(RECORDED, about, value)
    job = talk.session.job
    if known.unit is not None and job.unit is None:
        talk.record("answered", "unit", known.unit, by=RECORD, beside=True)
    taken = [answer for answer in known.remembered if not job.settled(answer.check)]
    for answer in taken:
        talk.record("answered", answer.check, answer.value, by=RECORD, beside=True)
    talk.together = len(talk.session.events) - before
    talk.earlier = {answer.check: answer for answer in known.earlier}
    talk.front.tell(say("on_record.taken", pool=_called(known)))
    if known.jobs:
        talk.front.tell(say("on_record.jobs", jobs="; ".join(_job(talk, job) for job in known.jobs)))
    if taken:
        told = "; ".join(_told(talk, answer) for answer in taken)
        talk.front.tell(say("on_record.not_asked", told=told))


def last_time(talk: DialogueState, about: str) -> tuple[str, ...]:
    """What was read here before, for the question that asks it again."""
    answer = talk.earlier.get(about)
    if answer is None:
        return ()
    return (
        say("on_record.last_time", value=value_words(talk.session, about, answer.value), day=day_in_words(answer.day)),
    )


def _called(known: KnownPool) -> str:
    pool = known.pool
    told = ", ".join(part for part in (pool.name, pool.site, pool.telephone) if part)
    return say("on_record.called", pool=told, day=day_in_words(pool.latest))


def _job(talk: DialogueState, job: KnownJob) -> str:
    """An earlier job in a few words: what the trouble was, and what it turned out to be or else what was decided."""
    knowledge = talk.session.knowledge
    tree = knowledge.trees.get(job.complaint)
    trouble = tree.names[0] if tree is not None and tree.names else job.complaint.replace("-", " ")
    causes = [short_name(knowledge, (cause,)) for cause in job.causes if cause in knowledge.causes]
    came_to = " + ".join(causes) or job.decision.replace("_", " ") or say("on_record.still_open")
    return say("on_record.job", day=day_in_words(job.day), trouble=trouble, came_to=came_to)


def _told(talk: DialogueState, answer: KnownAnswer) -> str:
    value = value_words(talk.session, answer.check, answer.value)
    return say("on_record.one", name=name_of(talk.session, answer.check), value=value, day=day_in_words(answer.day))
