"""Every customer's text of the catalogue reads at grade 7 or lower, and none lays blame.

Measured by textstat's Flesch-Kincaid grade (US Navy research report 8-75, 1975, from memory), whose syllables are those
of the CMU Pronouncing Dictionary. The formula is meant for a passage, and a name of two words gives a silly figure.
So the texts of one entry are joined, each as a sentence without its step numbers; an entry of fewer than 25 words
(a part's name) is measured with all others of its kind, and a cause, which is a sentence, by itself.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator, Mapping

import pytest
import textstat

from engine.knowledge.model import Wording
from reports.phrases import sentence
from tests.shipped import knowledge

GRADE = 7.0
PASSAGE = 25
KINDS = ("causes", "checks", "findings", "repairs", "cautions", "parts", "trees", "roles", "units")
BLAME = re.compile(
    r"\b(you should have|your fault|you forgot|you failed|your mistake|as you were told)\b", re.IGNORECASE
)
NUMBER = re.compile(r"(?:^|(?<=[.!?:] ))[0-9]{1,2}\. ")


def customer_texts(record: object) -> Iterator[str]:
    """Every customer's text inside a record."""
    if isinstance(record, Wording):
        yield record.customer
    elif dataclasses.is_dataclass(record):
        for field in dataclasses.fields(record):
            yield from customer_texts(getattr(record, field.name))
    elif isinstance(record, tuple):
        for part in record:
            yield from customer_texts(part)
    elif isinstance(record, Mapping):
        for part in record.values():
            yield from customer_texts(part)


def passage(record: object) -> str:
    """The texts of an entry as sentences, without the numbers of steps."""
    return " ".join(sentence(NUMBER.sub("", text)) for text in customer_texts(record) if text)


ENTRIES = [(kind, name, passage(entry)) for kind in KINDS for name, entry in getattr(knowledge(), kind).items()]
LONG = [(kind, name, text) for kind, name, text in ENTRIES if kind == "causes" or len(text.split()) >= PASSAGE]


def test_an_entry_reads_at_grade_7_or_lower() -> None:
    assert {kind for kind, *_ in LONG} >= {"causes", "checks", "repairs", "cautions"}
    grades = {f"{kind} {name}": textstat.flesch_kincaid_grade(text) for kind, name, text in LONG}
    assert {name: grade for name, grade in grades.items() if grade > GRADE} == {}


def test_all_entries_of_a_kind_read_at_grade_7_or_lower() -> None:
    bodies = {kind: " ".join(text for of_kind, _, text in ENTRIES if of_kind == kind) for kind in KINDS}
    grades = {kind: textstat.flesch_kincaid_grade(body) for kind, body in bodies.items()}
    assert {kind: grade for kind, grade in grades.items() if grade > GRADE} == {}


def test_no_text_lays_blame() -> None:
    assert [name for _, name, text in ENTRIES if BLAME.search(text)] == []


def test_the_measure_is_the_published_one() -> None:
    """0.39 words a sentence and 11.8 syllables a word less 15.59: here 7 words, 10 syllables, 1 sentence (by hand)."""
    assert textstat.flesch_kincaid_grade("The water in the pool sparkles brightly.") == pytest.approx(
        0.39 * 7 + 11.8 * 10 / 7 - 15.59, abs=0.06
    )
