"""The records of the shop's pools for a conversation: the store is opened only where somebody is named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from engine.store.errors import StoreError
from interview.command_line.context import BadInputError, Places, clock
from interview.dialogue.state import RecordsError

if TYPE_CHECKING:
    from engine.store.known import KnownPool


class ShopRecords:
    """The records in the shop's store."""

    def __init__(self, places: Places, knowledge: Knowledge) -> None:
        """Open nothing yet."""
        self._places, self._knowledge = places, knowledge

    def find(self, words: str) -> Sequence[KnownPool]:
        """The pools that these words are of, with what is known of each today. Raises RecordsError where it fails."""
        if not self._places.store_address:
            raise RecordsError(say("store.no_store_here"))
        # Late: most conversations name nobody, and what the store needs takes longer to import than a question.
        from interview.command_line.store_access import pools_called

        try:
            return pools_called(self._places, self._knowledge, words, clock().date())
        except (StoreError, BadInputError) as error:
            raise RecordsError(str(error)) from error
