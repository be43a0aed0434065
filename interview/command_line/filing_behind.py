"""What a program that was ended in the middle left unfiled, put into the shop's store while somebody answers."""

from __future__ import annotations

import atexit
from collections.abc import Callable
from dataclasses import replace
from threading import Event, Thread
from typing import TYPE_CHECKING

from interview.command_line.context import Places
from interview.storage.unfiled import marked

if TYPE_CHECKING:
    from interview.command_line.shop_side import ShopSide

_MOST_WAIT_S = 5.0
"""Whoever leaves waits for it at most so long; what is not in by then goes in the next time."""


class FilingBehind:
    """Files what waited when this was made, in whichever thread; where nothing did, nothing happens at all."""

    def __init__(self, places: Places, side: Callable[[Places], ShopSide]) -> None:
        """Args: where the jobs and their store are; what brings the store, which takes longer to import than a first
        question to stand.
        """
        address, folder = places.store_address, places.jobs_folder
        # As they are now: what a variable says may be another thing by the time it is filed.
        self._places = replace(places, store=address, jobs=folder)
        self._side = side
        self._waits = bool(address) and bool(marked(folder))
        self._begun, self._over = False, Event()
        self._parted: tuple[str, ...] = ()

    def file(self) -> None:
        """File it now."""
        if not self._waits:
            return
        self._begun = True
        try:
            self._parted = self._side(self._places).filed_away().parted
        finally:
            self._over.set()

    def start(self) -> None:
        """File it in a thread of its own."""
        if self._waits:
            thread = Thread(target=self.file, name="filing", daemon=True)
            thread.start()
            # Ended in the middle of what is not written in Python, it would take the process down with it.
            atexit.register(thread.join, _MOST_WAIT_S)

    def told(self) -> tuple[str, ...]:
        """What is to be told of it once it is over; what did not go in is told of by whatever sends it next."""
        if self._begun:
            self._over.wait(_MOST_WAIT_S)
        return self._parted
