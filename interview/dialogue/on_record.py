"""A pool that is on record: found by what is said of its owner, and what it says taken and not asked again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from engine.foundation.identity import new_uuid
from engine.foundation.texts import say
from engine.session.journal import RECORDED, Event, EventKind
from engine.session.taken_back import effective
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


def of_another(words: str) -> tuple[str, bool]:
    """Whose pool it is, and whether words behind it say that it is another one of theirs, not on record yet."""
    plain = " ".join(words.split())
    for behind in say("on_record.another").split("; "):
        if plain.casefold().endswith(f" {behind.casefold()}"):
            return plain[: -len(behind) - 1], True
    return words, False


@dataclass(frozen=True)
class Meant:
    """A pool on record, or another one of the same person that is not (`new`)."""

    known: KnownPool
    new: bool = False

    @property
    def words(self) -> str:
        """What it is called."""
        return say("on_record.new_of", whose=_whose(self.known)) if self.new else _called(self.known)


def may_be_meant(found: Sequence[KnownPool], another: bool = False) -> tuple[Meant, ...]:
    """Every pool that was found, and a new one where they are one person's; `another`, a new one of each person."""
    first = {known.pool.person: known for known in reversed(found)}
    new = [Meant(known, new=True) for known in found if first[known.pool.person] is known]
    if another:
        return tuple(new)
    return (*map(Meant, found), *(new if len(new) == 1 and len(found) > 1 else ()))


def which_pool(words: str, meant: Sequence[Meant]) -> Question:
    """Ask which of several pools is meant; a choice's id is its number as the screen shows it."""
    choices = tuple(Choice(str(number), one.words) for number, one in enumerate(meant, start=1))
    none = Choice(NONE_OF_THESE, say("heeding.none_of_these"))
    return Question("set_up", "pool", say("on_record.which", said=words), (*choices, none), harmless=True)


def take_meant(talk: DialogueState, meant: Meant) -> None:
    """Take what was meant, in place of a record that was taken before it."""
    before = len(talk.session.events)
    stood = any(event.about == "pool" for event in _recorded(talk))
    let_go = _let_go(talk) if stood else []
    if meant.new:
        _begin_new(talk, meant.known, let_go)
    else:
        _take_record(talk, meant.known, let_go)
    # What took another's place goes back by one and one.
    talk.together = 0 if stood else len(talk.session.events) - before


def _recorded(talk: DialogueState) -> list[Event]:
    return [event for event in effective(talk.session.events) if event.kind == RECORDED]


def _let_go(talk: DialogueState) -> list[str]:
    """Undo what another pool's record told; which of the checks in use were answered by it, and the kind of unit.

    What was recorded since stays, in its order.
    """
    standing = _recorded(talk)
    first = next(place for place, event in enumerate(standing) if event.about == "pool")
    for _ in standing[first:]:
        talk.record("taken_back", value=RECORDED)
    for event in (each for each in standing[first:] if not each.beside):
        talk.record(RECORDED, event.about, event.value, text=event.text)
    last = {event.about: event for event in effective(talk.session.events) if event.kind in ("answered", "corrected")}
    return [about for about, event in last.items() if event.by == RECORD]


def _begin_new(talk: DialogueState, known: KnownPool, let_go: list[str]) -> None:
    """Another pool of a person on record, which begins with this job: nothing of the first one holds for it."""
    pool = known.pool
    told = (("pool", new_uuid()), ("person", pool.person), ("customer", pool.name), ("telephone", pool.telephone))
    for about, value in told:
        if value:
            talk.record(RECORDED, about, value, beside=True)
    talk.earlier = {}
    talk.front.tell(say("on_record.new", whose=_whose(known)))
    _unknown_again(talk, let_go)


def _unknown_again(talk: DialogueState, let_go: Sequence[str]) -> None:
    """What another pool's record told is not known of this one; the kind of unit is asked."""
    checks = [about for about in let_go if about != "unit"]
    for about in checks:
        talk.record("dont_know", about, beside=True)
    if checks:
        named = "; ".join(name_of(talk.session, about) for about in checks)
        talk.front.tell(say("on_record.not_known", named=named))
    if "unit" in let_go:
        talk.want("unit")


def _take_record(talk: DialogueState, known: KnownPool, let_go: list[str]) -> None:
    """Note whose pool it is, and take what stays as it was or only grew older; what was said already stands."""
    pool = known.pool
    for about, value in (("pool", pool.pool), ("person", pool.person), *((a, getattr(pool, n)) for a, n in _TEXTS)):
        if value:
            talk.record(RECORDED, about, value, beside=True)
    job = talk.session.job
    if known.unit is not None and (job.unit is None or "unit" in let_go):
        talk.record("corrected" if "unit" in let_go else "answered", "unit", known.unit, by=RECORD, beside=True)
    taken = [answer for answer in known.remembered if answer.check in let_go or not job.settled(answer.check)]
    for answer in taken:
        kind: EventKind = "corrected" if answer.check in let_go else "answered"
        talk.record(kind, answer.check, answer.value, by=RECORD, beside=True)
    talk.earlier = {answer.check: answer for answer in known.earlier}
    talk.front.tell(say("on_record.taken", pool=_called(known)))
    known_now = {answer.check for answer in taken} | ({"unit"} if known.unit is not None else set())
    _unknown_again(talk, [about for about in let_go if about not in known_now])
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


def _whose(known: KnownPool) -> str:
    return ", ".join(part for part in (known.pool.name, known.pool.telephone) if part) or known.pool.site


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
