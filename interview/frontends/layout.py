"""A question laid out as lines for a screen of any width, each line with a tone; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from engine.foundation.texts import say
from engine.quantities.quantity import unit_shown
from engine.quantities.unit_systems import unit_asked_in
from interview.messages import CautionText, Question
from interview.understanding.keywords import shown_commands
from reports.text_layout import WIDTH, columns, wrapped

Tone = Literal["plain", "quiet", "strong", "DANGER", "WARNING", "CAUTION", "NOTICE"]
"""How a line may be coloured; the words alone say everything."""

NARROWEST = 24
"""Fewer columns are as good as none: what is longer then runs over the edge."""
_WIDEST = 90
_ROOM_TO_TYPE = 16
ALOUD = 1_000_000
"""Columns of a screen that nobody looks at: what is read aloud is broken nowhere."""


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


def before_asked(question: Question, width: int, height: int | None) -> tuple[list[tuple[Line, ...]], Question]:
    """Screens to be read before the question, where cautions and details leave no room for it; and it without them."""
    if height is None or len(_asked(question, width, full=False)) < height:
        return [], question
    told = () if question.confirm_cautions else question.cautions
    title = paragraph(question.text, width, "strong")
    cautions, details = caution_blocks(told, width), _details(question, width)
    blocks = [title, *((*details, *cautions) if question.steps_first else (*cautions, *details))]
    return in_screens(blocks, height), replace(question, before_steps="", steps=(), details=(), cautions=())


def in_screens(blocks: Iterable[Sequence[Line]], height: int | None) -> list[tuple[Line, ...]]:
    """Blocks of lines on screens, a prompt below each and an empty row above; none is parted that fits one screen."""
    rows = max(height - 2, 1) if height is not None else None
    screens: list[list[Line]] = [[]]
    for block in blocks:
        if rows is not None and screens[-1] and len(screens[-1]) + len(block) > rows:
            screens.append([])
        for line in block:
            if rows is not None and len(screens[-1]) == rows:
                screens.append([])
            screens[-1].append(line)
    return [(Line(""), *screen) for screen in screens]


def _details(question: Question, width: int) -> list[list[Line]]:
    """The lines of each step that is not told one by one, and of each detail."""
    shown = not question.one_by_one
    told, steps = (question.before_steps, question.steps) if shown else ("", ())
    return [
        *([paragraph(told, width, first="   ")] if told else []),
        *(paragraph(step, width, first=f" {number:>2}. ") for number, step in enumerate(steps, start=1)),
        *(paragraph(detail, width, first="   ") for detail in question.details),
    ]


def _asked(question: Question, width: int, full: bool) -> tuple[Line, ...]:
    lines: list[Line] = [Line("")]
    head = " ".join(part for part in (question.progress, question.standing) if part)
    if question.progress and question.standing and columns(head) > _room(width):
        lines += paragraph(question.progress, width, "quiet")
        lines += paragraph(question.standing, width, "quiet")
    elif head:
        lines += paragraph(head, width, "quiet")
    cautions = () if question.confirm_cautions else caution_lines(question.cautions, width)
    if not question.steps_first:
        lines += cautions
    lines += paragraph(question.text, width, "strong")
    if question.kind != "close":
        lines += [line for block in _details(question, width) for line in block]
    if question.steps_first:
        lines += cautions
    figures = len(str(len(question.choices)))
    for number, choice in enumerate(question.choices, start=1):
        lines += paragraph(choice.text, width, first=f" {number:>{figures}}  ")
        if choice.more and full:
            lines += paragraph(choice.more, width, "quiet", first=" " * (figures + 3))
    if not full and any(choice.more for choice in question.choices):
        lines += paragraph(say("asking.help.more_of_each"), width, "quiet")
    return tuple(lines)


def helped(question: Question, width: int) -> tuple[Line, ...]:
    """The help on a question: how to do it, why it is asked, and what else can be typed."""
    lines: list[Line] = [Line("")]
    if question.how:
        lines += paragraph(question.how, width)
    if question.why:
        lines += paragraph(say("asking.help.why"), width, "strong")
        for reason in question.why:
            lines += paragraph(reason, width, first="   ")
    for number, choice in enumerate(question.choices, start=1):
        if choice.more:
            lines += paragraph(f"{choice.text}: {choice.more}", width, first=f" {number}  ")
    if question.unknown:
        lines += paragraph(say("asking.help.unknown", what=question.unknown), width)
    more = "help_more" if question.figures is not None else "help_no_figures"
    lines += paragraph(say(f"talk.{more}"), width, "quiet")
    return tuple(lines)


def figured(lines: Iterable[str], width: int) -> tuple[Line, ...]:
    """The figures behind a question, each line with its own indent kept."""
    shown: list[Line] = [Line("")]
    for line in lines:
        shown += paragraph(line.strip(), width, first=" " * (len(line) - len(line.lstrip())), rest="     ")
    return tuple(shown)


def keys_screen(width: int) -> tuple[Line, ...]:
    """All that can be typed; on 40 columns it fits 24 rows."""
    lines: list[Line] = paragraph(say("asking.help.keys"), width, "strong")
    shown = shown_commands()
    longest = max(columns(word) for word, _ in shown)
    for word, meaning in shown:
        lines += paragraph(meaning, width, first=f" {word:<{longest}} ", rest=" " * (longest + 2))
    return tuple(lines)


def caution_lines(cautions: Iterable[CautionText], width: int) -> tuple[Line, ...]:
    """Cautions, each headed by its signal word."""
    return tuple(line for block in caution_blocks(cautions, width) for line in block)


def caution_blocks(cautions: Iterable[CautionText], width: int) -> list[list[Line]]:
    """The lines of each caution."""
    blocks = []
    for caution in cautions:
        tone: Tone = next((t for t in ("DANGER", "WARNING", "CAUTION") if t == caution.signal), "NOTICE")
        head = f"{say(f'pages.signals.{caution.signal}')}: "
        blocks.append(paragraph(caution.text, width, tone, first=head, rest="   "))
    return blocks


def paragraph(text: str, width: int, tone: Tone = "plain", first: str = "", rest: str | None = None) -> list[Line]:
    """A paragraph in lines that fit the width, no word cut."""
    return [Line(line, tone) for line in wrapped(text, first, rest, width=_room(width)).split("\n")]


def prompt_for(question: Question, width: int = WIDTH, at_once: bool = False) -> str:
    """What stands before the cursor: what can be typed, a sign where figures answer at once, and what Return picks.

    What Return picks stands on a line of its own where the screen is too narrow for both.
    """
    if width >= ALOUD:
        return _prompt_aloud(question)
    if question.measure is not None:
        prompt = say("opening.prompt.number", unit=unit_shown(unit_asked_in(question.measure.unit)))
    else:
        prompt = say(f"opening.prompt.{'at_once' if at_once else 'choice'}", most=len(question.choices))
    picked = next((choice.text for choice in question.choices if choice.id == question.passes), "")
    if not picked:
        return prompt
    passes = say("opening.prompt.passes", choice=picked.rstrip("."))
    on_one = f"{passes}; {prompt}"
    return on_one if columns(on_one) <= width - _ROOM_TO_TYPE else f"{passes}\n{prompt}"


def _prompt_aloud(question: Question) -> str:
    """The prompt in words, as signs are spelt out one by one."""
    if question.measure is not None:
        return say("opening.prompt.aloud.number", unit=unit_shown(unit_asked_in(question.measure.unit)))
    picked = next((choice.text for choice in question.choices if choice.id == question.passes), "")
    key = "passes" if picked else "choice"
    return say(f"opening.prompt.aloud.{key}", most=len(question.choices), choice=picked.rstrip("."))


def sheet_columns(width: int) -> int:
    """Columns that a sheet is set in for a screen of this width."""
    return min(max(width, NARROWEST), WIDTH)


def _room(width: int) -> int:
    return width if width >= ALOUD else min(max(width - 1, NARROWEST), _WIDEST)
