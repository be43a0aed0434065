"""What an interview does with the store of the shop, before it and after it."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import dataclass

from interview.command_line.context import Places
from interview.command_line.store_access import file_away
from interview.command_line.taking_up import taken_up_here


@dataclass(frozen=True)
class ShopSide:
    """The store of some places."""

    places: Places

    def taken_up(self, job: str) -> AbstractContextManager[str]:
        """As `taken_up_here`."""
        return taken_up_here(self.places, job)

    def file_away(self) -> None:
        """As `file_away`."""
        file_away(self.places)
