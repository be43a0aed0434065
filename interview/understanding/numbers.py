"""Typed numbers: their units in words of the language in use, counts said in words, and what cannot or hardly be."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping

from engine.chlorinator.limits import RangeError
from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, said, say
from engine.quantities.quantity import QuantityError, Reading, read_quantity, unit_shown
from engine.quantities.unit_systems import show_in, unit_asked_in
from engine.quantities.units import UNIT_NAMES, convert
from interview.messages import Given, Measure, Reply
from interview.understanding.normalize import as_sentence, letter_by_letter, one_of
from interview.understanding.results import Refusal


def number_in(typed: str, measure: Measure, again: bool) -> Reply | Refusal:
    """A typed number as a reply, asked back where it cannot be, or hardly can unless it is said `again`."""
    how = ""
    try:
        if measure.by_conductivity and (meter := _by_conductivity(typed, measure)) is not None:
            value, how = meter
        else:
            value = read_typed(typed, measure.unit, measure.about, measure.possible).value
    except (QuantityError, RangeError) as error:
        return Refusal(as_sentence(str(error), typed), stray=True)
    if wrong := impossible(value, measure.unit, measure.possible):
        return Refusal(_in_sentences(f"{wrong}.", _other_unit(typed, measure)))
    usual_low, usual_high = measure.plausible
    # Nothing at all is a common and deliberate answer: no chlorine, no current, cleaned just now.
    if value != 0 and not usual_low <= value <= usual_high and not again:
        shown = show_in(value, measure.unit)
        doubt = say("answering.very_low" if value < usual_low else "answering.very_high", value=shown)
        return Refusal(_in_sentences(doubt, _other_unit(typed, measure), say("answering.again")), keep=typed)
    return Given(value, how or typed, how)


def impossible(value: float, unit: str, possible: tuple[float, float]) -> str:
    """Why a number cannot be: less or more than is possible; empty where it can."""
    if possible[0] <= value <= possible[1]:
        return ""
    key, limit = ("less", possible[0]) if value < possible[0] else ("more", possible[1])
    return say(f"answering.beyond.{key}", value=show_in(value, unit), limit=show_in(limit, unit))


def _in_sentences(*sentences: str) -> str:
    return " ".join(sentence for sentence in sentences if sentence)


def _by_conductivity(typed: str, measure: Measure) -> tuple[float, str] | None:
    """Salt from a meter that shows conductivity, and how it came; None where no conductivity was typed."""
    # Late: few measures are taken so, and it brings numpy along.
    from engine.findings.salt_from_conductivity import meter_typed, salt_reading

    meter = meter_typed(typed)
    if meter is None:
        return None
    conductivity, temperature = meter
    reading = salt_reading(conductivity, measure.water_c if temperature is None else temperature)
    return float(reading.value), reading.by


def _other_unit(typed: str, measure: Measure) -> str:
    """Ask whether a bare number was meant in another unit, where in few others it would be likely."""
    if not re.fullmatch(r"[+-]?[0-9]+(?:[.,][0-9]+)?", typed):
        return ""
    bare = float(typed.replace(",", "."))
    low, high = measure.plausible
    fitting = []
    for unit in UNIT_NAMES:
        try:
            value = convert(bare, unit, measure.unit)
        except ValueError:
            continue
        if unit != unit_asked_in(measure.unit) and low <= value <= high and value > 0:
            fitting.append(unit)
    if not 1 <= len(fitting) <= 3:
        return ""
    return say("answering.did_you_mean", values=one_of([f"{typed} {unit_shown(unit)}" for unit in fitting], most=3))


def in_signs(typed: str) -> str:
    """A typed number or unit with its unit's words as a sign: `3,2 g/L` for `3,2 gramos por litro`."""
    return _in_place(typed, *_unit_words())


def read_typed(typed: str, unit: str, about: str, possible: tuple[float, float] | None) -> Reading:
    """A typed quantity, with its unit as a sign or in words of the language in use; all else as `read_quantity`.

    A bare number is in the unit that is asked in: degrees Fahrenheit where a check in degrees Celsius is asked so.

    Raises:
        QuantityError: the text is no such quantity, or could be two; nothing is guessed.
    """
    try:
        return _read(typed, unit, about, possible)
    except QuantityError:
        signs = in_signs(typed)
        if signs == unicodedata.normalize("NFC", typed):
            raise
        return _read(signs, unit, about, possible)


def _read(typed: str, unit: str, about: str, possible: tuple[float, float] | None) -> Reading:
    asked = unit_asked_in(unit)
    if asked == unit:
        return read_quantity(typed, unit, about, possible)
    ends = None if possible is None else (convert(possible[0], unit, asked), convert(possible[1], unit, asked))
    there = read_quantity(typed, asked, about, ends, us=True)
    converted = Reading(convert(there.value, asked, unit), unit, there.typed)
    try:
        here = read_quantity(typed, unit, about, possible, us=True)
    except QuantityError:
        # As in `15,000`, which can be one number alone in gallons, and two in cubic metres.
        return converted
    # Only a bare number is the same in either unit.
    return converted if math.isclose(here.value, there.value) else here


@once_a_language
def _unit_words() -> tuple[re.Pattern[str], Mapping[str, str]]:
    """What finds the words of units, the longest first, and the sign of each."""
    spelled = said("units.spelled").items()
    signs = {without_accents(word.strip()): sign for sign, words in spelled for word in words.split(",")}
    longest_first = sorted(signs, key=len, reverse=True)
    words = "|".join(r"\s+".join(map(re.escape, word.split())) for word in longest_first)
    return re.compile(rf"(?<![^\W\d_])(?<!/)(?P<word>{words})(?![\w/])"), signs


def _in_place(typed: str, pattern: re.Pattern[str], instead: Mapping[str, str]) -> str:
    """The text with each `word` that the pattern finds replaced, all else kept as it was typed."""
    whole = unicodedata.normalize("NFC", typed)
    pieces, at = [], 0
    for found in pattern.finditer(letter_by_letter(whole)):
        if found["word"]:
            pieces += [whole[at : found.start("word")], instead[" ".join(found["word"].split())]]
            at = found.end("word")
    return "".join([*pieces, whole[at:]])
