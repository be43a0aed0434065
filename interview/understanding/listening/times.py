"""When what the parts of a line tell was so: now, or long ago and otherwise since."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

from interview.understanding.listening.clause import Clause
from interview.understanding.listening.words import KnownPhrases, Talk, phrase_at


def mark_times(
    clauses: Sequence[Clause], texts: Sequence[str], dated: Collection[int], talk: Talk, small: frozenset[int]
) -> None:
    """Mark the parts of a line that tell of what was.

    Args:
        clauses: the parts in their order; `texts` are the words of the line.
        dated: the places where a date stands; `small` those of words of little weight.
    """
    for clause in clauses:
        _mark(clause, texts, dated, talk)
    _mark_was(clauses)
    _mark_when(clauses, texts, talk, small)
    _mark_numbers(clauses, texts, talk)


def _mark(clause: Clause, texts: Sequence[str], dated: Collection[int], talk: Talk) -> None:
    def has(phrases: KnownPhrases) -> bool:
        return any(phrase_at(inside, at, phrases) for at in range(len(inside)))

    inside = texts[clause.start : clause.end]
    was = not talk.words["was"].isdisjoint(inside)
    clause.past = _is_past(clause, texts, talk) or (was and has(talk.sayings["then"]))
    clause.now = not talk.words["now"].isdisjoint(inside) or has(talk.sayings["now_says"])
    clause.since = clause.now or has(talk.sayings["since_says"])
    dates = [at for at in dated if clause.start <= at < clause.end]
    since = [at for at in dates if not talk.words["compares"].isdisjoint(texts[max(clause.start, at - 2) : at])]
    clause.since |= bool(since)
    clause.dated = len(since) < len(dates)
    clause.dated |= has(talk.sayings["then_says"])
    clause.was = was or clause.dated
    clause.earlier = has(talk.sayings["earlier_says"])
    clause.later = clause.since or bool(inside and inside[-1] in talk.words["later"])


def _is_past(clause: Clause, texts: Sequence[str], talk: Talk) -> bool:
    """Whether a clause tells of long ago: `weaker than last month` and `off since last week` tell of now."""
    for at in range(clause.start, clause.end):
        if phrase_at(texts[: clause.end], at, talk.sayings["past"]):
            before = texts[max(clause.start, at - 2) : at]
            if not talk.words["compares"] & set(before):
                return True
    return False


def _mark_when(clauses: Sequence[Clause], texts: Sequence[str], talk: Talk, small: frozenset[int]) -> None:
    """`it leaked once, years ago`: a clause that says only when speaks of the one before it."""
    for before, after in pairwise(clauses):
        if after.past and not before.now and before.sentence == after.sentence:
            weighty = [at for at in range(after.start, after.end) if at not in small]
            said = sum(phrase_at(texts[: after.end], at, talk.sayings["past"]) for at in weighty)
            before.past |= len(weighty) - said <= 0


def _mark_numbers(clauses: Sequence[Clause], texts: Sequence[str], talk: Talk) -> None:
    """Numbers that go on with what was: `last service: salt 3400, current 18, today 11`, `sal 3300 y 17 amperios`."""
    for at, clause in enumerate(clauses):
        numbers = [texts[k][:1].isdigit() for k in range(clause.start, clause.end) if texts[k] not in talk.parting]
        if clause.since or not any(numbers):
            continue
        inside = [each for each in clauses if each.sentence == clause.sentence]
        begun = any(each.past and not each.since for each in inside if each.start < clause.start)
        over = any(each.now for each in inside if each.start > clause.start)
        before = clauses[at - 1] if at else None
        goes_on = before is not None and before.past and clause.joined and numbers[0]
        clause.past |= (begun and over) or goes_on


def _mark_was(clauses: Sequence[Clause]) -> None:
    """`was green, now cloudy`: what was is past where a later part of the line says how it is now.

    What has a date of its own is past where a later part says that another came in its stead: `broke in may, new one`.
    """
    for place, clause in enumerate(clauses):
        later = clauses[place + 1 :]
        over = any(each.now for each in later) or (clause.dated and any(each.since for each in later))
        clause.past |= clause.was and not clause.now and over
