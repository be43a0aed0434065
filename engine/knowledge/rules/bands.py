"""Rules for bands of numbers: rising, wide enough for the instrument, and ending with the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.model import Limit
from engine.knowledge.schema import PROFILE_VALUES, FindingForm, NumberCheckForm, profile_values

Banded = Placed[NumberCheckForm] | Placed[FindingForm]


def _banded(folder: Folder) -> Iterator[Banded]:
    for check in folder.checks.values():
        if isinstance(check.form, NumberCheckForm):
            yield Placed(check.form, check.document, check.base)
    yield from folder.findings.values()


def _value(limit: Limit, values: Mapping[str, float]) -> float | None:
    if limit.of is None:
        return limit.share
    return limit.share * values[limit.of] if limit.of in values else None


def _limits(bands: Mapping[str, Limit | None], values: Mapping[str, float]) -> list[tuple[str, float]]:
    """The upper ends of all bands but the last, in this unit profile; those that name no profile value are left out."""
    ends = [(band, _value(limit, values)) for band, limit in bands.items() if limit is not None]
    return [(band, value) for band, value in ends if value is not None]


def _by_profile(folder: Folder, placed: Banded) -> Iterator[tuple[str, list[tuple[str, float]]]]:
    """The upper ends of all bands but the last, for each unit profile whose own limits rise."""
    for profile, unit in folder.units.items():
        salt = [value for _, value in unit.form.salt]
        if salt == sorted(salt):
            yield profile, _limits(placed.form.bands, profile_values(unit.form))


def _told_once(
    folder: Folder, placed: Banded, wrong: str, advice: str, found: Iterable[tuple[str, str, Mapping[str, object]]]
) -> Iterator[Problem]:
    """What is wrong with bands, each told for the first profile for which it is; the profile only where it matters.

    Where other profiles pass, the value of this one is wrong, and it is told there.

    Args: `found`, the band, the profile and the fields of the words.
    """
    told: set[str] = set()
    limits = placed.form.bands
    varies = any(limit is not None and limit.of is not None for limit in limits.values())
    found = list(found)
    failing = {band: {profile for each, profile, _ in found if each == band} for band, _, _ in found}
    for band, profile, fields in found:
        if band not in told and varies and len(failing[band]) < len(folder.units):
            told.add(band)
            yield from _of_the_profile(folder, placed, wrong, band, profile, fields)
        elif band not in told:
            told.add(band)
            figures = {name: f"{value:g}" if isinstance(value, float) else value for name, value in fields.items()}
            what = say(
                f"mistakes_rules.bands.{wrong}_for" if varies else f"mistakes_rules.bands.{wrong}",
                profile=profile,
                **figures,
            )
            yield placed.problem(("bands", band), what, say(f"mistakes_rules.bands.{advice}"))


def _of_the_profile(
    folder: Folder, placed: Banded, wrong: str, band: str, profile: str, fields: Mapping[str, object]
) -> Iterator[Problem]:
    """What is wrong with a band for one profile alone, told at the value of that profile by which the band ends."""
    names = [limit.of for limit in (placed.form.bands[band], *placed.form.bands.values()) if limit and limit.of]
    figures = {name: f"{value:g}" if isinstance(value, float) else value for name, value in fields.items()}
    name = placed.form.check if isinstance(placed.form, NumberCheckForm) else placed.form.finding
    bands = say(f"mistakes_rules.bands.{wrong}_for", profile=profile, **figures)
    what = say("mistakes_rules.bands.of_profile", bands=bands, check=name)
    yield folder.units[profile].problem(tuple(names[0].split(".")), what, say("mistakes_rules.bands.mend_profile"))


def last_band_is_the_rest(folder: Folder) -> Iterator[Problem]:
    """The last band, and no other, is `the rest`.

    Right: `bands: {low: under salt.low, right: the rest}`.
    Wrong: `bands: {low: under salt.low, right: under salt.high}`.
    """
    for placed in _banded(folder):
        *others, last = placed.form.bands
        if placed.form.bands[last] is not None:
            yield placed.problem(("bands", last), *told("mistakes_rules.bands.last_ends", band=last))
        for band in others:
            if placed.form.bands[band] is None:
                yield placed.problem(("bands", band), *told("mistakes_rules.bands.rest_not_last", band=band))


def limits_name_profile_values(folder: Folder) -> Iterator[Problem]:
    """A limit that names a value names one that unit profiles have.

    Right: `low: under salt.low`.
    Wrong: `low: under salt.lo`.
    """
    for placed in _banded(folder):
        for band, limit in placed.form.bands.items():
            if limit is not None and limit.of is not None and limit.of not in PROFILE_VALUES:
                what = say("mistakes_rules.bands.no_value", name=limit.of)
                yield placed.problem(("bands", band), what, advice_for(limit.of, PROFILE_VALUES))


def bands_rise(folder: Folder) -> Iterator[Problem]:
    """Each band ends above the band before it, for every unit profile.

    Right: `bands: {low: under 5, middle: under 10, high: the rest}`.
    Wrong: `bands: {low: under 10, middle: under 5, high: the rest}`.
    """
    for placed in _banded(folder):
        falling = (
            (upper, profile, {"upper": upper, "above": above, "lower": lower, "below": below})
            for profile, limits in _by_profile(folder, placed)
            for (lower, below), (upper, above) in pairwise(limits)
            if above <= below
        )
        yield from _told_once(folder, placed, "not_above", "rise", falling)


def bands_wider_than_two_errors(folder: Folder) -> Iterator[Problem]:
    """No band between two limits is narrower than two errors of the usual instrument, taken at its middle.

    A narrower band cannot be told from its neighbours by that instrument.

    Right: `error: 0.1` with `bands: {low: under 7, right: under 7.8, high: the rest}`.
    Wrong: `error: 0.5` with `bands: {low: under 7, right: under 7.8, high: the rest}`.
    """
    for placed in _banded(folder):
        form = placed.form
        if not isinstance(form, NumberCheckForm):
            continue
        narrow = (
            (band, profile, {"band": band, "width": above - below, "errors": errors})
            for profile, limits in _by_profile(folder, placed)
            for (_, below), (band, above) in pairwise(limits)
            if 0 < above - below < (errors := 2 * form.error.of((above + below) / 2))
        )
        yield from _told_once(folder, placed, "narrow", "widen", narrow)


def limits_are_possible(folder: Folder) -> Iterator[Problem]:
    """Every limit of a number check lies within what is possible, for every unit profile.

    Right: `possible: 0 to 14` with `bands: {low: under 7, high: the rest}`.
    Wrong: `possible: 0 to 14` with `bands: {low: under 70, high: the rest}`.
    """
    for placed in _banded(folder):
        form = placed.form
        if not isinstance(form, NumberCheckForm):
            continue
        low, high = form.possible
        outside = (
            (band, profile, {"band": band, "end": end, "low": low, "high": high})
            for profile, limits in _by_profile(folder, placed)
            for band, end in limits
            if not low < end < high
        )
        yield from _told_once(folder, placed, "outside", "mend", outside)


def band_words_name_bands(folder: Folder) -> Iterator[Problem]:
    """`band_words` gives wording to bands that there are.

    Right: `bands: {low: under 5, high: the rest}` with `band_words: {low: too low}`.
    Wrong: `bands: {low: under 5, high: the rest}` with `band_words: {lo: too low}`.
    """
    for placed in _banded(folder):
        for band in placed.form.band_words:
            if band not in placed.form.bands:
                what = say("mistakes_rules.no_such.band", id=band)
                yield placed.problem(("band_words", band), what, advice_for(band, placed.form.bands), True)
