"""What a conversation holds while it runs: the session, who is asked, where events go, and what is wanted next."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from engine.session.journal import Event, EventKind
from engine.session.session import Session
from interview.messages import Control, FrontEnd, Request, Unclear
from interview.storage.jobs import Clock, stamp

if TYPE_CHECKING:
    # What it is made from takes long to import, and most conversations name nobody.
    from engine.store.known import KnownAnswer, KnownPool


class Keeps(Protocol):
    """Where events are kept; the engine's journal is one."""

    def write(self, event: Event) -> None:
        """Keep one event; it lasts when this returns."""
        ...


class PoolRecords(Protocol):
    """Where the records of pools are found."""

    def find(self, words: str) -> Sequence[KnownPool]:
        """The pools that these words are of, with what is known of each today; at most some twenty.

        Raises: RecordsError where they cannot be looked up now.
        """
        ...


class RecordsError(Exception):
    """Records that cannot be looked up; the text says why."""


class NoRecords:
    """For conversations without a shop behind them."""

    def find(self, words: str) -> Sequence[KnownPool]:  # noqa: ARG002  # as records have it
        """None."""
        return ()


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
    trouble that an answer told was taken back, so it is asked for. `records` are those of the shop's pools, `earlier`
    what was read at this pool before, by its check.
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
    records: PoolRecords = field(default_factory=NoRecords)
    earlier: Mapping[str, KnownAnswer] = field(default_factory=dict)

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
        by: str = "",
    ) -> None:
        """Put one event on disk, then into the session. Args: `beside`, told and not asked for; `by`, its source."""
        self.together, self.again = 0, ""
        told = "line" if beside else ""
        event = Event(kind, stamp(self.clock), about=about, value=value, text=text, by=by, reason=reason, beside=told)
        self.journal.write(event)
        stood = len(self.session.job.standing)
        self.session.record(event)
        if len(self.session.job.standing) > stood:
            # A danger's own steps come before whatever was wanted next.
            self.wanted.clear()
        if kind in ("answered", "corrected", "dont_know", "cant", "deferred", "repaired", "verified"):
            self.wanted = [wanted for wanted in self.wanted if wanted != about]
