"""The shipped knowledge, loaded once for the tests that need it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path

from engine.evaluation.calls import WorkedCall, read_calls
from engine.foundation.text_catalog import ENGLISH
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from engine.session.models import Models


@cache
def knowledge() -> Knowledge:
    """The knowledge of the shipped faults folder."""
    return load_knowledge(files("faults"))


def models() -> Models:
    """Its trees, compiled when first used."""
    return models_in(ENGLISH)


@cache
def models_in(language: str) -> Models:
    """The same in a language, whichever is in use."""
    return Models(load_knowledge(files("faults"), language))


@cache
def as_if_shipped() -> Models:
    """The same under a fixed fingerprint, so that a sheet kept as a file bears the same one."""
    # What is compiled, and what the strategy has worked out, is shared with the knowledge as it is.
    return replace(models(), knowledge=replace(knowledge(), fingerprint="0123456789ab"))


@cache
def visible_calls() -> tuple[WorkedCall, ...]:
    """The worked calls that are shipped with it."""
    return read_calls("visible.yaml", (files("faults") / "calls" / "visible.yaml").read_bytes(), knowledge())


@cache
def every_call() -> tuple[WorkedCall, ...]:
    """The worked calls of every file that is shipped."""
    paths = sorted((Path(__file__).parents[1] / "faults" / "calls").glob("*.yaml"))
    return tuple(call for path in paths for call in read_calls(path.name, path.read_bytes(), knowledge()))
