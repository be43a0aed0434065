"""The program's own words: layers, fields, and what is wrong in a words file."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
import yaml

from engine.foundation import text_catalog
from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.text_catalog import Phrases, fields_of, use_language
from engine.foundation.texts import language_in_use, say, speak_with
from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import knowledge_from, load_knowledge
from tests.overlay import NAME, overlaid

ROOT = Path(__file__).parents[3]
WORDS = ROOT / "faults" / "words"


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


def test_doubled_braces_are_no_field(tmp_path: Path) -> None:
    assert fields_of("{{x}} {name}") == {"name"}
    file = tmp_path / "words" / "talk.yaml"
    file.parent.mkdir()
    file.write_text("opens: '{{'\ncloses: '}}'\nboth: '{{{name}}}'\n", encoding="utf-8")
    words = Phrases(folder=tmp_path)
    assert (words.say("talk.opens"), words.say("talk.closes"), words.say("talk.both", name="x")) == ("{", "}", "{x}")


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


# --- words that are broken themselves -------------------------------------------------------------------------------

MISTAKE_FILES = sorted(path.name for path in [*WORDS.glob("mistakes_*.yaml"), WORDS / "errors.yaml"])


@pytest.fixture
def shipped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the shipped words that stands in for them and may be broken."""
    shutil.copytree(WORDS, tmp_path / "shipped" / "words")
    monkeypatch.setattr(text_catalog, "files", lambda _: tmp_path / "shipped")
    yield tmp_path / "shipped" / "words"
    monkeypatch.undo()
    use_language("en")


OF_EACH_FILE = [
    "duplicate_key",
    "unclosed_bracket",
    "missing_fields",
    "misspelt_field",
    "misspelt_word_for_a_share",
    "calls_not_100",
    "colon_in_text",
]
"""Mistakes that together are told in words of every file of MISTAKE_FILES but one; that one tells of missing files."""


def everything_told() -> list[Problem]:
    problems: list[Problem] = []
    for contents in ({}, *map(overlaid, OF_EACH_FILE)):
        with pytest.raises(KnowledgeError) as caught:
            knowledge_from(NAME, contents)
        problems += caught.value.problems
    return problems


BROKEN = [b"a: [b\n", b"\ta: b\n", b"a: \xff\n", b"a: 3\n", b"", b"a: b\na: b\n", b"a: '{'\n"]


@pytest.mark.parametrize("name", MISTAKE_FILES)
@pytest.mark.parametrize("broken", BROKEN)
def test_broken_words_for_mistakes_are_told_themselves_at_their_place(shipped: Path, name: str, broken: bytes) -> None:
    (shipped / name).write_bytes(broken)
    use_language("en")
    told = everything_told()
    at = [problem for problem in told if problem.file == str(shipped / name)]
    assert at
    assert all(problem.line >= 1 and problem.what and problem.advice for problem in at)


@pytest.mark.usefixtures("as_before")
@pytest.mark.parametrize("name", ["mistakes_text.yaml", "mistakes_syntax.yaml"])
def test_a_folders_own_broken_words_are_told_in_the_shipped_ones(tmp_path: Path, name: str) -> None:
    file = tmp_path / "words" / name
    file.parent.mkdir()
    file.write_text("tab: {what: x, advice: y}\ntab: {what: x, advice: y}\n[\n", encoding="utf-8")
    use_language("en", tmp_path)
    with pytest.raises(KnowledgeError) as caught:
        say(f"{name.removesuffix('.yaml')}.tab.what")
    (problem,) = caught.value.problems
    assert problem.file == str(file)
    assert "broken" not in f"{problem.what} {problem.advice}"


def test_words_are_the_same_to_both_parsers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML's compiled parser is missing, the one in Python must read the words too, and it is the stricter."""
    texts = {str(path.relative_to(ROOT)): path.read_bytes() for path in ROOT.glob("faults/**/words/*.yaml")}
    quick = {name: read_document(name, text).data for name, text in texts.items()}
    monkeypatch.setattr("engine.foundation.yaml_reader._LOADER", yaml.SafeLoader)
    assert texts
    assert [name for name, text in texts.items() if read_document(name, text).data != quick[name]] == []


class _ForSteps(Phrases):
    """The words by which a folder's own texts are searched, and no others."""

    def say(self, key: str, /, **fields: object) -> str:
        assert key.startswith("step_talk.")
        return super().say(key, **fields)

    def said(self, key: str, /) -> Mapping[str, str]:
        assert key == "units.spelled"
        return super().said(key)


class _Silent:
    """Words that nobody may ask for, but those by which the steps of a folder are looked through for dangers."""

    language = "none"

    def say(self, key: str, /, **_: object) -> str:
        raise AssertionError(key)

    def said(self, key: str, /) -> dict[str, str]:
        raise AssertionError(key)

    def other(self, language: str) -> Phrases:
        return _ForSteps(language)


@pytest.mark.usefixtures("as_before")
@pytest.mark.parametrize("language", ["en", "es"])
def test_no_words_are_looked_up_while_there_is_nothing_to_tell(language: str) -> None:
    speak_with(_Silent())
    assert load_knowledge(ROOT / "faults", language).causes


def test_a_field_that_the_program_does_not_fill_in_leaves_the_text_below_it(tmp_path: Path) -> None:
    (tmp_path / "words").mkdir()
    (tmp_path / "words" / "opening.yaml").write_text("role: 'Who is {foo}?'\nnoted: Kept.\n", encoding="utf-8")
    mine = Phrases(folder=tmp_path)
    assert mine.say("opening.role") == Phrases().say("opening.role")
    assert mine.say("opening.noted") == "Kept."
