"""The manual of the faults folder: it names every field, word and rule, and its example loads."""

from __future__ import annotations

import re
from pathlib import Path

from pydantic import BaseModel

from engine.evaluation.calls import FIELDS, read_calls
from engine.knowledge import schema
from engine.knowledge.computed import COMPUTED_FINDINGS
from engine.knowledge.files import FILES
from engine.knowledge.loader import knowledge_from
from engine.knowledge.model import PLACES
from engine.knowledge.number_words import FACTOR_WORDS, SHARE_WORDS
from engine.knowledge.properties import DECISIONS
from engine.knowledge.rules import RULES
from engine.knowledge.rules.steps import RESERVED
from engine.knowledge.schema import PROFILE_VALUES, CostsForm, Form
from engine.knowledge.second_look import DOUBTS
from tests.overlay import GOOD, contents_of

MANUAL = (Path(__file__).parents[2] / "faults" / "README.md").read_text(encoding="utf-8")
BREAK = "\n\n"
BLOCKS = re.findall(r"^`([\w/.-]+)`:\n\n```yaml\n(.*?)\n```$", MANUAL, re.M | re.S)
EXAMPLE = {name: f"{text}\n".encode() for name, text in BLOCKS}
CALLS = "calls/example.yaml"
FORMS = [
    form
    for form in vars(schema).values()
    if isinstance(form, type) and issubclass(form, BaseModel) and form not in (BaseModel, Form)
]
NAMES = sorted({field.alias or name for form in FORMS for name, field in form.model_fields.items()})


def test_every_field_is_named() -> None:
    assert len(NAMES) > 50
    assert [name for name in NAMES if not re.search(rf"`(\w+\.)?{name}`", MANUAL)] == []


WORDS = [
    *FACTOR_WORDS,
    *PROFILE_VALUES,
    *CostsForm.model_fields,
    *DECISIONS,
    *PLACES,
    *RESERVED,
    *COMPUTED_FINDINGS,
    *FIELDS,
    *FILES,
]


def test_every_word_is_named() -> None:
    assert [word for word in (*WORDS, "3 times", "the rest") if f"`{word}`" not in MANUAL] == []


def test_every_word_for_how_often_stands_with_its_number() -> None:
    assert [word for word, share in SHARE_WORDS.items() if f"| `{word}` | {share:g} |" not in MANUAL] == []


def test_every_rule_is_told() -> None:
    firsts = [" ".join((rule.__doc__ or "").split("\n\n")[0].split()) for rule in RULES]
    assert all(firsts)
    assert [first for first in firsts if f"\n- {first}\n" not in MANUAL] == []
    doubts = [
        f"`{name}`: {' '.join((rule.__doc__ or '').split(BREAK)[0].split())}" for name, (_, rule) in DOUBTS.items()
    ]
    assert [doubt for doubt in doubts if f"\n- {doubt}\n" not in MANUAL] == []


def test_the_example_is_a_whole_folder_that_loads() -> None:
    knowledge = knowledge_from("example", {name: text for name, text in EXAMPLE.items() if name != CALLS})
    assert set(knowledge.trees) == {"low-salt"}
    calls = read_calls(CALLS, EXAMPLE[CALLS], knowledge)
    assert [call.complaint for call in calls] == ["low-salt", "low-salt"]


def test_the_example_is_the_good_folder_of_the_tests() -> None:
    calls = (GOOD / CALLS).read_bytes()
    assert {name: text.rstrip() for name, text in EXAMPLE.items()} == {
        name: text.rstrip() for name, text in {**contents_of(GOOD), CALLS: calls}.items()
    }


def test_one_sentence_stands_on_a_line() -> None:
    """Outside tables, lists and examples."""
    prose = re.sub(r"^```.*?^```$", "", MANUAL, flags=re.M | re.S)
    for line in prose.splitlines():
        if not line.startswith(("|", "-", "#", " ")):
            assert not re.search(r"[.!?] [A-Z]", line), line
