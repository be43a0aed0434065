"""What stands beside a step: the caution that is met there, and the step at which something sold is used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from engine.foundation.texts import said, say
from reports.document import Block, CautionBox, Items
from reports.phrases import sentence
from reports.view.model import CautionLine

NONE: Mapping[int, str] = {}


def steps_with_cautions(
    steps: Sequence[str],
    boxes: Sequence[CautionLine],
    lines: Sequence[CautionLine],
    amounts: Mapping[int, str] = NONE,
) -> tuple[Block, ...]:
    """Numbered steps; before a step the cautions that are met there in boxes, below it those that are told in a line.

    A caution stands at the first step with one of its words (`handout.beside.cautions`), and before all steps where no
    step has one: it is never left out. At one step the gravest comes first. What a step says itself in the same words
    is not told again below it.

    Args: the steps, one or more; the cautions, gravest first; and by the number of a step what it takes.
    """
    words = said("handout.beside.cautions")
    at = {line.caution: step_of(words.get(line.caution, ""), steps) or 1 for line in (*boxes, *lines)}
    return tuple(_parted(steps, boxes, lines, at, amounts))


def _parted(
    steps: Sequence[str],
    boxes: Sequence[CautionLine],
    lines: Sequence[CautionLine],
    at: Mapping[str, int],
    amounts: Mapping[int, str],
) -> Iterator[Block]:
    begins, items = 1, list[tuple[str, str]]()
    for number, step in enumerate(steps, start=1):
        here = [line for line in boxes if at[line.caution] == number]
        if here and items:
            yield Items(tuple(items), "number", begins)
            begins, items = number, []
        yield from (CautionBox(line.caution, line.signal, line.text) for line in here)
        told = (unsaid(line.text, step) for line in lines if at[line.caution] == number)
        items.append((step, " ".join(part for part in (amounts.get(number, ""), *told) if part)))
    yield Items(tuple(items), "number", begins)


def unsaid(text: str, step: str) -> str:
    """What a text says beside a step: without each of its parts, parted by semicolons, that stands there word for word.

    Articles apart, in the same order and with no other word between: `pump off` is not said by `lift the pump lid off`.

    >>> unsaid("Lift bags with two people; wet tiles are slippery.", "Lift the bags with two people.")
    'Wet tiles are slippery.'
    """
    there = f" {' '.join(_words(step))} "
    parts = text.split(";")
    left = [part.strip() for part in parts if f" {' '.join(_words(part))} " not in there]
    if len(left) == len(parts):
        return text
    return sentence("; ".join(left)) if left else ""


def _words(text: str) -> list[str]:
    articles = say("handout.beside.articles").split()
    return [word for word in re.findall(r"\w+", text.casefold()) if word not in articles]


def used_at(part: str, steps: Sequence[str]) -> tuple[int, ...]:
    """The numbers of the steps that use a part; none where no step does."""
    return _steps_of(said("handout.beside.parts").get(part, ""), steps)


def step_of(forms: str, steps: Sequence[str]) -> int:
    """The number of the first step with one of these words; 0 where none has.

    Args: words parted by commas, and by semicolons where the next ones count only if no step has one of those before.
    """
    return next(iter(_steps_of(forms, steps)), 0)


def _steps_of(forms: str, steps: Sequence[str]) -> tuple[int, ...]:
    for choice in forms.split(";"):
        words = [re.escape(form.strip()) for form in choice.split(",") if form.strip()]
        pattern = re.compile(rf"(?<!\w)(?:{'|'.join(words)})", re.IGNORECASE)
        found = tuple(number for number, step in enumerate(steps, start=1) if words and pattern.search(step))
        if found:
            return found
    return ()
