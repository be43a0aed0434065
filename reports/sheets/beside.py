"""What stands beside a step: the caution that is met there, and the step at which something sold is used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from engine.foundation.texts import said
from reports.document import Block, CautionBox, Items
from reports.view.model import CautionLine


def steps_with_cautions(
    steps: Sequence[str], boxes: Sequence[CautionLine], lines: Sequence[CautionLine]
) -> tuple[Block, ...]:
    """Numbered steps; before a step the cautions that are met there in boxes, below it those that are told in a line.

    A caution stands at the first step with one of its words (`handout.beside.cautions`), and before all steps where no
    step has one: it is never left out. At one step the gravest comes first.

    Args: the steps, one or more, and the cautions, gravest first.
    """
    words = said("handout.beside.cautions")
    at = {line.caution: step_of(words.get(line.caution, ""), steps) or 1 for line in (*boxes, *lines)}
    return tuple(_parted(steps, boxes, lines, at))


def _parted(
    steps: Sequence[str], boxes: Sequence[CautionLine], lines: Sequence[CautionLine], at: Mapping[str, int]
) -> Iterator[Block]:
    begins, items = 1, list[tuple[str, str]]()
    for number, step in enumerate(steps, start=1):
        here = [line for line in boxes if at[line.caution] == number]
        if here and items:
            yield Items(tuple(items), "number", begins)
            begins, items = number, []
        yield from (CautionBox(line.caution, line.signal, line.text) for line in here)
        items.append((step, " ".join(line.text for line in lines if at[line.caution] == number)))
    yield Items(tuple(items), "number", begins)


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
