"""`for NAME` in an interview: what a record says is taken with its date and not asked again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from engine.session.record import recorded_by_hand
from engine.session.session import Session
from engine.session.taken_back import effective
from engine.store.known import KnownAnswer, KnownPool
from engine.store.people import Pool
from interview.dialogue.manager import DialogueManager
from interview.dialogue.state import PoolRecords, RecordsError
from interview.messages import Control, Given, Reply, Request
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened, run_in_bytes
from tests.shipped import models

SHORE = Pool("p1", "p1", "Ann Example", "555 0134", "12 Shore Road", "A1", "2026-03-01T09:00:00Z")
HILL = Pool("p2", "p1", "Ann Example", "", "3 Hill Lane", "", "2026-02-01T09:00:00Z")
KNOWN = KnownPool(
    SHORE,
    "default",
    (KnownAnswer("pool_volume", 60.0, "2026-03-01"), KnownAnswer("cell_age_years", 4.2, "2024-02-01")),
    (KnownAnswer("tested_salt", 3100.0, "2026-03-01"),),
)


@dataclass
class Records:
    found: Sequence[KnownPool]
    why_not: str = ""

    def find(self, words: str) -> Sequence[KnownPool]:
        if self.why_not:
            raise RecordsError(self.why_not)
        return self.found if "ann" in words else ()


@dataclass
class ByName:
    found: Mapping[str, Sequence[KnownPool]]

    def find(self, words: str) -> Sequence[KnownPool]:
        return self.found.get(words, ())


def talked(records: PoolRecords, *replies: Reply, role: str = "counter") -> tuple[ListedPerson, Memory, Session]:
    session = opened(Session(models()), ("role", role), ("danger_now", "none"), ("complaint", "low-salt"))
    person, memory = ListedPerson(list(replies)), Memory()
    DialogueManager(session, person, memory, clock, PaperSheet, records=records).run()
    return person, memory, session


def test_what_is_on_record_is_told_with_its_day_and_stands() -> None:
    person, memory, session = talked(Records([KNOWN]), Request("for", "ann"))
    assert {event.about: event.value for event in memory.events if event.kind == "recorded"} == {
        "pool": "p1",
        "person": "p1",
        "customer": "Ann Example",
        "telephone": "555 0134",
        "site": "12 Shore Road",
        "serial": "A1",
    }
    answered = [event for event in memory.events if event.kind == "answered"]
    assert [(event.about, event.value) for event in answered] == [
        ("unit", "default"),
        ("pool_volume", 60.0),
        ("cell_age_years", 4.2),
    ]
    assert {(event.by, event.beside) for event in answered} == {("record", "line")}
    told = " ".join(person.said)
    assert "60 m³ (1 March 2026)" in told
    assert "4.2 years (1 February 2024)" in told
    assert session.job.settled("pool_volume")


def test_all_of_it_goes_back_at_once() -> None:
    _, _, session = talked(Records([KNOWN]), Request("for", "ann"), Control.BACK)
    assert session.job.answers.keys() == {"danger_now"}
    assert session.job.unit is None


def test_what_was_read_before_stands_beside_the_question_that_asks_it() -> None:
    person, _, _ = talked(Records([KNOWN]), Request("for", "ann"), Request("ask", "tested_salt"), role="field")
    asked = next(question for question in person.asked if question.about == "tested_salt")
    assert "Last time: 3100 ppm (1 March 2026)." in asked.details


def test_what_was_said_today_is_not_put_aside_by_the_record() -> None:
    _, _, session = talked(Records([KNOWN]), Request("say", "volume 30 m3"), Request("for", "ann"))
    assert session.job.answers["pool_volume"].reading.value == 30.0


def test_of_several_pools_one_is_asked_for_and_none_may_be_it() -> None:
    several = Records([KNOWN, KnownPool(HILL, None, (), ())])
    person, memory, _ = talked(several, Request("for", "ann"), Given("2"))
    asked = next(question for question in person.asked if question.about == "pool")
    assert [choice.text for choice in asked.choices][:2] == [
        "Ann Example, 12 Shore Road, 555 0134; last contact on 1 March 2026",
        "Ann Example, 3 Hill Lane; last contact on 1 February 2026",
    ]
    assert ("pool", "p2") in [(event.about, event.value) for event in memory.events]
    _, memory, _ = talked(several, Request("for", "ann"), Given("none"))
    assert not any(event.kind == "recorded" for event in memory.events)


OTHER = KnownPool(
    Pool("p9", "p9", "Bea Sample", "555 0200", "1 Low Street", "B7", "2026-01-01T09:00:00Z"),
    None,
    (KnownAnswer("pool_volume", 25.0, "2026-01-01"),),
    (),
)


def by_hand(session: Session) -> dict[str, str]:
    found = recorded_by_hand(effective(session.events))
    return {**found.texts, **{name: found.facts[name] for name in ("pool", "person") if name in found.facts}}


@pytest.mark.parametrize(
    "replies",
    [
        (Request("for", "ann another pool"),),
        (Request("for", "ann"), Given("3")),
        (Request("for", "ann New  Pool"),),
    ],
)
def test_another_pool_of_somebody_begins_a_record_of_its_own(replies: Sequence[Reply]) -> None:
    found = [KNOWN, KnownPool(HILL, None, (), ())]
    _, _, session = talked(Records(found), *replies)
    told = by_hand(session)
    assert told.pop("pool") not in ("p1", "p2", "")
    assert told == {"person": "p1", "customer": "Ann Example", "telephone": "555 0134"}
    assert session.job.answers.keys() == {"danger_now"}


def test_nothing_of_a_record_that_was_taken_first_holds_for_another_pool() -> None:
    said = (Request("say", "ph 7.2"), Request("record", 'serial=Z9 photo="gate.jpg"'))
    person, _, session = talked(Records([KNOWN]), Request("for", "ann"), *said, Request("for", "ann another pool"))
    told = by_hand(session)
    assert told.pop("pool") != "p1"
    # What was said of this pool since stays.
    assert told == {"person": "p1", "customer": "Ann Example", "telephone": "555 0134", "serial": "Z9"}
    assert session.job.answers["ph"].reading.value == 7.2
    assert {"pool_volume", "cell_age_years"} & session.job.answers.keys() == set()
    assert any("volume" in line and "not known here" in line for line in person.said)


def test_the_record_of_another_person_takes_the_place_of_the_first() -> None:
    records = ByName({"ann": [KNOWN], "bea": [OTHER]})
    _, _, session = talked(records, Request("for", "ann"), Request("for", "bea"))
    assert by_hand(session) == {
        "pool": "p9",
        "person": "p9",
        "customer": "Bea Sample",
        "telephone": "555 0200",
        "site": "1 Low Street",
        "serial": "B7",
    }
    assert session.job.answers["pool_volume"].reading.value == 25.0
    assert "cell_age_years" not in session.job.answers


def test_several_people_may_have_another_pool_and_danger_comes_first() -> None:
    person, _, session = talked(Records([KNOWN, OTHER]), Request("for", "ann another pool"), Given("2"))
    asked = next(question for question in person.asked if question.about == "pool")
    assert [choice.text.partition(",")[0] for choice in asked.choices[:2]] == ["Ann Example", "Bea Sample"]
    assert by_hand(session)["person"] == "p9"
    _, _, session = talked(Records([KNOWN, OTHER]), Request("say", "she felt a tingle"), Request("for", "ann"))
    assert by_hand(session) == {}


def test_nobody_on_record_is_said_and_a_story_that_begins_so_is_heard() -> None:
    person, memory, _ = talked(Records([]), Request("for", "nobody"))
    assert any("no record for" in line for line in person.said)
    assert memory.events == []
    person, memory, _ = talked(Records([]), Request("for", "two weeks no chlorine, salt test 3100"))
    assert ("tested_salt", 3100.0) in [(event.about, event.value) for event in memory.events]


def test_a_store_that_is_away_stops_nothing() -> None:
    person, _, session = talked(
        Records([], "the server is away"), Request("for", "ann"), Request("say", "salt test 3100")
    )
    assert any("the server is away" in line for line in person.said)
    assert "tested_salt" in session.job.answers


def test_danger_comes_before_whose_pool_it_is() -> None:
    _, memory, session = talked(Records([KNOWN]), Request("for", "ann, she felt a tingle in the water"))
    assert session.job.danger == "tingle"
    assert not any(event.kind == "recorded" for event in memory.events)


@pytest.mark.parametrize("typed", ["for garcia", "FOR 0134"])
def test_a_pool_is_found_again_by_the_program_itself(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    monkeypatch.delenv("BRINECALL_STORE")
    first = (
        "counter\nnone\nlow-salt\n1\nvolume 60 m3\n"
        'record customer="Rosa Garc\u00eda" telephone="555-0134"\nfinish\n1\nlater\n'
    )
    assert run_in_bytes(tmp_path, "ask", typed=first.encode()).returncode == 0
    again = run_in_bytes(tmp_path, typed=f"{typed}\ncounter\nnone\nlow-salt\n1\nlist\nleave\n".encode())
    assert again.returncode == 0, again.stderr
    assert "volume: 60 m³" in again.stdout.decode()
