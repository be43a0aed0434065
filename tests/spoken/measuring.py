"""How a line is understood by way of the pipe, beside what it plainly states."""

from __future__ import annotations

import datetime
import io
import json
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import language_in_use
from engine.knowledge.model import DANGER_CHECK, Knowledge
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.frontends.json_lines import PipeFrontEnd
from tests.interview.people import Memory, PaperSheet
from tests.shipped import models_in

Fact = tuple[str, str | float]
FOLDER = Path(__file__).parent
CLOSE_SHARE, CLOSE = 0.03, 0.05
"""A number is the same within this share, or this much in its unit."""


@dataclass(frozen=True)
class Line:
    """One line, what it states, what is fair to understand too, and what is said with doubt."""

    line: str
    lang: str = "en"
    facts: Mapping[str, Any] = field(default_factory=dict)
    also: Mapping[str, Any] = field(default_factory=dict)
    never: Mapping[str, Any] = field(default_factory=dict)
    hedged: Mapping[str, Any] = field(default_factory=dict)
    today: str = "2026-05-04"


@dataclass(frozen=True)
class Outcome:
    """What was made of a line: taken at once, offered, and to which dangers it led; and the processor time it took."""

    line: Line
    taken: Mapping[str, str | float]
    offered: Sequence[Fact]
    danger_asked: bool
    seconds: float
    knowledge: Knowledge

    def is_taken(self, fact: Fact) -> bool:
        """Whether a fact was taken at once."""
        return fact[0] in self.taken and self.same(fact[0], self.taken[fact[0]], fact[1])

    def is_offered(self, fact: Fact) -> bool:
        """Whether a fact was among what was offered."""
        return any(check == fact[0] and self.same(check, value, fact[1]) for check, value in self.offered)

    def same(self, check: str, found: Any, stated: Any) -> bool:
        """Whether two answers of a check are one; a former answer stands for any of its present ones."""
        if isinstance(stated, int | float) and isinstance(found, int | float):
            return abs(found - stated) <= max(CLOSE, CLOSE_SHARE * abs(stated))
        known = self.knowledge.checks.get(check)
        return bool(found == stated or (known is not None and found in known.either.get(str(stated), ())))

    @property
    def wrong(self) -> list[Fact]:
        """What was taken and is neither stated nor fair."""
        fair = [*self.line.facts.items(), *self.line.also.items()]
        return [
            (check, value)
            for check, value in self.taken.items()
            if not any(check == name and self.same(check, value, stated) for name, stated in fair)
        ]


def lines_of(path: Path) -> list[Line]:
    """The lines of a file."""
    return [Line(**_fields(item)) for item in yaml.safe_load(path.read_text(encoding="utf-8"))]


def _fields(item: Mapping[str, Any]) -> dict[str, Any]:
    return {key: str(value) if key == "today" else value for key, value in item.items() if value is not None}


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Another language for a while."""
    before = language_in_use()
    use_language(language)
    try:
        yield
    finally:
        use_language(before)


def outcome(line: Line) -> Outcome:
    """Say a line at the very start of an interview; the language must be in use."""
    models = models_in(line.lang)
    day = datetime.datetime.fromisoformat(f"{line.today}T09:30:00+00:00")
    target = io.StringIO()
    source = io.StringIO(json.dumps({"say": line.line}) + "\n")
    talk = DialogueManager(Session(models), PipeFrontEnd(source, target), Memory(), lambda: day, PaperSheet)
    begun = time.process_time()
    talk.run()
    seconds = time.process_time() - begun
    out = [json.loads(text) for text in target.getvalue().splitlines()]
    nothing: dict[str, Any] = {"understood": [], "unclear": []}
    said = next((item for item in out if "understood" in item), nothing)
    offered = [(c["ask"], c["answer"]) for item in said["unclear"] for c in item["candidates"] if "answer" in c]
    asked = any(item.get("ask") == "danger" for item in out)
    taken = {item["ask"]: item["answer"] for item in said["understood"]}
    return Outcome(line, taken, offered, asked or DANGER_CHECK in taken, seconds, models.knowledge)


def outcomes(lines: Sequence[Line], done: Callable[[int], None] = lambda _: None) -> list[Outcome]:
    """All lines said, a language after the other; the first of a language once before it counts."""
    found = []
    for language in sorted({line.lang for line in lines}):
        with speaking(language):
            own = [line for line in lines if line.lang == language]
            outcome(own[0])
            for line in own:
                found.append(outcome(line))
                done(len(found))
    return found
