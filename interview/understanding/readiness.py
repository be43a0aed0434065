"""What reads free lines, made ready once: behind the first question, or where a line comes sooner."""

from __future__ import annotations

from threading import Lock

from engine.knowledge.model import Knowledge
from interview.understanding.listening.library import book_of

_MAKING = Lock()


def make_ready(knowledge: Knowledge) -> None:
    """Make the phrasebook of a knowledge, or wait for whoever makes it just now; once made, nothing more happens."""
    with _MAKING:
        book_of(knowledge)
