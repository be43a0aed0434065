"""The shipped knowledge, loaded once for the tests that need it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from engine.calls import WorkedCall, read_calls
from engine.loading.treefile import load_knowledge
from engine.model import Knowledge
from engine.session import Models

__all__ = ["knowledge", "models", "visible_calls"]


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
