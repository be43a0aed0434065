"""What a conversation holds while it runs: the session, who is asked, where events go, and what is wanted next."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from typing import Protocol

from engine.session.journal import Event, EventKind
from engine.session.session import Session
from interview.messages import Control, FrontEnd, Request, Unclear
from interview.storage.jobs import Clock, stamp


class Keeps(Protocol):
    """Where events are kept; the engine's journal is one."""

    def write(self, event: Event) -> None:
        """Keep one event; it lasts when this returns."""
        ...


@dataclass
class DialogueState:
    """One interview under way. All that it changes goes through `record`.

    `wanted` are the checks and repairs that the person wants to be put next, whatever the strategy would ask.
    `asked` is the check whose question stands, `unclear` what lines left unclear and is still to be asked back; `ends`
    is what the person said there, where it was to finish or to leave.
    `not_meant` are dangers that were asked back and not meant, each with the words that might have.
    `together` is how many of the last events one line brought: they are taken back together.
    `again` is what was asked where the person went back to, to be put once more; `wanted_at` how many events there were
    when something was last wanted. `postponed` is what was wanted where it could not be done yet. `trouble_asked`: the
    trouble that an answer told was taken back, so it is asked for.
    """

    session: Session
    front: FrontEnd
    journal: Keeps
    clock: Clock
    wanted: list[str] = field(default_factory=list)
    asked: str = ""
    unclear: list[Unclear] = field(default_factory=list)
    ends: Control | None = None
    together: int = 0
    not_meant: set[tuple[str, str]] = field(default_factory=set)
    again: str = ""
    wanted_at: int = 0
    postponed: list[Request] = field(default_factory=list)
    trouble_asked: bool = False

    @property
    def today(self) -> datetime.date:
        """The day of the visit."""
        return datetime.date.fromisoformat(stamp(self.clock)[:10])

    def want(self, about: str, first: bool = True) -> None:
        """Have something put next, or after all that is wanted already."""
        self.wanted.insert(0 if first else len(self.wanted), about)
        self.wanted_at = len(self.session.events)

    def record(
        self,
        kind: EventKind,
        about: str = "",
        value: str | float | None = None,
        *,
        text: str = "",
        reason: str = "",
        beside: bool = False,
    ) -> None:
        """Put one event on disk, then into the session. Args: `beside`, whether it was told and not asked for."""
        self.together, self.again = 0, ""
        told = "line" if beside else ""
        event = Event(kind, stamp(self.clock), about=about, value=value, text=text, reason=reason, beside=told)
        self.journal.write(event)
        self.session.record(event)
        if kind in ("answered", "corrected", "dont_know", "cant", "deferred", "repaired", "verified"):
            self.wanted = [wanted for wanted in self.wanted if wanted != about]
