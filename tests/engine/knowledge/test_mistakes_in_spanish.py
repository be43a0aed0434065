"""Every mistake that the linter finds is told in Spanish too: at the same place, of the same thing, in no English."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import chain
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings

from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.text_catalog import flat_texts, use_language
from engine.foundation.yaml_reader import read_document
from engine.knowledge import schema
from engine.knowledge.files import FILES
from engine.knowledge.loader import knowledge_from, load_knowledge
from engine.knowledge.model import NEEDS, SIGNALS, Plant, ResultShows, Who
from engine.knowledge.number_words import FACTOR_WORDS, SHARE_WORDS
from engine.knowledge.properties import DECISIONS, HAZARD_KINDS, OCCASIONS, DangerKind, Place
from engine.knowledge.schema import PROFILE_VALUES, Form
from engine.quantities.units import UNIT_NAMES
from tests.example_counts import up_to
from tests.overlay import BAD, GOOD, NAME, damaged, mistakes

ROOT = Path(__file__).parents[3]
ALIKE = {
    "brinecall",
    "mm",
    "error",
    "factor",
    "id",
    "ids",
    "no",
    "usual",
    "control",
    "visible",
    "bytes",
    "UTF",
    "YAML",
    "U",
    "h",
    "a",
}
"""Words that Spanish has too (by any dictionary, from memory), and signs."""


@contextmanager
def spoken(language: str) -> Iterator[None]:
    use_language(language)
    try:
        yield
    finally:
        use_language("en")


def told(folder: Path, language: str) -> tuple[Problem, ...]:
    with spoken(language), pytest.raises(KnowledgeError) as error:
        load_knowledge(folder)
    return error.value.problems


def told_of(contents: Mapping[str, bytes], language: str) -> tuple[Problem, ...]:
    with spoken(language):
        try:
            knowledge_from(NAME, contents)
        except KnowledgeError as error:
            return error.problems
    return ()


def words_of(text: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]+", text))


def prose(text: str) -> set[str]:
    """The words of a message without what it quotes: between backticks, brackets and braces, and names of files."""
    return words_of(re.sub(r"`[^`]*`|\[[^\]]*\]|\{.*\}|\S+\.(?:yaml|md)", " ", text))


def ids() -> Iterator[str]:
    """The ids of the good folder, which a message lists where none is near."""
    known = load_knowledge(GOOD)
    yield from chain(known.checks, known.findings, known.causes, known.repairs, known.parts, known.cautions)
    yield from chain(known.roles, known.units, known.trees, *(tree.steps for tree in known.trees.values()))
    for name in (*known.checks, *known.findings):
        yield from (answer.id for answer in known.observable(name).answers)


def form_words() -> Iterator[str]:
    """What the form of the files is written in, whatever the language of their texts."""
    yield from chain(
        SHARE_WORDS, FACTOR_WORDS, PROFILE_VALUES, UNIT_NAMES, DECISIONS, NEEDS, SIGNALS, get_args(Who), FILES
    )
    yield from chain(get_args(Place), get_args(Plant), get_args(ResultShows), ("yes", "any", "water_sample"))
    yield from chain(HAZARD_KINDS, OCCASIONS, get_args(DangerKind))
    for form in vars(schema).values():
        if isinstance(form, type) and issubclass(form, Form):
            yield from (field.alias or name for name, field in form.model_fields.items())


KEPT = ALIKE | set().union(*(words_of(word) for word in (*form_words(), *ids())))


@pytest.fixture
def bad(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    folder = tmp_path / "faults"
    shutil.copytree(GOOD, folder)
    shutil.copytree(BAD / request.param, folder, dirs_exist_ok=True)
    return folder


@pytest.mark.e2e
@pytest.mark.no_cover  # the same folders are read in English, counted
@pytest.mark.parametrize("bad", mistakes(), indirect=True)
def test_each_mistake_is_told_in_spanish_at_the_same_place(bad: Path) -> None:
    english, spanish = told(bad, "en"), told(bad, "es")
    assert len(english) == len(spanish)
    for there in english:
        # Several mistakes at one place come in the order of their words.
        here = [each for each in spanish if (each.file, each.line, each.column) == places_of(there)]
        assert here
        assert not [each for each in here if each.what == there.what or each.advice == there.advice]
        assert any(quoted(each) == quoted(there) for each in here)
    in_english = set().union(*(prose(f"{each.what} {each.advice}") for each in english))
    in_spanish = set().union(*(prose(f"{each.what} {each.advice}") for each in spanish))
    assert in_english & in_spanish <= KEPT


def places_of(problem: Problem) -> tuple[str, int, int]:
    return problem.file, problem.line, problem.column


def quoted(problem: Problem) -> list[str]:
    """What a message says that something is wrong with."""
    return sorted(re.findall(r"`[^`]*`", problem.what))


@pytest.mark.no_cover  # the same damage is read in English, counted
@settings(max_examples=up_to(60), deadline=None)
@given(damaged())
def test_any_damage_is_told_in_spanish_at_the_same_places_in_words_of_no_library(contents: dict[str, bytes]) -> None:
    english, spanish = told_of(contents, "en"), told_of(contents, "es")
    assert sorted(map(places_of, english)) == sorted(map(places_of, spanish))
    written = names_in(contents)
    for problem in spanish:
        said = prose(f"{problem.what} {problem.advice}")
        assert said
        assert not (said & ENGLISH_ONLY) - written


def names_in(contents: dict[str, bytes]) -> set[str]:
    """What stands before a colon in the damaged files: a message may list it as a name, an English word or not."""
    return {name for text in contents.values() for name in re.findall(r"(\w+)\s*:", text.decode(errors="replace"))}


def texts(folder: Path) -> dict[str, str]:
    """The words in which mistakes are told, by their whole keys."""
    found: dict[str, str] = {}
    for file in sorted(folder.glob("mistakes_*.yaml")):
        read = flat_texts(read_document(str(file), file.read_bytes()))
        found |= {f"{file.stem}.{key}": text for key, text in read.items()}
    return found


ENGLISH, SPANISH = texts(ROOT / "faults" / "words"), texts(ROOT / "faults" / "languages" / "es" / "words")
ENGLISH_ONLY = set().union(*map(prose, ENGLISH.values())) - set().union(*map(prose, SPANISH.values())) - KEPT
"""The words of the English messages that no Spanish one has: `the`, `write`, `belongs`."""


def test_no_text_of_a_mistake_keeps_an_english_word() -> None:
    kept = {key: prose(SPANISH[key]) & prose(text) - KEPT for key, text in ENGLISH.items()}
    assert {key: words for key, words in kept.items() if words} == {}
    # What stands in backticks is the form's own, except examples of ids and of texts.
    assert [key for key in ENGLISH if ENGLISH[key].count("`") % 2 or SPANISH[key].count("`") % 2] == []
