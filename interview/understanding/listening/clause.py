"""One part of a line between its marks, and what it is."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass


@dataclass
class Clause:
    """A part of a line: its places from `start` to before `end`, its sentence, and what it is.

    `doubts_before`: it makes the part before it doubtful; `now`: it says how things are now, `since` that something
    became otherwise; `corrects`: it begins by taking back what stands before, `excepts` by what is left of what is
    denied before; it is `joined` where no mark parts it from the one before. `others` are the places of the names of
    other things in it, `elsewhere` whether it tells of such a one, `lent` of one that is measured in the stead of ours.
    `earlier`: it tells of before something happened, `later` of after it. `ought` are the places of words that tell
    what should be.
    """

    start: int
    end: int
    sentence: int
    doubtful: bool = False
    doubts_before: bool = False
    asked: bool = False
    past: bool = False
    others: tuple[frozenset[int], ...] = ()
    elsewhere: bool = False
    lent: bool = False
    ahead: bool = False
    now: bool = False
    since: bool = False
    earlier: bool = False
    later: bool = False
    was: bool = False
    dated: bool = False
    corrects: bool = False
    ought: frozenset[int] = frozenset()
    excepts: bool = False
    joined: bool = False

    @property
    def states_nothing(self) -> bool:
        """Whether nothing in it is stated of this pool."""
        return self.asked or self.elsewhere or self.ahead

    @property
    def measures_nothing(self) -> bool:
        """Whether no number in it is a reading of this pool."""
        return self.states_nothing or self.lent

    def is_silent(self, places: Collection[int], of_others: bool = False) -> bool:
        """Whether what stands there states nothing that is asked for.

        Args: `of_others`, whether what another thing does is asked for too. A saying that names the other thing and
        more is about it as well; one of some words of its name (`cell phone`) never is.
        """
        within = set(places)
        if self.asked or self.ahead or any(within & each and not each < within for each in self.others):
            return True
        return self.elsewhere and not of_others and not (self.others and all(each < within for each in self.others))
