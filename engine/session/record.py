"""What is recorded by hand beside an interview, for its papers and the bill: whose pool, which unit, times, parts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from engine.foundation.texts import say
from engine.knowledge.model import Part
from engine.session.journal import RECORDED, Event

TEXTS: Final = ("customer", "telephone", "site", "serial", "photo")
"""What is recorded in free words: of people and of what is theirs."""
MINUTES: Final = ("labour", "travel")
FIELDS: Final = (*TEXTS, *MINUTES, "due")
"""What can be recorded by its name, beside `part:` with the id of a part."""
FACTS: Final = ("due", "helped", "came_back", "pool", "person", "cause", "thrown_away")
"""What is recorded as a day, an id, or yes and no: when it is due, which repair helped, whose and which pool it is,
whether it was opened by mistake.

`cause` is what it turned out to be, ids of causes with `+` between them, `something_else` or `never_known`; the text of
its event is what was said of it in words.
"""
SOMETHING_ELSE: Final = "something_else"
NEVER_KNOWN: Final = "never_known"
PART: Final = "part:"
MOST_MINUTES: Final = 100_000.0
MOST_PARTS: Final = 100_000.0


@dataclass(frozen=True)
class ByHand:
    """What was recorded, the last word on each: texts, facts, minutes (None: nobody said), names of photos.

    `in_words` is what was said of the cause in words.
    `parts` holds how many or how much of each part by its id, with the unit, empty for pieces; 0 for one not used.
    """

    texts: Mapping[str, str] = field(default_factory=dict)
    minutes: Mapping[str, float] = field(default_factory=dict)
    photos: tuple[str, ...] = ()
    parts: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    facts: Mapping[str, str] = field(default_factory=dict)
    in_words: str = ""

    @property
    def causes(self) -> tuple[str, ...]:
        """What it turned out to be; empty where nobody said."""
        return tuple(cause for cause in self.facts.get("cause", "").split("+") if cause)


def recorded_by_hand(standing: Iterable[Event]) -> ByHand:
    """What the events that stand record; of photos each, of all else the last."""
    texts, minutes = dict[str, str](), dict[str, float]()
    photos, parts = dict[str, None](), dict[str, tuple[float, str]]()
    facts, in_words = dict[str, str](), ""
    for event in standing:
        if event.kind != RECORDED:
            continue
        if event.about == "photo":
            photos[str(event.value)] = None
        elif event.about in TEXTS:
            texts[event.about] = str(event.value)
        elif event.about in FACTS:
            facts[event.about] = str(event.value)
            in_words = event.text if event.about == "cause" else in_words
        elif event.about in MINUTES:
            minutes[event.about] = float(event.value or 0)
        else:
            parts[event.about.removeprefix(PART)] = (float(event.value or 0), event.text)
    return ByHand(texts, minutes, tuple(photos), parts, facts, in_words)


def refuse_record(event: Event, parts: Mapping[str, Part]) -> None:
    """Raises ValueError where an event records what cannot be: an unknown field or part, no text, no number."""
    value = event.value
    if event.about in (*TEXTS, *FACTS):
        right = isinstance(value, str) and bool(value)
    elif event.about in MINUTES:
        right = not isinstance(value, str) and value is not None and 0 <= value <= MOST_MINUTES
    elif event.about.removeprefix(PART) in parts and event.about.startswith(PART):
        right = not isinstance(value, str) and value is not None and 0 <= value <= MOST_PARTS
    else:
        raise ValueError(say("admitting.no_field", name=repr(event.about), known=", ".join(FIELDS)))
    if not right:
        raise ValueError(say("admitting.no_record", value=repr(value), name=event.about))
