"""Several threads may work with the same models at once, each on a session of its own."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from tests.shipped import knowledge

THREADS = 4


@pytest.fixture
def restless() -> Iterator[None]:
    """Threads take turns as often as the interpreter lets them."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    yield
    sys.setswitchinterval(usual)


def acts(models: Models, role: str, tree: str) -> list[Act]:
    """The acts of an interview in which nobody knows anything."""
    session, found = Session(models), []
    for about, value in (("role", role), ("danger_now", "none"), ("unit", "default"), ("complaint", tree)):
        session.record(Event("answered", "", about, value))
    session.record(Event("dont_know", "", "brought"))
    for _ in range(6):
        found.append(session.next())
        if found[-1].kind == "ask":
            session.record(Event("dont_know", "", found[-1].about))
    return found


@pytest.mark.usefixtures("restless")
def test_threads_on_the_same_models_find_what_one_alone_finds() -> None:
    settings = [(role, tree) for role in ("counter", "field") for tree in ("no-output", "low-salt")]
    alone = [acts(Models(knowledge()), *setting) for setting in settings]
    shared = Models(knowledge())
    with ThreadPoolExecutor(THREADS) as pool:
        together = [pool.submit(acts, shared, *setting) for setting in settings for _ in range(THREADS)]
    assert [future.result() for future in together] == [found for found in alone for _ in range(THREADS)]
