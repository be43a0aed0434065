"""The shipped knowledge, loaded once for the tests that need it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from engine.evaluation.calls import WorkedCall, read_calls
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from engine.session.models import Models


@cache
def knowledge() -> Knowledge:
    """The knowledge of the shipped faults folder."""
    return load_knowledge(files("faults"))


@cache
def models() -> Models:
    """Its trees, compiled when first used."""
    return Models(knowledge())


@cache
def visible_calls() -> tuple[WorkedCall, ...]:
    """The worked calls that are shipped with it."""
    return read_calls("visible.yaml", (files("faults") / "calls" / "visible.yaml").read_bytes(), knowledge())
