"""A question laid out as lines for a screen of any width, each line with a tone; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from interview.frontend import CautionText, Question
from interview.wording import COMMANDS
from reports.text import WIDTH, columns, wrapped

__all__ = [
    "HINT",
    "Line",
    "Tone",
    "asked",
    "caution_lines",
    "fitted",
    "helped",
    "keys_screen",
    "paragraph",
    "prompt_for",
]

Tone = Literal["plain", "quiet", "strong", "DANGER", "WARNING", "CAUTION", "NOTICE"]
"""How a line may be coloured; the words alone say everything."""

NARROWEST = 24
_MARK = re.compile(r"- |= |\[ \] |[0-9]{1,2}\. |[A-Z]{6,7}  ")
"""What begins a line of its own on a sheet: a list, a box to tick, a number, a signal word."""
_RULE = frozenset("=-_")
_WORD = re.compile(r"[0-9][0-9.,]* \S+|\S+")
"""A word, or a number with its unit, which no wrapping parts."""
_DOTS = re.compile(r" \.{3,} ")
_GAP = re.compile(r" {3,}")
_WIDEST = 90
HINT = "At any question: ? for help, back, dk (don't know), can't, list, finish, leave."
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
    lines += paragraph("? again for all that can be typed.", width, "quiet")
    return tuple(lines)


def keys_screen(width: int) -> tuple[Line, ...]:
    """All that can be typed; on 40 columns it fits 24 rows."""
    lines: list[Line] = paragraph("At any question you can also type:", width, "strong")
    for word, meaning in COMMANDS:
        lines += paragraph(meaning, width, first=f" {word:<10} ", rest=" " * 12)
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
    """Ready-made text of 80 columns, such as a sheet, for a screen that may be narrower.

    Lines that were only wrapped are joined again and folded anew under their own beginning; dots and rules shrink.
    """
    lines = text.splitlines()
    if all(columns(line) <= width for line in lines):
        yield from (Line(line) for line in lines)
        return
    for first, hang, text_here in _unwrapped(lines):
        if columns(first + text_here) <= width:
            yield Line(first + text_here)
        elif set(text_here) <= _RULE:
            yield Line(text_here[:width])
        else:
            short = _DOTS.sub(" ... ", text_here)
            indent = " " * min(len(hang), NARROWEST // 2)
            yield from (Line(line) for line in wrapped(short, first, indent, width=max(width, NARROWEST)).split("\n"))


def _unwrapped(lines: Sequence[str]) -> Iterator[tuple[str, str, str]]:
    """Paragraphs as (what stands before the first line, before the others, text).

    A line goes on in the next where that one's first word would not have fitted behind it, and no mark begins it.
    """
    place = 0
    while place < len(lines):
        last, text = lines[place], lines[place].strip()
        first = _indent(last)
        mark = _MARK.match(text)
        hang = first + " " * (len(mark[0]) if mark else 2)
        place += 1
        while place < len(lines) and _goes_on(last, lines[place]):
            last = lines[place]
            hang = _indent(last)
            text = f"{text} {last.strip()}"
            place += 1
        yield first, hang, text


def _goes_on(line: str, following: str) -> bool:
    text = following.strip()
    to_the_edge = columns(line) == WIDTH and _GAP.search(line.strip())
    if not line.strip() or set(line.strip()) <= _RULE or to_the_edge or _MARK.match(text):
        return False
    word = _WORD.match(text)
    return word is not None and not set(text) <= _RULE and columns(line) + 1 + columns(word[0]) > WIDTH


def _indent(line: str) -> str:
    return " " * (len(line) - len(line.lstrip()))


def _room(width: int) -> int:
    return min(max(width - 1, NARROWEST), _WIDEST)
