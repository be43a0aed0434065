"""The whole catalogue, and one computation from a name and typed text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from engine.chlorinator.dose_limits import DoseLimits
from engine.chlorinator.limits import RangeError
from engine.computations.balance import BALANCE
from engine.computations.cell import CELL
from engine.computations.disinfectant import DISINFECTANT
from engine.computations.doubts import refuse_absurd, refuse_absurd_pool
from engine.computations.supply import SUPPLY
from engine.computations.types import Computation, ComputationError, Entry, Key, KeyedValue, Value
from engine.computations.water import WATER
from engine.foundation.problems import nearest
from engine.foundation.texts import say
from engine.quantities.quantity import QuantityError, read_quantity, show_quantity

CATALOGUE: Mapping[str, Entry] = {entry.name: entry for entry in (*WATER, *DISINFECTANT, *BALANCE, *CELL, *SUPPLY)}
"""Every computation by its name."""

_ADDS_UP: Mapping[str, tuple[str, str]] = {"pool-volume": ("volume_m3", "m³")}
"""The computations whose result is the sum over sections, with that result and its unit."""


def _shown_key(key: Key) -> str:
    """Show a key with its unit, in brackets where it may be left out."""
    what = "|".join(key.choices) or ("" if key.unit in ("number", "share") else key.unit)
    if key.required:
        return f"{key.name}={what or '...'}"
    if key.default is None:
        return f"[{key.name}={what or '...'}]"
    default = key.default if isinstance(key.default, str) else show_quantity(key.default, key.unit)
    return f"[{key.name}={what if key.choices else default}]"


def usage(entry: Entry) -> str:
    """Show how a computation is asked for: its name and keys, optional ones in brackets."""
    return " ".join([entry.name, *(_shown_key(key) for key in entry.keys)])


def _entry(name: str) -> Entry:
    entry = CATALOGUE.get(name)
    if entry is None:
        if "fuse" in name.lower():
            raise ComputationError(say("compute.refused.fuse"))
        near = nearest(name.lower().replace("_", "-"), CATALOGUE)
        if near is None:
            raise ComputationError(say("compute.refused.no_computation", name=repr(name)))
        raise ComputationError(say("compute.refused.no_computation_near", name=repr(name), near=near))
    return entry


def _refuse_unknown(entry: Entry, given: Mapping[str, str]) -> None:
    known = [key.name for key in entry.keys]
    keys = ", ".join(known)
    for name in given:
        if name not in known:
            near = nearest(name.lower(), known)
            if near is None:
                raise ComputationError(say("compute.refused.no_key", name=entry.name, key=repr(name), keys=keys))
            wrong = say("compute.refused.no_key_near", name=entry.name, key=repr(name), near=near, keys=keys)
            raise ComputationError(wrong)


def _refuse_missing(entry: Entry, given: Mapping[str, str]) -> None:
    missing = [key for key in entry.keys if key.required and key.name not in given]
    if missing:
        named = ", ".join(f"{key.name} ({key.unit or '|'.join(key.choices)})" for key in missing)
        raise ComputationError(say("compute.refused.lacks", name=entry.name, keys=named, example=entry.example))


def _read_word(key: Key, typed: str) -> str:
    word = typed.strip().lower()
    if word not in key.choices:
        near, shown, words = nearest(word, key.choices), " ".join(typed.split()), ", ".join(key.choices)
        if near is None:
            raise ComputationError(say("compute.refused.no_word", key=key.name, typed=shown, words=words))
        raise ComputationError(say("compute.refused.no_word_near", key=key.name, typed=shown, near=near, words=words))
    return word


def _read(key: Key, typed: str | None) -> Value:
    if typed is None:
        return key.default
    if key.choices:
        return _read_word(key, typed)
    try:
        return read_quantity(typed, key.unit, key.meaning, key.possible).value
    except QuantityError as error:
        raise ComputationError(f"{key.name}: {error}") from error


def compute(name: str, given: Mapping[str, str], limits: DoseLimits | None = None, sure: bool = False) -> Computation:
    """Do one of the trade's computations from typed text.

    Args:
        name: a name of `CATALOGUE`.
        given: typed text for each key; a bare number is in the key's unit.
        limits: those of the knowledge; without them nothing is doubted that a formula has an answer for.
        sure: whether what the limits only doubt is meant.

    Returns:
        The inputs as read, the results in full precision, and the working as honest as they are.

    Raises:
        ComputationError: an unknown name or key, a key missing or unreadable, or a value for which
            there is no answer; its text is one line that says what to do instead.
    """
    entry = _entry(name)
    _refuse_unknown(entry, given)
    _refuse_missing(entry, given)
    inputs = {key.name: _read(key, given.get(key.name)) for key in entry.keys}
    try:
        keyed = KeyedValue(inputs, entry.keys, limits)
        if limits is not None:
            refuse_absurd(entry, keyed, limits, sure)
        answer = entry.work(keyed)
        if limits is not None:
            refuse_absurd_pool(entry, answer, limits, sure)
    except RangeError as error:
        raise ComputationError(f"{name}: {error}") from error
    return Computation(
        name=name,
        inputs={key: value for key, value in inputs.items() if value is not None},
        results=answer.results,
        working=answer.working,
        source=entry.source,
        notes=answer.notes,
        occasions=entry.occasions,
    )


def compute_sections(
    name: str, sections: Sequence[Mapping[str, str]], limits: DoseLimits | None = None, sure: bool = False
) -> Computation:
    """Do a computation whose result adds up, such as a pool's volume, for several sections.

    Args:
        name: a name of `CATALOGUE`.
        sections: typed text for each key, once a section; one section is the same as `compute`.
        limits, sure: as in `compute`.

    Returns:
        The sum, with each section's working; an input's key bears the number of its section.

    Raises:
        ComputationError: as `compute`, or a computation that does not add up.
    """
    done = [compute(name, section, limits, sure) for section in sections]
    if len(done) == 1:
        return done[0]
    if name not in _ADDS_UP:
        raise ComputationError(say("compute.refused.no_sum", name=name))
    result, unit = _ADDS_UP[name]
    total = sum(float(item.results[result] or 0.0) for item in done)
    together = say("compute.together", total=show_quantity(total, unit))
    return replace(
        done[0],
        inputs={f"{key}_{n}": value for n, item in enumerate(done, 1) for key, value in item.inputs.items()},
        results={result: total},
        working=(*(line for item in done for line in item.working), together),
        notes=tuple(dict.fromkeys(note for item in done for note in item.notes)),
    )
