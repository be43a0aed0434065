"""One question after another on anything that writes lines and reads lines: show, read, help, ask back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from engine.foundation.texts import say
from interview.frontends.layout import (
    Line,
    asked,
    before_asked,
    caution_blocks,
    caution_lines,
    figured,
    helped,
    in_screens,
    keys_screen,
    paragraph,
    prompt_for,
    sheet_columns,
)
from interview.messages import (
    CautionText,
    Control,
    Deferred,
    Given,
    Heard,
    Note,
    Question,
    Reply,
    Request,
    Sheet,
    Unable,
)
from interview.understanding.normalize import clean, too_long
from interview.understanding.replies import at_once, is_back, is_consent, read, value_of
from interview.understanding.results import AskReason, Help, Keys, Refusal


class Lines(Protocol):
    """A screen and keyboard, or anything that stands for them."""

    @property
    def width(self) -> int:
        """Columns of the screen now."""
        ...

    @property
    def height(self) -> int | None:
        """Rows of the screen now; None where nothing scrolls away."""
        ...

    def write(self, lines: Sequence[Line]) -> None:
        """Show lines below what is shown already."""
        ...

    def forget_keys(self) -> None:
        """Forget what was typed before now and not read yet, where keys come from a person's hand."""
        ...

    def read(self, prompt: str, shown: Callable[[], None], at_once: str = "", /) -> str:
        """One line of typed text; `shown` is called once the prompt stands. Raises EOFError at the end of input.

        Each key of `at_once` may be the whole line as soon as it is hit, where keys come one by one.
        """
        ...


class LineFrontEnd:
    """A front end of lines. A question ends with a reply; help and what is no answer stay inside."""

    def __init__(self, lines: Lines) -> None:
        """Args: the screen and keyboard."""
        self._lines = lines
        self._hinted = False
        self._owed = ""
        self._reached: dict[str, int] = {}

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Show the question and read until there is a reply; the end of input is leaving."""
        self._settle()
        try:
            if question.confirm_cautions and (reply := self._confirm(question)) is not None:
                return reply
            if question.one_by_one and (reply := self._lead(question)) is not None:
                return reply
            screens, question = before_asked(question, self._lines.width, self._lines.height)
            for screen in screens:
                self._lines.write(screen)
                if (reply := self._more(question)) is not None:
                    return reply
            return self._ask(question, shown)
        except EOFError:
            return Control.LEAVE

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Tell something that needs no reply."""
        self._settle()
        width = self._lines.width
        said = [line for part in text.split("\n") for line in paragraph(part, width)]
        self._lines.write([Line(""), *said, *caution_lines(cautions, width)])

    def heard(self, heard: Heard) -> bool:
        """Show each fact on a line; what may be meant is asked back."""
        self._settle()
        width = self._lines.width
        lines: list[Line] = []
        for fact in heard.facts:
            lines += paragraph(f"{fact.name}: {fact.words}", width, "quiet", first="   = ")
        self._lines.write(lines)
        return True

    def show_sheet(self, sheet: Sheet) -> None:
        """Show the sheet, set for the width of the screen."""
        self._settle()
        printed = sheet.text(sheet_columns(self._lines.width))
        self._lines.write([Line(""), *(Line(line) for line in printed.splitlines())])

    def _read(self, prompt: str, shown: Callable[[], None], at_once: str = "") -> str:
        """One line; one that is too long is refused whole, and another is read."""
        while refused := too_long(typed := self._lines.read(prompt, shown, at_once)):
            self._lines.write(paragraph(refused, self._lines.width))
        return typed

    def _ask(self, question: Question, shown: Callable[[], None]) -> Reply:
        self._lines.write(asked(question, self._lines.width, self._lines.height))
        if not self._hinted:
            self._lines.write(paragraph(say("opening.hint"), self._lines.width, "quiet"))
            self._hinted = True
        doubted, explained = "", False
        if question.kind == "confirm":
            self._lines.forget_keys()
        while True:
            typed = self._read(prompt_for(question), shown, at_once(question))
            if not clean(typed):
                if question.passes:
                    return Given(question.passes)
                # Return by habit after a one-key command, or by accident: the prompt says again what it takes.
                continue
            meant = read(typed, question, doubted)
            doubted = ""
            match meant:
                case Keys():
                    self._lines.write(keys_screen(self._lines.width))
                case Help() if explained:
                    self._figures(question)
                case Help():
                    explained, width = True, self._lines.width
                    self._lines.write([*helped(question, width), *asked(question, width, self._lines.height)])
                case Refusal(message, keep):
                    doubted = keep
                    self._lines.write(paragraph(message, self._lines.width))
                case AskReason() as wanted:
                    if (reason := self._reason(wanted.tells)) is not None:
                        return Given(wanted.choice, reason) if wanted.choice else Unable(reason)
                case _:
                    self._echo(meant, question)
                    return meant

    def _figures(self, question: Question) -> None:
        """The figures behind a question, or that there are none."""
        width = self._lines.width
        none = paragraph(say("talk.figures.none"), width)
        self._lines.write(none if question.figures is None else figured(question.figures(), width))

    def _echo(self, reply: Reply, question: Question) -> None:
        """Keep what was understood, where that is more than what was typed, to be shown as soon as it is on disk."""
        if reply is Control.UNKNOWN:
            self._owed = say("asking.echo.unknown")
        if isinstance(reply, Deferred):
            self._owed = say("talk.later.echo_when", when=reply.when) if reply.when else say("talk.later.echo")
        if isinstance(reply, Given) and (words := value_of(reply.value, question)).casefold() != reply.text.casefold():
            self._owed = say("asking.echo.computed", value=words, how=reply.how) if reply.how else words

    def _settle(self) -> None:
        """Show what the last reply was understood as: whoever comes back for more has kept it."""
        if self._owed:
            self._lines.write(paragraph(self._owed, self._lines.width, "quiet", first="   = "))
            self._owed = ""

    def _reason(self, tells: str = "") -> str | None:
        """Why something cannot be done, or what `tells` asks for; None where the person goes back to the question."""
        while True:
            typed = clean(self._read(tells or say("asking.prompt.reason"), _nothing))
            if is_back(typed):
                return None
            if typed:
                return typed
            self._lines.write(paragraph(say("asking.say_how" if tells else "asking.say_why"), self._lines.width))

    def _confirm(self, question: Question) -> Reply | None:
        """The cautions, until they are confirmed; or the reply that keeps the question from being asked."""
        width = self._lines.width
        before = paragraph(say("asking.before_this", question=question.text), width)
        *screens, last = in_screens([before, *caution_blocks(question.cautions, width)], self._lines.height)
        for screen in screens:
            self._lines.write(screen)
            if (reply := self._more(question)) is not None:
                return reply
        self._lines.write(last)
        # Consent to what has not been read yet is none.
        self._lines.forget_keys()
        while True:
            typed = self._read(say("asking.prompt.confirm"), _nothing)
            if is_consent(typed):
                return None
            match read(typed, question):
                case (
                    Control.BACK | Control.FINISH | Control.LEAVE | Unable() | Deferred() | Note() | Request()
                ) as reply:
                    return reply
                case AskReason():
                    if (reason := self._reason()) is not None:
                        return Unable(reason)
                case Help():
                    self._lines.write(helped(question, self._lines.width))
                case _:
                    pass
            self._lines.write(paragraph(say("asking.mind_this"), self._lines.width))

    def _more(self, question: Question) -> Reply | None:
        """Wait until a screen has been read; a reply where one is given there already."""
        while clean(typed := self._read(say("talk.more"), _nothing)) and not is_consent(typed):
            meant = read(typed, question)
            if isinstance(meant, Control | Unable | Deferred | Note | Request):
                return meant
        return None

    def _lead(self, question: Question) -> Reply | None:
        """The steps one by one until the last is done; or the reply that breaks off.

        Where other facts or a note come between, it goes on at the step that was reached.
        """
        steps, width = question.steps, self._lines.width
        self._lines.write([Line(""), *paragraph(question.text, width, "strong")])
        self._lines.write(paragraph(say("talk.together.first"), width, "quiet"))
        if question.before_steps:
            self._lines.write(paragraph(question.before_steps, width))
        at, helped_last = self._reached.pop(question.about, 0), False
        while at < len(steps):
            step = say("talk.together.step", number=at + 1, count=len(steps), what=steps[at])
            self._lines.write(paragraph(step, width))
            typed = self._read(say("talk.together.prompt"), _nothing)
            by_habit, helped_last = helped_last and not clean(typed), False
            if by_habit:
                # `?` needs no Return; one that follows it says nothing of a step.
                continue
            if not clean(typed) or is_consent(typed):
                at += 1
                continue
            match read(typed, question):
                case Control.BACK if at > 0:
                    at -= 1
                case (
                    Control.BACK | Control.FINISH | Control.LEAVE | Unable() | Deferred() | Note() | Request()
                ) as reply:
                    self._reached[question.about] = at
                    return reply
                case AskReason():
                    if (reason := self._reason()) is not None:
                        return Unable(reason)
                case Help():
                    self._lines.write(helped(question, width))
                    helped_last = True
                case _:
                    self._lines.write(paragraph(say("talk.together.first"), width))
        return None


def _nothing() -> None:
    """For reads that are no question of their own."""
