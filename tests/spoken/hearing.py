"""One line heard by itself, on the unit profile that nothing is known of."""

from __future__ import annotations

import datetime

from engine.findings.plausible import plausible_range
from engine.knowledge.model import Knowledge
from engine.knowledge.required import DEFAULT_UNIT
from interview.messages import Understood
from interview.understanding.listening.listener import listen

TODAY = datetime.date(2026, 5, 4)


def hear(line: str, knowledge: Knowledge, asked: str = "") -> Understood:
    """What a line states. Args: `asked`, the check whose question stands."""
    unit = knowledge.units[DEFAULT_UNIT]
    return listen(line, knowledge, lambda check: plausible_range(check, unit, knowledge.limits), asked, TODAY)


def facts(line: str, knowledge: Knowledge, asked: str = "") -> dict[str, str | float]:
    """The facts of a line by their checks."""
    return {fact.check: fact.value for fact in hear(line, knowledge, asked).facts}
