"""The terminal front end, by its keys."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from interview.frontends.layout import Line
from interview.frontends.line_editor import TerminalLines
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer
from interview.messages import Control, Given, Note, Question, Reply, Request, Unable, nothing_more
from interview.understanding.normalize import LONGEST
from tests.interview.people import COLOURS, SALT

ENTER, CTRL_C, CTRL_D, F1, LEFT, BACKSPACE = "\r", "\x03", "\x04", "\x1bOP", "\x1b[D", "\x7f"


@contextlib.contextmanager
def within(seconds: int) -> Iterator[None]:
    """An unfinished prompt would wait for ever; here it fails."""
    import signal

    def late(*_: object) -> None:
        raise TimeoutError("the prompt still waits")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def typed(keys: str, question: Question = COLOURS) -> Reply:
    with within(5), create_pipe_input() as keyboard:
        keyboard.send_text(keys)
        return LineFrontEnd(TerminalLines(keyboard, DummyOutput())).put(question, nothing_more)


@pytest.mark.parametrize(
    ("keys", "reply"),
    [
        ("2" + ENTER, Given("white_scale", "2")),
        ("3" + BACKSPACE + "1" + ENTER, Given("grey", "1")),
        ("no_p" + ENTER, Given("no_plates", "no_p")),
        ("?" + "1" + ENTER, Given("grey", "1")),
        (F1 + "1" + ENTER, Given("grey", "1")),
        ("<", Control.BACK),
        ("back" + ENTER, Control.BACK),
        ("dk" + ENTER, Control.UNKNOWN),
        ("don't know" + ENTER, Control.UNKNOWN),
        ("can't" + ENTER + "no tool" + ENTER, Unable("no tool")),
        ("can't no tool" + ENTER, Unable("no tool")),
        ("finish" + ENTER, Control.FINISH),
        ("leave" + ENTER, Control.LEAVE),
        ("note wet" + ENTER, Note("wet")),
        (ENTER + ENTER + "1" + ENTER, Given("grey", "1")),
        ("xyz" + ENTER + "1" + ENTER, Given("grey", "1")),
        (LEFT + "1" + ENTER, Given("grey", "1")),
        ("2", Given("white_scale", "2")),
        ("12" + BACKSPACE + ENTER, Given("grey", "1")),
        (CTRL_D, Control.LEAVE),
        ("xyz" + ENTER + CTRL_D, Control.LEAVE),
    ],
)
def test_each_key_path_ends_in_its_reply(keys: str, reply: Reply) -> None:
    assert typed(keys) == reply


def test_keys_that_the_editor_holds_are_forgotten_when_it_is_told_to() -> None:
    with within(5), create_pipe_input() as keyboard:
        lines = TerminalLines(keyboard, DummyOutput())
        keyboard.send_text("first" + ENTER + "ok" + ENTER)
        assert lines.read("> ", lambda: None) == "first"
        lines.forget_keys()
        keyboard.send_text("back" + ENTER)
        assert lines.read("> ", lambda: None) == "back"


def test_a_question_mark_inside_a_line_is_text() -> None:
    assert typed("note who pays?" + ENTER) == Note("who pays?")
    assert typed("note pH < 7" + ENTER) == Note("pH < 7")


@pytest.mark.parametrize("keys", [CTRL_C, "12" + CTRL_C, "can't" + ENTER + CTRL_C, "?" + CTRL_C])
def test_ctrl_c_breaks_off_from_anywhere(keys: str) -> None:
    with pytest.raises(KeyboardInterrupt):
        typed(keys)


def test_pasted_lines_are_one_line() -> None:
    assert typed("\x1b[200~note a\nb\x1b[201~" + ENTER) == Note("a b")


def test_numbers_with_units() -> None:
    assert typed("3.2 g/L" + ENTER, SALT) == Given(3200.0, "3.2 g/L")
    assert typed("12" + ENTER + "12" + ENTER, SALT) == Given(12.0, "12")


def test_the_question_is_reported_as_standing_once_it_is_drawn() -> None:
    calls: list[str] = []
    with within(5), create_pipe_input() as keyboard:
        lines = TerminalLines(keyboard, DummyOutput())
        keyboard.send_text("1" + ENTER)
        assert lines.read("> ", lambda: calls.append("shown")) == "1"
    assert calls == ["shown"]


def test_lines_and_their_tones_are_written(monkeypatch: pytest.MonkeyPatch) -> None:
    for value in ("", "1"):
        monkeypatch.setenv("NO_COLOR", value)
        with create_pipe_input() as keyboard:
            lines = TerminalLines(keyboard, DummyOutput())
            lines.write([Line("a"), Line("b", "DANGER")])
            assert lines.width > 0
            assert lines.height is not None


def test_a_figure_by_itself_answers_at_once_and_return_by_habit_after_it_does_nothing() -> None:
    with within(5), create_pipe_input() as keyboard:
        front = LineFrontEnd(TerminalLines(keyboard, DummyOutput()))
        keyboard.send_text("2")
        assert front.put(COLOURS, nothing_more) == Given("white_scale", "2")

        def habit_then_answer() -> None:
            keyboard.send_text(ENTER)
            keyboard.send_text("1")

        assert front.put(COLOURS, habit_then_answer) == Given("grey", "1")


def test_what_comes_in_one_go_is_a_line() -> None:
    facts = replace(COLOURS, says_more=lambda line: Request("say", line) if line == "18 C" else None)
    assert typed("18 C" + ENTER, facts) == Request("say", "18 C")


@pytest.mark.parametrize(
    "keys", ["\x1b[31m", "\x1b[", "\x1b[M!!!", "\x1b[<0;1M", "\x1b]52;c;eA==\x07", "\x1b5", "\x1bOx"]
)
def test_broken_sequences_of_a_terminal_are_no_traceback(keys: str) -> None:
    with within(5), create_pipe_input() as keyboard:
        keyboard.send_text(keys + CTRL_C)
        screen = TerminalLines(keyboard, DummyOutput())
        with pytest.raises(KeyboardInterrupt):
            screen.read("> ", nothing_more)


def test_a_huge_paste_is_refused_whole_and_holds_nobody_up() -> None:
    with within(60), create_pipe_input() as keyboard:
        # A pipe takes no more at once.
        keyboard.send_text("note " + "x" * 50_000 + ENTER + "note short" + ENTER)
        front = LineFrontEnd(TerminalLines(keyboard, DummyOutput()))
        assert front.put(COLOURS, nothing_more) == Note("short")


def test_what_comes_in_one_go_comes_whole() -> None:
    said = "x" * (LONGEST - 5)
    assert typed(f"note {said}{ENTER}") == Note(said)


def read_with(offer: Offer, keys: str, *before: str) -> str:
    with within(5), create_pipe_input() as keyboard:
        lines = TerminalLines(keyboard, DummyOutput())
        for line in before:
            keyboard.send_text(line + ENTER)
            lines.read("> ", nothing_more)
        keyboard.send_text(keys)
        return lines.read("> ", nothing_more, offer)


def test_up_brings_back_the_lines_of_this_process_and_no_single_keys() -> None:
    up = "\x1b[A"
    assert read_with(NOTHING_OFFERED, up + ENTER, "salt test 3000", "1") == "salt test 3000"
    assert read_with(NOTHING_OFFERED, up + up + ENTER, "pump on", "list") == "pump on"


def test_return_alone_is_a_reply_only_where_it_is_said_to_pick_one() -> None:
    assert read_with(Offer("123", passes=True), ENTER) == ""
    assert read_with(Offer("123"), ENTER + "2") == "2"


def test_a_slip_is_asked_back_and_return_agrees() -> None:
    assert typed("gray" + ENTER + ENTER) == Given("grey", "grey")
    assert typed("gray" + ENTER + "2" + ENTER) == Given("white_scale", "2")
