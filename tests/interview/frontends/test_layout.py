"""Questions as lines of a screen of any width."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import pytest

from engine.foundation.texts import say
from engine.session.acts import Act
from engine.session.session import Session
from interview.command_line.job_sheet import JobSheet
from interview.dialogue.questions import question_for
from interview.frontends.layout import (
    NARROWEST,
    Line,
    asked,
    caution_lines,
    helped,
    keys_screen,
    paragraph,
    prompt_for,
    sheet_columns,
)
from interview.messages import CautionText, Choice
from interview.understanding.keywords import shown_commands
from reports.text_layout import columns
from tests.interview.people import COLOURS, SALT, opened
from tests.shipped import knowledge, models

WIDTHS = (30, 40, 80, 132)


def text(lines: Iterable[Line]) -> str:
    return "\n".join(line.text for line in lines)


def test_answers_are_numbered_in_their_order() -> None:
    shown = text(asked(COLOURS, 80))
    assert [line[:4] for line in shown.split("\n")[2:]] == [" 1  ", " 2  ", " 3  ", " 4  "]


def test_the_tones_only_repeat_what_the_words_say() -> None:
    lines = caution_lines([CautionText("x", "DANGER", "Current can kill.")], 80)
    assert [line.tone for line in lines] == ["DANGER"]
    assert lines[0].text == "DANGER: Current can kill."


def test_cautions_stand_before_the_question_unless_confirmed_first() -> None:
    cautioned = replace(COLOURS, cautions=(CautionText("x", "WARNING", "Hot."),))
    shown = text(asked(cautioned, 80))
    assert shown.index("WARNING: Hot.") < shown.index("What colour")
    assert "WARNING" not in text(asked(replace(cautioned, confirm_cautions=True), 80))


def test_steps_hang_under_their_numbers() -> None:
    shown = text(asked(replace(COLOURS, steps=("word " * 12,), details=("About 20 minutes.",)), 40)).split("\n")
    first = next(k for k, line in enumerate(shown) if line.startswith("  1. word"))
    assert shown[first + 1].startswith("     word")
    assert "   About 20 minutes." in shown


def test_what_is_said_more_fully_gives_way_on_a_short_screen_and_stays_in_the_help() -> None:
    full = replace(COLOURS, choices=tuple(Choice(f"a{n}", f"answer {n}", f"sentence {n}") for n in range(6)))
    assert "sentence 5" in text(asked(full, 80))
    assert "sentence 5" in text(asked(full, 80, 24))
    assert "sentence" not in text(asked(full, 80, 12))
    assert "? shows" in text(asked(full, 80, 12))
    assert "sentence 5" in text(helped(full, 80))


def test_help_says_how_why_and_where_the_words_are() -> None:
    # Figures are offered where there are some.
    assert "figures" not in text(helped(COLOURS, 80))
    shown = text(helped(replace(COLOURS, figures=lambda: ("Takes 2 minutes.",)), 80))
    for said in ("Look through the clear end.", "It tells scale from wear.", "skipped", '"?" again'):
        assert said in shown


@pytest.mark.parametrize("width", WIDTHS)
def test_the_screen_of_all_words_names_each_and_fits(width: int) -> None:
    lines = keys_screen(width)
    assert all(columns(line.text) < width for line in lines)
    assert all(any(line.text.strip().startswith(word) for line in lines) for word, _ in shown_commands())
    if width >= 40:
        assert len(lines) < 24


def test_the_prompt_says_what_can_be_typed() -> None:
    assert prompt_for(COLOURS) == "1-4, or ? > "
    assert prompt_for(SALT) == "ppm, or ? > "


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_of_any_shipped_question_is_wider_than_the_screen(width: int) -> None:
    for role in knowledge().roles:
        begun = opened(Session(models()), ("role", role), ("danger_now", "none"), ("unit", "number_display"))
        for about, value in (("complaint", "no-output"), ("brought", "nothing"), ("cell_plates", "white_scale")):
            opened(begun, (about, value))
        for check in knowledge().checks.values():
            question = question_for(begun, Act("ask", check.id, check.work.cautions.technician))
            for line in (*asked(question, width), *helped(question, width)):
                assert columns(line.text) < width, line


@pytest.mark.parametrize("width", WIDTHS)
def test_no_word_is_cut(width: int) -> None:
    for caution in knowledge().cautions.values():
        said = f"{caution.signal}: {caution.wording.customer}"
        assert (
            text(caution_lines([CautionText("x", caution.signal, caution.wording.customer)], width)).split()
            == said.split()
        )


def test_the_hint_wraps() -> None:
    assert all(len(line.text) < 40 for line in paragraph(say("opening.hint"), 40))


@pytest.mark.parametrize("width", [1, 30, 42, 79, 80, 200])
def test_a_real_sheet_is_set_for_the_screen(width: int) -> None:
    begun = opened(Session(models()), ("role", "field"), ("danger_now", "none"), ("unit", "default"))
    begun = opened(begun, ("complaint", "no-output"), ("cell_plates", "white_scale"))
    lines = JobSheet(begun, date(2026, 5, 4)).text(sheet_columns(width)).splitlines()
    assert max(map(columns, lines)) == min(max(width, NARROWEST), 80)
