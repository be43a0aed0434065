"""What an interview does with the store of the shop, before it and after it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass

from engine.session.journal import JournalError
from engine.store.errors import StoreError
from engine.store.identity import job_uuid
from engine.store.listing import closed_among
from interview.command_line.bringing_here import Brought, brought_here
from interview.command_line.context import Places
from interview.command_line.filed_jobs import filed_job
from interview.command_line.store_access import Sent, filed_away, shop_store, tell_sent
from interview.command_line.taking_up import taken_up_here
from interview.storage import who
from interview.storage.jobs import JobError, KeptJob


@dataclass(frozen=True)
class ShopSide:
    """The store of some places."""

    places: Places

    def taken_up(self, job: str) -> AbstractContextManager[Brought]:
        """As `taken_up_here`."""
        return taken_up_here(self.places, job)

    def brought(self, job: str) -> Brought:
        """A job's journal here as the shop has it, wherever it was gone on with.

        Where the store is away, or has no such job, or it is open here, what is typed stands for a journal here.
        """
        with suppress(StoreError, JobError, JournalError), shop_store(self.places) as store:
            line = filed_job(store, job, self.places.jobs_folder)
            return brought_here(store, self.places.jobs_folder, line.job, line.name)
        return Brought(job)

    def still_open(self, found: Sequence[KeptJob]) -> list[KeptJob]:
        """Of jobs that are open by their journals here, those that nobody has closed elsewhere, so far as is known."""
        ids = {kept.id: job_uuid(kept.id, kept.events, who.counter()) for kept in found}
        closed = frozenset[str]()
        with suppress(StoreError), shop_store(self.places) as store, store.reading() as connection:
            closed = closed_among(connection, list(ids.values()))
        return [kept for kept in found if ids[kept.id] not in closed]

    def file_away(self, told: tuple[str, ...] = ()) -> None:
        """Put what waits into the store once an interview is over, and tell what is to be told of it and `told`."""
        tell_sent((*told, *self.filed_away().lines))

    def filed_away(self) -> Sent:
        """As `filed_away`."""
        return filed_away(self.places)
