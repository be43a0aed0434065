"""What typed text means as a reply."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from interview.messages import Choice, Control, Given, Note, Question, Unable
from interview.understanding.replies import is_consent, read, value_of
from interview.understanding.results import AskReason, Help, Keys, Refusal
from tests.interview.people import COLOURS, SALT

CONFIRM = Question(
    kind="confirm",
    about="plates",
    text="Switch it off.",
    choices=(Choice("done", "Done"), Choice("cannot", "It cannot be done (say why)", needs_reason=True)),
    may_fail=True,
)
QUESTIONS = (COLOURS, SALT, CONFIRM, replace(COLOURS, unknown="", may_fail=False))


def given_id(typed: str, question: Question = COLOURS) -> str | float | None:
    meant = read(typed, question)
    return meant.value if isinstance(meant, Given) else None


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("1", "grey"),
        ("2.", "white_scale"),
        ("2)", "white_scale"),
        (" 2 ", "white_scale"),
        ("g", "grey"),
        ("GREY", "grey"),
        ("white_s", "white_scale"),
        ("white s", "white_scale"),
        ("white-scale", "white_scale"),
        ("fluff", "white_fluff"),
        ("rinses off", "white_fluff"),
        ("scale plates", "white_scale"),
        ("No", "no_plates"),
    ],
)
def test_numbers_and_unique_beginnings_pick_an_answer(typed: str, answer: str) -> None:
    assert given_id(typed) == answer


def test_whole_first_words_win_over_a_longer_word_that_begins_alike() -> None:
    question = replace(COLOURS, choices=(Choice("dark", "No, it is dark"), Choice("nothing", "Nothing clear")))
    assert given_id("no", question) == "dark"
    assert given_id("not", question) == "nothing"


@pytest.mark.parametrize(
    ("sample", "cell", "both", "typed"),
    [
        ("A water sample", "The cell", "A water sample and the cell", ("water sample", "cell")),
        ("Una muestra de agua", "La celda", "Una muestra de agua y la celda", ("muestra de agua", "celda")),
    ],
)
def test_an_answer_that_another_holds_too_is_meant_by_its_own_words(
    sample: str, cell: str, both: str, typed: tuple[str, str]
) -> None:
    named = (Choice("water_sample", sample), Choice("cell", cell), Choice("water_sample+cell", both))
    question = replace(COLOURS, choices=named)
    assert [given_id(words, question) for words in typed] == ["water_sample", "cell"]
    denied = replace(COLOURS, choices=(Choice("off", "It never runs"), Choice("on", "Yes, it runs")))
    assert given_id("runs", denied) is None


@pytest.mark.parametrize("typed", ["white", "w", "plates"])
def test_what_fits_several_answers_is_asked_back_and_never_guessed(typed: str) -> None:
    meant = read(typed, COLOURS)
    assert isinstance(meant, Refusal)
    assert "2 (White scale on the plates)" in meant.message


@pytest.mark.parametrize("typed", ["0", "5", "99999999999", "purple", "-1", "", "   ", "_", "...", "\x00"])
def test_what_fits_no_answer_is_refused_with_what_would_do(typed: str) -> None:
    meant = read(typed, COLOURS)
    assert isinstance(meant, Refusal)
    assert "1 to 4" in meant.message


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("?", Help()),
        ("help", Keys()),
        ("why", Help()),
        ("back", Control.BACK),
        ("<", Control.BACK),
        ("don't know", Control.UNKNOWN),
        ("Don\N{RIGHT SINGLE QUOTATION MARK}t know.", Control.UNKNOWN),
        ("dk", Control.UNKNOWN),
        ("finish", Control.FINISH),
        ("Leave", Control.LEAVE),
        ("quit", Control.LEAVE),
        ("can't", AskReason()),
        ("can't no meter", Unable("no meter")),
        ("Can\N{RIGHT SINGLE QUOTATION MARK}t, no meter", Unable("no meter")),
        ("cannot: seized", Unable("seized")),
        ("note owner calls on Friday", Note("owner calls on Friday")),
        ("Note: bring gloves", Note("bring gloves")),
    ],
)
def test_commands_are_words_at_any_question(typed: str, meant: object) -> None:
    assert read(typed, COLOURS) == meant
    assert read(typed, SALT) == meant


def test_an_answer_of_the_same_words_comes_before_a_command() -> None:
    question = replace(COLOURS, choices=(Choice("leave", "Leave it as it is"), Choice("turn", "Turn it round")))
    assert read("leave", question) == Given("leave", "leave")


def test_a_note_needs_words() -> None:
    assert isinstance(read("note", COLOURS), Refusal)


def test_where_dont_know_or_cant_is_no_answer_it_is_refused() -> None:
    strict = replace(COLOURS, unknown="", may_fail=False)
    assert isinstance(read("dk", strict), Refusal)
    assert isinstance(read("can't", strict), Refusal)


def test_an_answer_that_needs_a_reason_asks_for_it() -> None:
    assert read("2", CONFIRM) == AskReason()
    assert read("done", CONFIRM) == Given("done", "done")


def test_the_answer_is_shown_in_full_words() -> None:
    assert value_of("white_scale", COLOURS) == "White scale on the plates"
    assert value_of(3200.0, SALT) == "3200 ppm"


@pytest.mark.parametrize(
    ("typed", "agrees"), [("ok", True), ("Yes.", True), ("understood", True), ("", False), ("no", False)]
)
def test_consent_is_a_word_and_never_an_empty_line(typed: str, agrees: bool) -> None:
    assert is_consent(typed) is agrees


@given(st.text(st.characters(), max_size=80), st.sampled_from(QUESTIONS))
def test_any_text_gives_a_reply_or_a_reason_and_never_an_exception(typed: str, question: Question) -> None:
    meant = read(typed, question)
    if isinstance(meant, Refusal):
        assert meant.message
        meant = read(typed, question, doubted=meant.keep)
    if isinstance(meant, Given) and question.measure is not None:
        low, high = question.measure.possible
        assert isinstance(meant.value, float)
        assert low <= meant.value <= high
    if isinstance(meant, Given) and question.choices:
        assert meant.value in [choice.id for choice in question.choices]


@pytest.mark.parametrize(
    ("language", "texts", "typed"),
    [
        ("en", ("A water sample", "The cell", "A water sample and the cell"), "water sample"),
        ("es", ("Una muestra de agua", "La celda", "Una muestra de agua y la celda"), "muestra de agua"),
    ],
)
def test_a_whole_answer_without_its_article_is_that_answer(language: str, texts: tuple[str, ...], typed: str) -> None:
    question = replace(COLOURS, choices=tuple(Choice(f"c{place}", text) for place, text in enumerate(texts)))
    use_language(language)
    try:
        assert read(typed, question) == Given("c0", typed)
        # What fits two is still asked back.
        assert isinstance(read(typed.split()[0], question), Refusal)
    finally:
        use_language("en")
