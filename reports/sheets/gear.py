"""What a page tells to wear or to work with and no repair lists as a part: the shop lends or sells it."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import said
from reports.sheets.beside import step_of


def gear_named(texts: Sequence[str]) -> tuple[str, ...]:
    """What these texts use, by the words of `handout.gear.forms`; buckets, brushes and hoses every house has."""
    names = said("handout.gear.names")
    return tuple(names[thing] for thing, forms in said("handout.gear.forms").items() if step_of(forms, texts))
