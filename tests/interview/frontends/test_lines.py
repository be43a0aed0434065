"""One question on lines: show, read, help, ask back, until there is a reply."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import pytest

from interview.frontends.layout import Line
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer
from interview.messages import (
    CautionText,
    Choice,
    Control,
    FrontEnd,
    Given,
    Note,
    Question,
    QuestionKind,
    Reply,
    Request,
    Unable,
    nothing_more,
)
from tests.interview.people import COLOURS, SALT

CAUTIONED = replace(COLOURS, cautions=(CautionText("x", "DANGER", "It can kill."),), confirm_cautions=True)


@dataclass
class Typist:
    """Lines from a list; the end of the list is the end of input."""

    typed: list[str]
    shown: list[str] = field(default_factory=list)
    prompts: list[str] = field(default_factory=list)
    at_once: list[str] = field(default_factory=list)
    paged: list[str] = field(default_factory=list)
    width: int = 80
    height: int | None = 24

    def write(self, lines: Sequence[Line]) -> None:
        self.shown += [line.text for line in lines]

    by_key = True

    def page(self, lines: Sequence[Line]) -> None:
        self.paged += [line.text for line in lines]

    def forget_keys(self) -> None:
        """Nothing: these lines were given beforehand."""

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = NOTHING_OFFERED, /) -> str:
        self.prompts.append(prompt)
        self.at_once.append(offer.at_once)
        shown()
        if not self.typed:
            raise EOFError
        return self.typed.pop(0)


def put(question: Question, *typed: str) -> tuple[Reply, Typist]:
    typist = Typist(list(typed))
    front: FrontEnd = LineFrontEnd(typist)
    return front.put(question, nothing_more), typist


def test_an_answer_ends_the_question() -> None:
    reply, typist = put(COLOURS, "2")
    assert reply == Given("white_scale", "2")
    assert not any(line.startswith("   =") for line in typist.shown)


def test_an_answer_is_shown_in_full_once_the_conversation_comes_back_for_more() -> None:
    for then in ("put", "say"):
        typist = Typist(["2", "1"])
        front = LineFrontEnd(typist)
        front.put(COLOURS, nothing_more)
        count = len(typist.shown)
        if then == "put":
            front.put(COLOURS, nothing_more)
        else:
            front.tell("Noted.")
        assert typist.shown[count] == "   = White scale on the plates"


def test_an_answer_typed_in_full_is_not_repeated() -> None:
    typist = Typist(["grey, as new", "1"])
    front = LineFrontEnd(typist)
    front.put(COLOURS, nothing_more)
    front.put(COLOURS, nothing_more)
    assert not any(line.startswith("   =") for line in typist.shown)


def test_the_end_of_input_is_leaving() -> None:
    assert put(COLOURS)[0] is Control.LEAVE
    assert put(COLOURS, "purple")[0] is Control.LEAVE
    assert put(CAUTIONED)[0] is Control.LEAVE
    assert put(COLOURS, "can't")[0] is Control.LEAVE


def test_help_is_shown_above_and_the_question_again_below_it() -> None:
    reply, typist = put(COLOURS, "?", "1")
    assert reply == Given("grey", "1")
    question = [k for k, line in enumerate(typist.shown) if line == "What colour are the plates?"]
    assert len(question) == 2
    assert question[0] < typist.shown.index("Look through the clear end.") < question[1]


def test_what_is_no_answer_is_refused_and_read_again() -> None:
    reply, typist = put(COLOURS, "purple", "white", "3")
    assert reply == Given("white_fluff", "3")
    assert any('"purple" is not one' in line for line in typist.shown)
    assert any('"white" could be' in line for line in typist.shown)


def test_an_empty_line_only_brings_the_prompt_again() -> None:
    reply, typist = put(COLOURS, "", "  ", "1")
    assert reply == Given("grey", "1")
    assert len(typist.prompts) == 3
    assert not any("Type a number" in line for line in typist.shown)


def test_a_doubtful_number_is_kept_when_typed_again_at_once() -> None:
    assert put(SALT, "12", "12")[0] == Given(12.0, "12")
    assert put(SALT, "12", "13", "12", "12 g/L")[0] == Given(12000.0, "12 g/L")
    assert put(SALT, "12", "?", "12", "dk")[0] is Control.UNKNOWN


def test_cant_asks_for_its_reason() -> None:
    reply, typist = put(COLOURS, "can't", "", "the lid is seized")
    assert reply == Unable("the lid is seized")
    assert any("Why not?" in prompt for prompt in typist.prompts)


def test_whoever_has_no_reason_goes_back_to_the_question() -> None:
    assert put(COLOURS, "can't", "back", "1")[0] == Given("grey", "1")


class Hasty(Typist):
    """Somebody whose first keys were hit before anything stood on the screen."""

    def forget_keys(self) -> None:
        """As the terminal does: what was hit ahead is gone."""
        self.typed = [key for key in self.typed if not key.startswith("ahead ")]

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = NOTHING_OFFERED, /) -> str:
        return super().read(prompt, shown, offer).removeprefix("ahead ")


def test_consent_that_was_typed_before_the_caution_stood_there_is_none() -> None:
    hasty = Hasty(["ahead ok", "ahead 1", "back"])
    assert LineFrontEnd(hasty).put(CAUTIONED, nothing_more) == Control.BACK
    assert hasty.prompts == ['type "ok" > ']


def test_cautions_are_confirmed_before_the_question_is_shown() -> None:
    reply, typist = put(CAUTIONED, "", "1", "ok", "1")
    assert reply == Given("grey", "1")
    assert typist.prompts == ['type "ok" > ', 'type "ok" > ', 'type "ok" > ', "1-4!, or ? > "]
    assert typist.shown.index("DANGER: It can kill.") < typist.shown.index(" 1  Grey, as new")


@pytest.mark.parametrize(
    ("typed", "reply"),
    [
        (["back"], Control.BACK),
        (["leave"], Control.LEAVE),
        (["finish"], Control.FINISH),
        (["note hot"], Note("hot")),
        (["can't no gloves"], Unable("no gloves")),
        (["can't", "no gloves"], Unable("no gloves")),
        (["?", "dk", "back"], Control.BACK),
    ],
)
def test_who_will_not_confirm_can_still_reply(typed: list[str], reply: Reply) -> None:
    assert put(CAUTIONED, *typed)[0] == reply


@pytest.mark.parametrize(("rows", "pages"), [(None, 0), (40, 0), (24, 0), (23, 1), (12, 3)])
def test_steps_that_leave_no_room_for_their_question_come_before_it_a_screen_at_a_time(
    rows: int | None, pages: int
) -> None:
    steps = ("Do this and mind that.",) * 20
    typist = Typist(["done" if rows is None or pages == 0 else ""] + [""] * (pages - 1) + ["done"], height=rows)
    work = replace(COLOURS, kind="perform", steps=steps, choices=(Choice("done", "Done"),))
    assert LineFrontEnd(typist).put(work, nothing_more) == Given("done", "done")
    assert typist.prompts.count("more > ") == pages
    shown = [line for line in typist.shown if "Do this" in line]
    assert len(shown) == len(steps)
    if rows is not None and pages:
        last = typist.shown[max(k for k, line in enumerate(typist.shown) if "Do this" in line) + 1 :]
        assert COLOURS.text in last
        assert len(last) < rows


def test_what_is_said_between_two_screens_is_a_reply() -> None:
    work = replace(COLOURS, kind="perform", steps=("Do it.",) * 40)
    assert put(work, "", "can't no time")[0] == Unable("no time")
    assert put(work, "leave")[0] is Control.LEAVE
    assert put(work, "zebra", "", "", "back")[0] is Control.BACK


def test_the_hint_is_said_once() -> None:
    typist = Typist(["1", "1"])
    front = LineFrontEnd(typist)
    front.put(COLOURS, nothing_more)
    front.put(COLOURS, nothing_more)
    assert sum("At any question" in line for line in typist.shown) == 1


def test_the_question_is_reported_as_standing_before_a_line_is_read() -> None:
    calls: list[int] = []
    typist = Typist(["1"])
    LineFrontEnd(typist).put(COLOURS, lambda: calls.append(len(typist.shown)))
    assert calls
    assert calls[0] > len(COLOURS.choices)


def test_reasons_are_asked_where_an_answer_needs_one() -> None:
    question = replace(COLOURS, choices=(Choice("done", "Done"), Choice("could_not", "Could not", needs_reason=True)))
    assert put(question, "2", "no part")[0] == Unable("no part")


@pytest.mark.parametrize(
    ("question", "keys"),
    [
        (COLOURS, "1234"),
        (replace(COLOURS, harmless=False), ""),
        (replace(SALT, harmless=True), ""),
        (replace(COLOURS, choices=tuple(Choice(f"c{n}", f"Choice {n}") for n in range(10))), ""),
    ],
)
def test_a_figure_answers_at_once_only_where_a_slip_does_no_harm(question: Question, keys: str) -> None:
    _, typist = put(question, "1")
    assert typist.at_once[0] == keys


def test_where_a_slip_could_do_harm_only_yes_agrees_and_what_was_hit_before_counts_for_nothing() -> None:
    grave = replace(COLOURS, harmless=False)
    hasty = Hasty(["gray", "ahead yes", "", "2"])
    assert LineFrontEnd(hasty).put(grave, nothing_more) == Given("white_scale", "2")
    assert put(grave, "gray", "yes")[0] == Given("grey", "grey")


@pytest.mark.parametrize("kind", ["confirm", "perform", "verify", "clear", "close"])
def test_what_ends_or_endangers_something_is_never_answered_ahead(kind: QuestionKind) -> None:
    hasty = Hasty(["ahead 1", "ahead ", "2"])
    question = replace(COLOURS, kind=kind, harmless=False)
    assert LineFrontEnd(hasty).put(question, nothing_more) == Given("white_scale", "2")
    assert put(question, "", "", "back")[0] is Control.BACK


def test_the_prompt_tells_by_a_sign_whether_a_figure_answers_at_once() -> None:
    assert put(COLOURS, "1")[1].prompts == ["1-4!, or ? > "]
    assert put(replace(COLOURS, harmless=False), "1")[1].prompts == ["1-4, or ? > "]
    free = put(replace(COLOURS, free=True), "1")[1]
    assert (free.prompts, free.at_once) == (["1-4, or ? > "], [""])
    by_line = Typist(["1"])
    by_line.by_key = False
    LineFrontEnd(by_line).put(COLOURS, nothing_more)
    assert by_line.prompts == ["1-4, or ? > "]


def test_where_a_reason_is_asked_for_the_list_and_leaving_hold_and_help_is_no_reason() -> None:
    assert put(COLOURS, "can't", "list")[0] == Request("list")
    assert put(COLOURS, "can't", "leave")[0] is Control.LEAVE
    assert put(COLOURS, "can't", "?", "no tool")[0] == Unable("no tool")
    assert put(COLOURS, "can't", "dk")[0] == Unable("dk")
