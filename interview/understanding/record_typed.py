"""What is typed to be recorded, `customer="Ann" travel=25min part:cell=1`, into events' fields, or why it cannot be."""

from __future__ import annotations

import datetime
import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.plain_text import cleaned
from engine.foundation.problems import advice_for
from engine.foundation.texts import said, say
from engine.knowledge.model import Part
from engine.quantities.quantity import QuantityError, read_quantity
from engine.quantities.units import canonical_unit, is_unit
from engine.session.record import FIELDS, MINUTES, MOST_MINUTES, MOST_PARTS, PART, TEXTS

_LONGEST = 200
_AMOUNT = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(\D.*)?")


class RecordError(ValueError):
    """Something that cannot be recorded; the text says what, why, and what to write instead."""


@dataclass(frozen=True)
class Typed:
    """One thing to record: what it is about, its value, and the unit of a part."""

    about: str
    value: str | float
    unit: str = ""


def in_words(line: str) -> list[str]:
    """A line in its words, with quotes around what holds spaces. Raises RecordError where a quote is left open."""
    try:
        return shlex.split(line)
    except ValueError as error:
        raise RecordError(say("recording.open_quote", line=line)) from error


def to_record(words: Sequence[str], parts: Mapping[str, Part]) -> list[Typed]:
    """What these words record, each `FIELD=VALUE`, or nothing: raises RecordError for the first that cannot be."""
    return [_one(word, parts) for word in words]


def _one(word: str, parts: Mapping[str, Part]) -> Typed:
    name, sign, value = (text.strip() for text in word.partition("="))
    if not sign:
        raise RecordError(say("recording.no_sign", word=word))
    name, of_part, part = name.casefold().partition(":")
    called = {word.strip(): field for field, words in said("recording.typed").items() for word in words.split(",")}
    # As a field is called in files and in English, it is understood in every language.
    field = called.get(name, name)
    if of_part and f"{field}:" == PART:
        return _part(part, value, parts)
    if not of_part and field in TEXTS:
        return Typed(field, _text(name, cleaned(value).strip()))
    if not of_part and field in MINUTES:
        return Typed(field, _minutes(name, value))
    if not of_part and field == "due":
        return Typed(field, _day(name, value))
    shown = {field: words.partition(",")[0] for field, words in said("recording.typed").items()}
    known = [*(shown[field] for field in FIELDS), *(f"{shown[PART[:-1]]}:{part}" for part in parts)]
    name = f"{name}{of_part}{part}"
    raise RecordError(say("recording.no_field", name=name, advice=advice_for(name, known)))


def _text(name: str, value: str) -> str:
    if not value or len(value) > _LONGEST:
        raise RecordError(say("recording.no_text", name=name, most=_LONGEST))
    return value


def _day(name: str, value: str) -> str:
    """A day as ISO 8601 writes it."""
    try:
        return datetime.date.fromisoformat(value).isoformat()
    except ValueError as error:
        raise RecordError(say("recording.no_day", name=name, value=value)) from error


def _minutes(name: str, value: str) -> float:
    """A time in minutes; a bare number is one."""
    try:
        hours = read_quantity(value if re.search(r"[a-z]", value) else f"{value} min", "h", name, None).value
    except QuantityError as error:
        raise RecordError(say("recording.no_time", name=name, value=value)) from error
    minutes = round(float(hours) * 60, 1)
    if not 0 <= minutes <= MOST_MINUTES:
        raise RecordError(say("recording.no_time", name=name, value=value))
    return minutes


def _part(part: str, value: str, parts: Mapping[str, Part]) -> Typed:
    if part not in parts:
        raise RecordError(say("recording.no_part", part=part, advice=advice_for(part, parts, "part")))
    found = _AMOUNT.fullmatch(value)
    unit = (found[2] or "").strip() if found else ""
    if found is None or (unit and not is_unit(unit)) or float(found[1].replace(",", ".")) > MOST_PARTS:
        raise RecordError(say("recording.no_amount", part=part, value=value))
    return Typed(f"{PART}{part}", float(found[1].replace(",", ".")), canonical_unit(unit) if unit else "")
