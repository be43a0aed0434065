"""One question after another on anything that writes lines and reads lines: show, read, help, ask back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from engine.foundation.texts import say
from interview.frontends.layout import (
    ALOUD,
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
from interview.understanding.completing import words_for
from interview.understanding.keywords import all_commands
from interview.understanding.normalize import clean, too_long
from interview.understanding.replies import at_once, is_back, is_consent, read, slip, value_of
from interview.understanding.results import AskReason, Help, Keys, Paper, Refusal


@dataclass(frozen=True)
class Offer:
    """What helps to type a line, where keys come one by one.

    Each key of `at_once` is the whole line as soon as it is hit; `passes`, whether Return alone is a reply there all
    the same; `words` are those that Tab completes.
    """

    at_once: str = ""
    passes: bool = False
    words: Callable[[], Sequence[str]] = tuple


NOTHING_OFFERED = Offer()


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

    @property
    def by_key(self) -> bool:
        """Whether single keys are read, so that one can answer at once."""
        ...

    def page(self, lines: Sequence[Line]) -> None:
        """Show lines that are more than a screen, to be read at one's own pace."""
        ...

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = ..., /) -> str:
        """One line of typed text; `shown` is called once the prompt stands. Raises EOFError at the end of input."""
        ...


@dataclass
class _SoFar:
    """What the lines at one question came to: a number asked back, a slip asked back, whether help was given."""

    doubted: str = ""
    proposed: str = ""
    explained: bool = False


class LineFrontEnd:
    """A front end of lines. A question ends with a reply; help and what is no answer stay inside."""

    def __init__(self, lines: Lines) -> None:
        """Args: the screen and keyboard."""
        self._lines = lines
        self._hinted: set[str] = set()
        self._owed = ""
        self._reached: dict[str, int] = {}
        self._sheet: Sheet | None = None

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """Show the question and read until there is a reply; the end of input is leaving."""
        self._settle()
        try:
            if question.confirm_cautions and (reply := self._confirm(question)) is not None:
                return reply
            if question.one_by_one and (reply := self._lead(question)) is not None:
                return reply
            if self._sheet is not None and question.kind == "close" and self._lines.height is not None:
                # What it comes to stands just above.
                question = replace(question, standing="")
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
        """Show what the sheet comes to, on one screen; where nothing scrolls away, the sheet itself."""
        self._settle()
        self._sheet, width = sheet, self._lines.width
        if self._lines.height is None:
            self._lines.write([Line(""), *_printed(sheet, width)])
        else:
            self._lines.write([Line(""), *(line for said in sheet.in_short() for line in paragraph(said, width))])

    def _read(self, prompt: str, shown: Callable[[], None], offer: Offer | None = None) -> str:
        """One line; one that is too long is refused whole, and another is read."""
        offer = offer or Offer(words=all_commands)
        while refused := too_long(typed := self._lines.read(prompt, shown, offer)):
            self._lines.write(paragraph(refused, self._lines.width))
        return typed

    def _ask(self, question: Question, shown: Callable[[], None]) -> Reply:
        self._lines.write(asked(question, self._lines.width, self._lines.height))
        self._hint(question)
        if question.kind in _KEEPS_NO_KEYS or (question.passes and not question.free):
            self._lines.forget_keys()
        so_far = _SoFar()
        while (reply := self._one_line(question, shown, so_far)) is None:
            pass
        return reply

    def _hint(self, question: Question) -> None:
        """What can be typed, said once; what a sign at the prompt means, where it first stands there."""
        keyed = bool(self._lines.by_key and at_once(question))
        hints = [say("opening.hint"), *([say("opening.hint_keys")] if keyed else [])]
        for hint in (text for text in hints if text not in self._hinted):
            self._lines.write(paragraph(hint, self._lines.width, "quiet"))
            self._hinted.add(hint)

    def _one_line(self, question: Question, shown: Callable[[], None], so_far: _SoFar) -> Reply | None:
        """Read one line and do what it means; the reply, where it is one."""
        prompt = prompt_for(question, self._lines.width, bool(self._lines.by_key and at_once(question)))
        typed = self._read(prompt, shown, self._offer(question, so_far.proposed))
        typed, so_far.proposed = _agreed(typed, so_far.proposed, question), ""
        if not clean(typed):
            # Return by habit after a one-key command, or by accident: the prompt says again what it takes.
            return self._kept(Given(question.passes), question) if question.passes else None
        meant, so_far.doubted = read(typed, question, so_far.doubted), ""
        match meant:
            case Keys() | Help() | Paper():
                self._show(meant, question, so_far)
            case Refusal():
                self._refuse(meant, typed, question, so_far)
            case AskReason(choice, tells):
                reason = self._reason(question, tells)
                if isinstance(reason, str):
                    return self._kept(Given(choice, reason) if choice else Unable(reason), question)
                return reason
            case _:
                return self._kept(meant, question)
        return None

    def _show(self, wanted: Keys | Help | Paper, question: Question, so_far: _SoFar) -> None:
        """Show the keys, the sheet, or the help on a question: first the words of it, then the figures."""
        width = self._lines.width
        match wanted:
            case Keys():
                self._lines.write(keys_screen(width))
            case Paper(annex) if self._sheet is not None:
                self._lines.page(_printed(self._sheet, width, annex))
            case Help() if so_far.explained and question.figures is not None:
                self._lines.write(figured(question.figures(), width))
            case Help() if so_far.explained:
                self._lines.write(paragraph(say("talk.figures.none"), width))
            case _:
                so_far.explained = True
                # Read aloud, a question that stands as it did is not told all over again.
                again = () if width >= ALOUD else asked(question, width, self._lines.height)
                self._lines.write([*helped(question, width), *again])

    def _refuse(self, refused: Refusal, typed: str, question: Question, so_far: _SoFar) -> None:
        """Say why a line is no reply, or ask back what it was a slip of."""
        so_far.doubted = refused.keep
        so_far.proposed = slip(typed, question) if refused.stray else ""
        said = self._proposal(so_far.proposed, question) or refused.message
        self._lines.write(paragraph(said, self._lines.width))

    def _kept(self, reply: Reply, question: Question) -> Reply:
        self._echo(reply, question)
        return reply

    def _proposal(self, proposed: str, question: Question) -> str:
        """What is asked back of a slip: where a slip could do harm, keys that were hit before count for nothing."""
        if not proposed:
            return ""
        if not question.harmless:
            self._lines.forget_keys()
        return say(f"answering.slip.{'return' if question.harmless else 'yes'}", meant=proposed)

    def _offer(self, question: Question, proposed: str) -> Offer:
        """The keys and words of a question; while a slip is asked back Return agrees, where it can do no harm."""
        passes = bool(question.passes) or (bool(proposed) and question.harmless)
        return Offer(at_once(question), passes, lambda: words_for(question))

    def _echo(self, reply: Reply, question: Question) -> None:
        """Keep what was understood, to be shown as soon as it is on disk; what stands on a screen already is not."""
        if reply is Control.UNKNOWN:
            self._owed = say("asking.echo.unknown")
        if isinstance(reply, Deferred):
            self._owed = say("talk.later.echo_when", when=reply.when) if reply.when else say("talk.later.echo")
        if isinstance(reply, Unable):
            self._owed = say("asking.echo.unable", reason=reply.reason)
        words = value_of(reply.value, question) if isinstance(reply, Given) else ""
        if isinstance(reply, Given) and (not self._lines.by_key or words.casefold() != reply.text.casefold()):
            self._owed = say("asking.echo.computed", value=words, how=reply.how) if reply.how else words

    def _settle(self) -> None:
        """Show what the last reply was understood as: whoever comes back for more has kept it."""
        if self._owed:
            self._lines.write(paragraph(self._owed, self._lines.width, "quiet", first="   = "))
            self._owed = ""

    def _reason(self, question: Question, tells: str = "") -> str | Control | Request | None:
        """Why something cannot be done, or what `tells` asks for; None where the person goes back to the question.

        Who wants the list, the sheet or to leave here gets that, and the question stands as it did.
        """
        while True:
            typed = clean(self._read(tells or say("asking.prompt.reason"), _nothing))
            if is_back(typed):
                return None
            match read(typed, replace(question, choices=(), measure=None, says_more=None, alarm=None)):
                case (Control.FINISH | Control.LEAVE | Request("list")) as reply:
                    return reply
                case Help() | Keys():
                    pass
                case _ if typed:
                    return typed
                case _:
                    pass
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
                    reason = self._reason(question)
                    if reason is not None:
                        return Unable(reason) if isinstance(reason, str) else reason
                case Help():
                    self._lines.write(helped(question, self._lines.width))
                case Keys():
                    self._lines.write(keys_screen(self._lines.width))
                case _:
                    pass
            self._lines.write(paragraph(say("asking.mind_this"), self._lines.width))

    def _more(self, question: Question) -> Reply | None:
        """Wait until a screen has been read; a reply where one is given there already."""
        while clean(typed := self._read(say("talk.more"), _nothing)) and not is_consent(typed):
            match read(typed, question):
                case (Control() | Unable() | Deferred() | Note() | Request()) as reply:
                    return reply
                case Help():
                    self._lines.write(helped(question, self._lines.width))
                case Keys():
                    self._lines.write(keys_screen(self._lines.width))
                case _:
                    self._lines.write(paragraph(say("asking.read_on"), self._lines.width))
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
                    reason = self._reason(question)
                    if reason is not None:
                        return Unable(reason) if isinstance(reason, str) else reason
                case Help():
                    self._lines.write(helped(question, width))
                    helped_last = True
                case Keys():
                    self._lines.write(keys_screen(width))
                case _:
                    self._lines.write(paragraph(say("talk.together.first"), width))
        return None


_KEEPS_NO_KEYS = ("confirm", "perform", "verify", "clear", "close", "turned_out")
"""Kinds of questions whose answer cannot be typed before they stand: what is done, what came of it, that it is over."""


def _agreed(typed: str, proposed: str, question: Question) -> str:
    """The line that counts: the one proposed where it is agreed to, else the one typed."""
    by_return = question.harmless and not clean(typed)
    return proposed if proposed and (by_return or is_consent(typed)) else typed


def _printed(sheet: Sheet, width: int, annex: bool = False) -> list[Line]:
    """The whole sheet, set for the width of the screen."""
    return [Line(line) for line in sheet.text(sheet_columns(width), annex).splitlines()]


def _nothing() -> None:
    """For reads that are no question of their own."""
