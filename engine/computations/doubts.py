"""Amounts that nobody means: what is refused, and what is done only for whoever really means it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from engine.chlorinator.dose_limits import DoseLimits
from engine.computations.types import ComputationError, DoubtedError, Entry, KeyedValue, Result
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_quantity
from engine.quantities.unit_systems import show_in

_SLACK = 1 + 1e-9
"""A limit that is met but for the last bits of a float is met."""
Saying = Callable[[KeyedValue, DoseLimits], str | None]


def is_limited(entry: Entry) -> bool:
    """Whether a computation goes by limits, and so must be given them."""
    return entry.name in _REFUSED or entry.name in _DOUBTED or _doses_a_pool(entry) or entry.name in _POOLS


def refuse_absurd(entry: Entry, given: KeyedValue, limits: DoseLimits) -> None:
    """Refuse what is beyond the limits of the knowledge and would hurt whoever does it, whatever anybody means.

    Args:
        entry: the computation.
        given: its inputs.
        limits: those of the knowledge.

    Raises:
        ComputationError: it is beyond; its text says what to do instead.
    """
    saying = _REFUSED.get(entry.name)
    if saying is not None and (what := saying(given, limits)) is not None:
        raise ComputationError(f"{entry.name}: {what}")


def doubt(entry: Entry, given: KeyedValue, limits: DoseLimits | None) -> None:
    """Doubt what is hardly meant: an amount beyond the limits, a pool that no house has, a slip of the unit.

    Args:
        entry: the computation.
        given: its inputs.
        limits: those of the knowledge; None where the computation goes by none.

    Raises:
        DoubtedError: it is hardly meant; its text says what to look at.
    """
    for what in _doubts(entry, given, limits):
        raise DoubtedError(f"{entry.name}: {what}")


def doubt_pool(entry: Entry, found: Result, limits: DoseLimits | None) -> None:
    """Doubt a pool's volume that was worked out and is more than any household's. Raises: as `doubt`."""
    volume = found.results.get("volume_m3") if entry.name in _POOLS else None
    if limits is not None and isinstance(volume, (int, float)) and volume > limits.pool_most:
        raise DoubtedError(f"{entry.name}: {_no_household(volume, limits)}")


def _doubts(entry: Entry, given: KeyedValue, limits: DoseLimits | None) -> Iterator[str]:
    if limits is not None:
        saying = _DOUBTED.get(entry.name)
        if saying is not None and (what := saying(given, limits)) is not None:
            yield what
        # No size at all is told by the formula.
        volume = given.number("volume") if _doses_a_pool(entry) else 0.0
        if volume and not limits.pool_least <= volume <= limits.pool_most:
            yield _no_household(volume, limits)
    for key in given.keys:
        value = None if key.choices or key.usual is None else given.maybe(key.name)
        if value and key.usual is not None and not key.usual[0] <= abs(value) <= key.usual[1]:
            yield say(
                "compute.doubted.unusual",
                key=key.name,
                value=show_in(value, key.unit),
                low=show_in(key.usual[0], key.unit),
                high=show_in(key.usual[1], key.unit),
            )


def _doses_a_pool(entry: Entry) -> bool:
    """Whether it tells what goes into a pool, or out of it."""
    return any(key.name == "volume" for key in entry.keys) and bool(entry.occasions or entry.name in _DOUBTED)


def _no_household(volume: float, limits: DoseLimits) -> str:
    least, most = show_in(limits.pool_least, "m³"), show_in(limits.pool_most, "m³")
    return say("compute.doubted.volume", volume=show_in(volume, "m³"), least=least, most=most)


def _strong_mix(given: KeyedValue, limits: DoseLimits) -> str | None:
    water, acid = given.numbers("water", "acid")
    if acid <= 0 or water >= acid * limits.cleaning_mix_water / _SLACK:
        return None
    return say("compute.doubted.mix", **given.shown(parts=figure(limits.cleaning_mix_water)))


def _much_chlorine(given: KeyedValue, limits: DoseLimits) -> str | None:
    if given.number("by") <= limits.chlorine_at_once * _SLACK:
        return None
    return say("compute.doubted.chlorine", **given.shown(most=show_quantity(limits.chlorine_at_once, "ppm")))


def _much_salt(given: KeyedValue, limits: DoseLimits) -> str | None:
    if given.number("target") <= limits.salt_most * _SLACK:
        return None
    return say("compute.doubted.salt", **given.shown(most=show_quantity(limits.salt_most, "ppm")))


def _low_ph(given: KeyedValue, limits: DoseLimits) -> str | None:
    if given.number("target") >= limits.ph_least / _SLACK:
        return None
    return say("compute.doubted.ph", **given.shown(least=show_quantity(limits.ph_least, "pH")))


def _much_water(given: KeyedValue, limits: DoseLimits) -> str | None:
    now, target, fill = given.numbers("now", "target", "fill")
    # What is nothing to thin out is told by the formula.
    if not fill < target < now:
        return None
    left, most = (target - fill) / (now - fill), (1 - limits.swap_at_once) ** limits.swaps_most
    if left >= most / _SLACK:
        return None
    return say("compute.doubted.water", **given.shown(percent=f"{100 * (1 - left):.0f}"))


_REFUSED: Mapping[str, Saying] = {"acid-mix": _strong_mix, "chlorine-up": _much_chlorine}
"""What hurts whoever does it."""
_DOUBTED: Mapping[str, Saying] = {"salt-dose": _much_salt, "acid-dose": _low_ph, "dilute": _much_water}
"""What is hardly meant."""
_POOLS = ("pool-volume", "volume-from-salt")
"""What works out how much a pool holds."""
