"""What typed text means as a reply."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from interview.messages import Choice, Control, Given, Measure, Note, Question, Unable
from interview.understanding.normalize import clean
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


# Conversions by definition: 1 ppm is taken as 1 mg/L; 68 degF is 20 degC; 1 psi is 6.894757 kPa (international units).
@pytest.mark.parametrize(
    ("typed", "unit", "possible", "value"),
    [
        ("3200", "ppm", (0.0, 40000.0), 3200.0),
        ("3.2 g/L", "ppm", (0.0, 40000.0), 3200.0),
        ("3,2 g/l", "ppm", (0.0, 40000.0), 3200.0),
        ("68 F", "°C", (-2.0, 50.0), 20.0),
        ("12 psi", "kPa", (-100.0, 400.0), 82.737),
        ("0", "ppm", (0.0, 40000.0), 0.0),
        ("pH 7,4", "pH", (0.0, 14.0), 7.4),
    ],
)
def test_measurements_are_read_in_the_units_people_use(
    typed: str, unit: str, possible: tuple[float, float], value: float
) -> None:
    question = replace(SALT, measure=Measure(unit, "it", possible, possible))
    assert given_id(typed, question) == pytest.approx(value, rel=1e-4)


def test_a_separator_that_can_be_read_two_ways_is_asked_back() -> None:
    wide = replace(SALT, measure=Measure("ppm", "free chlorine", (0.0, 40000.0), (0.0, 40000.0)))
    meant = read("1,200", wide)
    assert isinstance(meant, Refusal)
    assert "1.2 ppm" in meant.message
    assert "1200 ppm" in meant.message


@pytest.mark.parametrize("typed", ["three", "3 bar", "-5", "12 12", "nan", "inf", "1e999", "0x10", "٣٢٠٠ bar"])
def test_what_is_no_such_measurement_is_refused(typed: str) -> None:
    meant = read(typed, SALT)
    assert isinstance(meant, Refusal)
    assert not meant.keep


def test_what_cannot_be_is_refused_again_and_again() -> None:
    meant = read("50000", SALT)
    assert isinstance(meant, Refusal)
    assert not meant.keep
    assert isinstance(read("50000", SALT, doubted="50000"), Refusal)


def test_what_is_hardly_meant_is_asked_back_once_with_the_unit_it_may_be_in() -> None:
    first = read("12", SALT)
    assert isinstance(first, Refusal)
    assert first.keep == "12"
    assert "12 g/L" in first.message
    assert read("12", SALT, doubted=first.keep) == Given(12.0, "12")
    assert isinstance(read("13", SALT, doubted=first.keep), Refusal)


def test_a_temperature_in_the_other_degrees_is_pointed_out() -> None:
    question = replace(SALT, measure=Measure("°C", "temperature", (-2.0, 50.0), (1.0, 48.0)))
    meant = read("68", question)
    assert isinstance(meant, Refusal)
    assert "68 °F" in meant.message


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


@given(st.text(st.characters(), max_size=3000))
def test_cleaned_text_can_be_stored_and_shown_on_one_line(typed: str) -> None:
    text = clean(typed)
    assert text.encode("utf-8").decode() == text
    assert len(text.splitlines()) <= 1
    assert clean(text) == text


@given(st.floats(0, 40000), st.sampled_from(["ppm", "mg/L", ""]))
def test_a_number_that_is_typed_out_is_read_back(value: float, unit: str) -> None:
    typed = f"{value:.1f} {unit}"
    meant = read(typed, SALT)
    if isinstance(meant, Refusal):
        meant = read(typed, SALT, doubted=meant.keep)
    assert isinstance(meant, Given)
    assert meant.value == pytest.approx(round(value, 1), abs=0.06)


METERED = replace(SALT, measure=replace(SALT.measure, by_conductivity=True)) if SALT.measure else SALT
AT_18 = replace(METERED, measure=replace(METERED.measure, water_c=18.0)) if METERED.measure else METERED


def test_a_meters_conductivity_is_read_as_salt_and_says_how() -> None:
    """PSS-78 by gsw: 6.5 mS/cm at 25 degC is 3.545, 4.5 at 18 degC is 2.810; kept to 10 ppm."""
    assert read("6.5 mS/cm at 25 C", METERED) == Given(
        3550.0, "6.5 mS/cm at 25 °C, by PSS-78", "6.5 mS/cm at 25 °C, by PSS-78"
    )
    known = read("4.5 mS/cm", AT_18)
    assert isinstance(known, Given)
    assert known.value == pytest.approx(2810)
    typed = read("4.5 mS/cm at 25 C", AT_18)
    assert isinstance(typed, Given)
    assert typed.value != known.value


def test_a_conductivity_without_a_temperature_says_what_is_missing() -> None:
    refused = read("6.5 mS/cm", METERED)
    assert isinstance(refused, Refusal)
    assert "the water's temperature" in refused.message
    other = read("6.5 mS/cm", SALT)
    assert isinstance(other, Refusal)
    assert "measures conductivity" in other.message
