"""What is missing for an amount, in words."""

from __future__ import annotations

from collections.abc import Iterable

from engine.foundation.texts import say
from engine.treatment.amounts import Lack
from reports.view.known import KnownReadings


def lacks_told(missing: Iterable[Lack], known: KnownReadings) -> tuple[str, ...]:
    """What is missing for an amount."""
    return tuple(_lack(lack, known) for lack in missing)


def _lack(lack: Lack, known: KnownReadings) -> str:
    if lack == "label":
        rate = known.show(known.unit.values["rated.chlorine"], "g/h")
        return say("view_amounts.missing.label", rate=rate)
    if lack == "volume_doubted":
        return say("view_amounts.missing.volume_doubted", volume=known.show(known.numbers["pool_volume"], "m³"))
    return say(f"view_amounts.missing.{lack}")
