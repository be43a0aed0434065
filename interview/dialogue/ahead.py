"""The next step, worked out while the person reads and types: what comes after each likely reply."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from contextlib import suppress

from engine.session.acts import Act, ActKind
from engine.session.journal import Event, EventKind
from engine.session.session import Session
from engine.strategy.costs import chance_to_say
from interview.messages import Question

MOMENT_SECONDS = 0.1
"""Nobody reads a question in less; keys that come earlier were typed ahead, and are not to be slowed down."""

_Told = tuple[tuple[object, ...], ...]

_LEAVES: Mapping[ActKind, EventKind] = {
    "set_up": "answered",
    "ask": "answered",
    "make_safe": "made_safe",
    "isolate": "made_safe",
    "switch_on": "switched_on",
    "perform": "repaired",
    "verify": "verified",
}
"""The event that a choice leaves, by what was put."""


class Ahead:
    """What comes next after each likely reply to the question that stands.

    The next act follows from the events alone, so one found beforehand is the one that the session would give; what was
    not found is worked out when it is asked for. The work is done by one thread, on sessions of its own, and ends with
    this as a context.
    """

    def __init__(self, moment_seconds: float = MOMENT_SECONDS) -> None:
        """Args: how long a question stands before the work begins, 0 or more."""
        self._moment_seconds = moment_seconds
        self._found: dict[_Told, Act] = {}
        self._enough = threading.Event()
        self._worker: threading.Thread | None = None

    def __enter__(self) -> Ahead:
        return self

    def __exit__(self, *_: object) -> None:
        self._end()

    def begin(self, session: Session, act: Act, question: Question) -> None:
        """The question stands, work may begin. Called again before `next`, nothing more happens."""
        if self._worker is not None:
            return
        found: dict[_Told, Act] = {}
        enough, moment = threading.Event(), self._moment_seconds
        models, events = session.models, tuple(session.events)

        def work() -> None:
            # What goes wrong here goes wrong again where it is asked for, and is shown there.
            with suppress(Exception):
                if enough.wait(moment):
                    return
                for event in likely(Session(models, events), act, question):
                    if enough.is_set():
                        return
                    after = Session(models, [*events, event])
                    found[_told(after.events)] = after.next()

        self._found, self._enough = found, enough
        worker = threading.Thread(target=work, name="ahead", daemon=True)
        with suppress(RuntimeError):  # Where no thread is to be had, nothing is found beforehand.
            worker.start()
            self._worker = worker

    def leave_off(self) -> None:
        """There is a reply, so no further one is tried. Comes back at once."""
        self._enough.set()

    def next(self, session: Session) -> Act:
        """What the session does next, found beforehand or worked out now."""
        self._end()
        return self._found.get(_told(session.events)) or session.next()

    def _end(self) -> None:
        """Wait for the one reply in hand, some milliseconds; no thread is left."""
        self.leave_off()
        if self._worker is not None:
            self._worker.join()
            self._worker = None


def likely(session: Session, act: Act, question: Question) -> list[Event]:
    """What the replies that can be foreseen would record, likeliest first: all but numbers.

    Without times, typed words and reasons: nothing is decided by these. The act is none that concludes.
    """
    about, kind = question.about, _LEAVES[act.kind]
    given = [None] if question.kind == "confirm" else [choice.id for choice in question.choices]
    found = [Event(kind, "", about, value) for value in given]
    if question.unknown:
        found.append(Event("dont_know", "", about))
    if question.may_fail and act.kind != "perform":
        found.append(Event("cant", "", about))
    shares = _shares(session, act)
    return sorted(found, key=lambda event: -shares.get(event.value, 0.0))


def _shares(session: Session, act: Act) -> Mapping[object, float]:
    """How likely each answer of a check is as things stand; None for no answer. Empty for all that is no check."""
    if act.kind != "ask" or session.job.complaint is None:
        return {}
    check = session.knowledge.checks[act.about]
    says = chance_to_say(check, session.role, session.job.brought)
    answers = map(float, session.model.tables[act.about] @ session.belief)
    return {None: 1.0 - says, **{a.id: says * share for a, share in zip(check.answers, answers, strict=True)}}


def _told(events: Sequence[Event]) -> _Told:
    """All that the next act hangs on: neither when something was said, nor in which words, nor for which reason."""
    return tuple((event.kind, event.about, event.value, event.by) for event in events)
