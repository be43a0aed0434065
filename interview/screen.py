"""A question laid out as lines for a screen of any width, each line with a tone; pure."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from interview.frontend import CautionText, Question
from interview.wording import COMMANDS
from reports.text import columns, wrapped

__all__ = ["HINT", "Line", "Tone", "asked", "caution_lines", "fitted", "helped", "paragraph", "prompt_for"]

Tone = Literal["plain", "quiet", "strong", "DANGER", "WARNING", "CAUTION", "NOTICE"]
"""How a line may be coloured; the words alone say everything."""

NARROWEST = 24
_WIDEST = 90
HINT = "At any question: ? for help, back, dk (don't know), can't, finish, leave."
"""The commands in one line, said once."""


@dataclass(frozen=True)
class Line:
    """One line of a screen."""

    text: str
    tone: Tone = "plain"


def asked(question: Question, width: int, height: int | None = None) -> tuple[Line, ...]:
    """The question with all that is shown beside it; cautions come before it, unless they are confirmed first.

    What is said more fully of a choice is left to the help where the screen has not the rows for it.
    """
    lines = _asked(question, width, full=True)
    if height is None or len(lines) < height:
        return lines
    return _asked(question, width, full=False)


def _asked(question: Question, width: int, full: bool) -> tuple[Line, ...]:
    lines: list[Line] = [Line("")]
    head = " ".join(part for part in (question.progress, question.standing) if part)
    if question.progress and question.standing and columns(head) > _room(width):
        lines += paragraph(question.progress, width, "quiet")
        lines += paragraph(question.standing, width, "quiet")
    elif head:
        lines += paragraph(head, width, "quiet")
    if not question.confirm_cautions:
        lines += caution_lines(question.cautions, width)
    lines += paragraph(question.text, width, "strong")
    for detail in question.details if question.kind != "close" else ():
        place, stop, step = detail.partition(". ")
        if stop and place.isdecimal():
            lines += paragraph(step, width, first=f" {place:>2}. ")
        else:
            lines += paragraph(detail, width, first="   ")
    figures = len(str(len(question.choices)))
    for number, choice in enumerate(question.choices, start=1):
        lines += paragraph(choice.text, width, first=f" {number:>{figures}}  ")
        if choice.more and full:
            lines += paragraph(choice.more, width, "quiet", first=" " * (figures + 3))
    if not full and any(choice.more for choice in question.choices):
        lines += paragraph("(? tells how this unit says each of them)", width, "quiet")
    return tuple(lines)


def helped(question: Question, width: int) -> tuple[Line, ...]:
    """The help on a question: how to do it, why it is asked, and what else can be typed."""
    lines: list[Line] = [Line("")]
    if question.how:
        lines += paragraph(question.how, width)
    if question.why:
        lines += paragraph("Why this is asked:", width, "strong")
        for reason in question.why:
            lines += paragraph(reason, width, first="   ")
    for number, choice in enumerate(question.choices, start=1):
        if choice.more:
            lines += paragraph(f"{choice.text}: {choice.more}", width, first=f" {number}  ")
    if question.unknown:
        lines += paragraph(f"Don't know: {question.unknown}.", width)
    lines += paragraph("At any question you can also type:", width, "strong")
    for word, meaning in COMMANDS:
        lines += paragraph(meaning, width, first=f"   {word:<12} ")
    return tuple(lines)


def caution_lines(cautions: Iterable[CautionText], width: int) -> tuple[Line, ...]:
    """Cautions, each headed by its signal word."""
    lines: list[Line] = []
    for caution in cautions:
        tone: Tone = next((t for t in ("DANGER", "WARNING", "CAUTION") if t == caution.signal), "NOTICE")
        lines += paragraph(caution.text, width, tone, first=f"{caution.signal}: ", rest="   ")
    return tuple(lines)


def paragraph(text: str, width: int, tone: Tone = "plain", first: str = "", rest: str | None = None) -> list[Line]:
    """A paragraph in lines that fit the width, no word cut."""
    return [Line(line, tone) for line in wrapped(text, first, rest, width=_room(width)).split("\n")]


def prompt_for(question: Question) -> str:
    """What stands before the cursor."""
    if question.measure is not None:
        return f"{question.measure.unit}, or ? > "
    return f"1-{len(question.choices)}, or ? > "


def fitted(text: str, width: int) -> Iterator[Line]:
    """Ready-made text, such as a sheet: lines that are too long go on below, under their own beginning."""
    for line in text.splitlines():
        if columns(line) <= width:
            yield Line(line)
            continue
        indent = " " * min(len(line) - len(line.lstrip()), NARROWEST // 2)
        for part in textwrap.wrap(
            line.strip(),
            max(width, NARROWEST),
            initial_indent=indent,
            subsequent_indent=indent + "  ",
            break_on_hyphens=False,
        ):
            yield Line(part)


def _room(width: int) -> int:
    return min(max(width - 1, NARROWEST), _WIDEST)
