"""The program's own words: layers, fields, and what is wrong in a words file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from engine.errors import KnowledgeError
from engine.loading.phrases import Phrases, fields_of, language_in_use, say, use_language


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for path, text in {
        "words/talk.yaml": "greeting: Good day, {name}.\nparts: {one: first, two: second}\n",
        "languages/xx/words/talk.yaml": "greeting: '{name}, day good.'\n",
    }.items():
        file = tmp_path / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def as_before() -> Iterator[None]:
    yield
    use_language("en")


def test_fields_are_filled_in_and_what_fills_them_is_never_read_as_a_field(folder: Path) -> None:
    assert Phrases(folder=folder).say("talk.greeting", name="{0.__class__}") == "Good day, {0.__class__}."


def test_a_language_is_laid_over_and_english_stands_in_where_it_is_silent(folder: Path) -> None:
    phrases = Phrases("xx", folder)
    assert phrases.say("talk.greeting", name="A") == "A, day good."
    assert phrases.said("talk.parts") == {"one": "first", "two": "second"}


def test_the_shipped_words_stand_in_for_a_folder_without_words(tmp_path: Path) -> None:
    assert Phrases(folder=tmp_path).say("opening.noted") == Phrases().say("opening.noted")


@pytest.mark.parametrize("key", ["talk.nothing", "nothing.at_all"])
def test_a_key_that_there_is_not_is_a_fault_of_the_program(folder: Path, key: str) -> None:
    with pytest.raises(KeyError):
        Phrases(folder=folder).say(key)
    with pytest.raises(KeyError):
        Phrases(folder=folder).said(key)


@pytest.mark.parametrize("text", ["{a.b}", "{a[0]}", "{a!r}", "{a:>9}", "{}", "{0}", "{"])
def test_a_field_is_a_plain_name(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        fields_of(text)


def test_doubled_braces_are_no_field() -> None:
    assert fields_of("{{x}} {name}") == {"name"}


@pytest.mark.parametrize(
    ("content", "where"),
    [("one: 3\n", ":1:6: "), ("one:\n  two: '{a.b}'\n", ":2:8: "), ("one: a\none: b\n", ":2:1: ")],
)
def test_a_mistake_is_told_with_its_place(tmp_path: Path, content: str, where: str) -> None:
    file = tmp_path / "words" / "talk.yaml"
    file.parent.mkdir()
    file.write_text(content, encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        Phrases(folder=tmp_path).say("talk.one")
    assert f"{file}{where}" in str(caught.value)


@pytest.mark.usefixtures("as_before")
def test_one_language_is_in_use(folder: Path) -> None:
    use_language("xx", folder)
    assert (language_in_use(), say("talk.greeting", name="B")) == ("xx", "B, day good.")
