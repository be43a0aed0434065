"""Jobs made up for stores of any size, always the same for one seed, and the rows that a store keeps of them."""

from __future__ import annotations

import json
import random
import uuid
from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from itertools import accumulate
from typing import Any

from sqlalchemy import Table

from engine.session.journal import Event, JournalContent
from engine.store.filing import JobRecord, record_of, rows_that_follow
from engine.store.identity import Writer
from engine.store.people import Pool, spelling
from engine.store.personal import in_two_parts
from engine.store.tables import events, grams, pools, said, sought

TODAY = date(2026, 11, 30)
JOBS_OF_A_POOL = 3
_SYLLABLES = [first + vowel for first in "bcdfghjklmnprstvz" for vowel in "aeiou"]
Row = dict[str, Any]


class Shop:
    """Jobs made up, always the same for one seed: a few surnames are many people's, most are few people's."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.surnames = [self._word(3) for _ in range(5000)]
        self.first_names = [self._word(2) for _ in range(400)]
        self.streets = [self._word(4) for _ in range(2000)]
        self.ranks = list(accumulate(1 / rank for rank in range(1, len(self.surnames) + 1)))

    def _word(self, syllables: int) -> str:
        return "".join(self.chance.choice(_SYLLABLES) for _ in range(syllables)).capitalize()

    def person(self) -> tuple[str, str, str]:
        """Name, telephone and street of somebody."""
        chance = self.chance
        name = f"{chance.choice(self.first_names)} {chance.choices(self.surnames, cum_weights=self.ranks)[0]}"
        return (
            name,
            f"{chance.randrange(10**9, 10**10)}",
            f"{chance.randrange(1, 400)} {chance.choice(self.streets)} St",
        )

    def job(self, number: int, pool: str, whose: tuple[str, str, str]) -> JobRecord:
        """One job at a pool; it is the pool's first where that has its id."""
        chance = self.chance
        # One after the other, as jobs come in, over some years.
        begun = datetime(2022, 1, 3, tzinfo=UTC) + timedelta(minutes=20 * number + chance.randrange(60))
        job, name = str(uuid.UUID(int=chance.getrandbits(128))), f"{begun:%Y-%m-%d-%H%M}"
        job = pool if not number % JOBS_OF_A_POOL else job
        writer = Writer(f"account{chance.randrange(20)}", f"counter {chance.randrange(10)}")
        read = [(f"check_{chance.randrange(40)}", float(chance.randrange(4000))) for _ in range(8)]
        told = [
            Event("opened", "", about=job, value=name, by=str(writer)),
            Event("answered", "", about="role", value="counter"),
            Event("answered", "", about="complaint", value=f"complaint-{chance.randrange(15)}"),
            Event("answered", "", about="unit", value="default", text="dunno"),
            *(Event("answered", "", about=check, value=value, text="typed") for check, value in read),
            *(Event("recorded", "", about=of, value=what) for of, what in zip(_OF_PEOPLE, whose, strict=True)),
            Event("recorded", "", about="pool", value=pool),
            Event("repaired", "", about="acid_clean", value="done"),
            Event("noted", "", text="the gate is open"),
        ]
        if chance.random() < 0.97:
            told.append(Event("recorded", "", about="cause", value=f"cause_{chance.randrange(60)}"))
            told.append(Event("closed", "", value="repair_here"))
        else:
            told.append(
                Event("recorded", "", about="due", value=f"{TODAY + timedelta(days=chance.randrange(-30, 30))}")
            )
        timed = [Event(**{**vars(one), "at": f"{begun:%Y-%m-%dT%H:%M:}{place:02}Z"}) for place, one in enumerate(told)]
        return record_of(name, JournalContent(tuple(timed), tuple(range(1, len(timed) + 1))), writer)


_OF_PEOPLE = ("customer", "telephone", "site")


def rows_of(shop: Shop, count: int) -> Iterator[tuple[Table, Row]]:
    """Every row of a store with so many jobs."""
    spelt: set[str] = set()
    pool, whose = "", ("", "", "")
    for number in range(count):
        if not number % JOBS_OF_A_POOL:
            pool, whose = str(uuid.UUID(int=shop.chance.getrandbits(128))), shop.person()
        record = shop.job(number, pool, whose)
        for row in record.rows:
            kept, words = in_two_parts(row.event)
            yield events, _event(record.job, row.sequence, row.event, kept, row.writer)
            for of, spoken in words.items():
                yield said, {"job": record.job, "sequence": row.sequence, "field": of, "words": spoken}
        for table, follows in rows_that_follow(record.job, record.rows).items():
            yield from ((table, one) for one in follows)
        if number % JOBS_OF_A_POOL == JOBS_OF_A_POOL - 1 or number == count - 1:
            one = Pool(pool, pool, *whose, "", record.rows[-1].event.at)
            yield pools, asdict(one)
            for word in one.words:
                yield sought, {"word": word, "pool": pool}
                if not word.isdecimal() and word not in spelt:
                    spelt.add(word)
                    yield from ((grams, {"gram": gram, "word": word}) for gram in spelling(word))


def _event(job: str, sequence: int, event: Event, kept: Row, writer: Writer) -> Row:
    payload = json.dumps(kept, sort_keys=True, ensure_ascii=False)
    of_it = {"job": job, "sequence": sequence, "at": event.at, "kind": event.kind, "payload": payload}
    return {**of_it, "account": writer.account, "counter": writer.counter}
