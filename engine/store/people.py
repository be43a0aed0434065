"""Whose pools they are: kept as their jobs tell of them, found again by a piece of a name, a telephone or a street."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass

from rapidfuzz import fuzz
from sqlalchemy import ColumnElement, Connection, and_, delete, exists, func, insert, select
from sqlalchemy.sql.util import ClauseAdapter

from engine.session.record import recorded_by_hand
from engine.session.taken_back import effective
from engine.store.identity import is_job_id
from engine.store.rows import filed
from engine.store.tables import grams, jobs, pools, sought

_WORD = re.compile(r"[^\W_]+")
_NO_FIGURES = re.compile(r"\D+")
_LEAST_FIGURES = 3
"""So many figures of a telephone number are a piece that one looks for."""
_MOST_LETTERS = 40
_ALIKE = 72.0
"""Out of 100: so alike are a word and how it is misspelt (judgement: two letters exchanged in a word of seven are)."""
_NEAR_WORDS = 50
"""So many words that share most letters in a row are looked at more closely."""
_MOST_FOUND = 20
_MOST_LOOKED_AT = 2000
_MOST_BEFORE = 5
"""So many figures at most stand before a number that is dialled from far: 00, and up to three of a country."""
_LEAST_WHOLE = 7
"""A number that is whole without them has so many figures at least (judgement)."""
_LAST = "\U0010ffff"


@dataclass(frozen=True)
class Pool:
    """A pool as its jobs tell of it: whose it is, where, which unit, and when it was last heard of."""

    pool: str
    person: str
    name: str
    telephone: str
    site: str
    serial: str
    latest: str

    @property
    def words(self) -> frozenset[str]:
        """What it is found by."""
        return frozenset({*_words(f"{self.name} {self.site} {self.serial}"), *_ends(self.telephone)})


def place_pool(connection: Connection, pool: str) -> None:
    """Make a pool's record anew from what its jobs tell, the last word on each; without any it has none."""
    found = _told(connection, pool)
    before = connection.execute(select(sought.c.word).where(sought.c.pool == pool)).scalars().all()
    connection.execute(delete(pools).where(pools.c.pool == pool))
    connection.execute(delete(sought).where(sought.c.pool == pool))
    words = frozenset[str]() if found is None else found.words
    if found is not None:
        connection.execute(insert(pools).values(**asdict(found)))
        if words:
            connection.execute(insert(sought), [{"word": word, "pool": pool} for word in sorted(words)])
    _teach(connection, words - set(before))
    _unlearn(connection, set(before) - words)


def _told(connection: Connection, pool: str) -> Pool | None:
    of_it = select(jobs.c.job, jobs.c.latest, jobs.c.state).where(jobs.c.pool == pool)
    found = connection.execute(of_it.order_by(jobs.c.opened, jobs.c.job)).all()
    texts, person, latest = dict[str, str](), pool, ""
    # Of whom only jobs that were thrown away tell, he is still to be found when he wishes to be forgotten.
    for row in [row for row in found if row.state != "thrown_away"] or found:
        by_hand = recorded_by_hand(effective(line.event for line in filed(connection, row.job)))
        texts |= by_hand.texts
        told_of = by_hand.facts.get("person", "")
        person = told_of if is_job_id(told_of) else person
        latest = max(latest, row.latest)
    if not any(texts.get(name) for name in ("customer", "telephone", "site")):
        return None
    told = {name: texts.get(name, "") for name in ("telephone", "site", "serial")}
    return Pool(pool, person, texts.get("customer", ""), **told, latest=latest)


def find_pools(connection: Connection, typed: str) -> list[Pool]:
    """The pools of which every word typed is a piece or nearly one, the ones heard of last first; at most twenty.

    A piece is the beginning of a word or figures in a row of a telephone number. A word that nothing begins with is
    taken for one that it is spelt like.
    """
    asked = sorted(_asked(typed), key=len, reverse=True)
    if not asked:
        return []
    if found := _pools(connection, [_begins(word) for word in asked]):
        return found
    return _pools(connection, [_meant(connection, word) for word in asked])


def _pools(connection: Connection, meant: Sequence[ColumnElement[bool]]) -> list[Pool]:
    """The pools that have a word of each of these."""
    first, *others = meant
    having = select(sought.c.pool).where(first)
    for other in others:
        beside = sought.alias()
        of_it = ClauseAdapter(beside).traverse(other)
        having = having.where(exists().where(beside.c.pool == sought.c.pool, of_it))
    some = having.distinct().limit(_MOST_LOOKED_AT).subquery()
    rows = connection.execute(
        select(pools)
        .join(some, some.c.pool == pools.c.pool)
        .order_by(pools.c.latest.desc(), pools.c.pool)
        .limit(_MOST_FOUND)
    )
    return [Pool(**row) for row in rows.mappings()]


def pool_of(connection: Connection, pool: str) -> Pool | None:
    """The record of a pool; None where nothing is told of it."""
    row = connection.execute(select(pools).where(pools.c.pool == pool)).mappings().first()
    return None if row is None else Pool(**row)


def pools_of_person(connection: Connection, person: str) -> list[Pool]:
    """Every pool of one person, the one heard of last first."""
    rows = connection.execute(select(pools).where(pools.c.person == person).order_by(pools.c.latest.desc()))
    return [Pool(**row) for row in rows.mappings()]


def _begins(word: str) -> ColumnElement[bool]:
    return and_(sought.c.word >= word, sought.c.word < word + _LAST)


def _meant(connection: Connection, word: str) -> ColumnElement[bool]:
    """Which words on record may be meant by one that was typed."""
    begins = _begins(word)
    if connection.execute(select(sought.c.pool).where(begins).limit(1)).first() is not None:
        return begins
    return sought.c.word.in_(_shorter(connection, word) if word.isdecimal() else _spelt_like(connection, word))


def _shorter(connection: Connection, number: str) -> list[str]:
    """A number is on record without the figures of a country or of the long distance; any other is not the same."""
    ends = [number[left:] for left in range(1, _MOST_BEFORE + 1) if len(number) - left >= _LEAST_WHOLE]
    query = select(sought.c.word, pools.c.telephone).join(pools, pools.c.pool == sought.c.pool)
    rows = connection.execute(query.where(sought.c.word.in_(ends)).limit(_MOST_LOOKED_AT))
    return sorted({row.word for row in rows if _NO_FIGURES.sub("", row.telephone) == row.word})


def _spelt_like(connection: Connection, word: str) -> list[str]:
    sharing = func.count()
    near = (
        select(grams.c.word)
        .where(grams.c.gram.in_(spelling(word)))
        .group_by(grams.c.word)
        .order_by(sharing.desc(), grams.c.word)
        .limit(_NEAR_WORDS)
    )
    return [other for other in connection.execute(near).scalars() if fuzz.ratio(word, other) >= _ALIKE]


def _teach(connection: Connection, words: frozenset[str]) -> None:
    """Take in how new words are spelt."""
    spelt = sorted(word for word in words if not word.isdecimal())
    known = set(connection.execute(select(grams.c.word).where(grams.c.word.in_(spelt)).distinct()).scalars())
    rows = [{"gram": gram, "word": word} for word in spelt if word not in known for gram in spelling(word)]
    if rows:
        connection.execute(insert(grams), rows)


def _unlearn(connection: Connection, words: set[str]) -> None:
    """Leave nothing of words that no pool has any more: they are names of people."""
    if not words:
        return
    used = set(connection.execute(select(sought.c.word).where(sought.c.word.in_(sorted(words)))).scalars())
    if gone := sorted(words - used):
        connection.execute(delete(grams).where(grams.c.word.in_(gone)))


def spelling(word: str) -> list[str]:
    """A word in pieces of three letters, by which one is found that shares most of them."""
    padded = f" {word} "
    return sorted({padded[place : place + 3] for place in range(len(padded) - 2)})


def plain(text: str) -> str:
    """A text without what people leave out when they type a name: capital letters and accents."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))


def _words(text: str) -> Iterator[str]:
    return (word[:_MOST_LETTERS] for word in _WORD.findall(plain(text)))


def _ends(telephone: str) -> Iterator[str]:
    """A telephone number from each of its figures on: what begins one of these is a piece of the number."""
    figures = _NO_FIGURES.sub("", telephone)[:_MOST_LETTERS]
    return (figures[place:] for place in range(len(figures) - _LEAST_FIGURES + 1))


def _asked(typed: str) -> set[str]:
    """The words to look for; figures with blanks and signs between them are one telephone number."""
    figures = _NO_FIGURES.sub("", typed)
    if len(figures) >= _LEAST_FIGURES and not re.search(r"[^\W\d_]", typed):
        return {figures[:_MOST_LETTERS]}
    return set(_words(typed))
