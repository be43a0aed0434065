"""The whole catalogue, and one computation from a name and typed text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from engine.chlorinator.dose_limits import DoseLimits
from engine.chlorinator.limits import RangeError
from engine.computations.balance import BALANCE
from engine.computations.cell import CELL
from engine.computations.disinfectant import DISINFECTANT
from engine.computations.doubts import doubt, doubt_pool, refuse_absurd
from engine.computations.supply import SUPPLY
from engine.computations.types import Computation, ComputationError, Entry, Key, KeyedValue, Value
from engine.computations.water import WATER
from engine.foundation.problems import nearest
from engine.foundation.texts import say
from engine.quantities.quantity import QuantityError, Reading, read_quantity, show_quantity
from engine.quantities.unit_systems import round_to, show_in, unit_asked_in
from engine.quantities.units import convert

Read = Callable[[str, str, str, tuple[float, float] | None], Reading]
"""How typed text is read into a unit, with what it is about and what is possible; as `read_quantity` does."""

GROUPS: Mapping[str, tuple[Entry, ...]] = {
    "water": WATER,
    "disinfectant": DISINFECTANT,
    "balance": BALANCE,
    "cell": CELL,
    "supply": SUPPLY,
}
"""The computations by what they are about, in the order they are listed in."""

CATALOGUE: Mapping[str, Entry] = {entry.name: entry for group in GROUPS.values() for entry in group}
"""Every computation by its name."""

_ADDS_UP: Mapping[str, tuple[str, str]] = {"pool-volume": ("volume_m3", "m³")}
"""The computations whose result is the sum over sections, with that result and its unit."""


def shown_key(key: Key) -> str:
    """Show a key as it is typed, with the unit of a bare number; in brackets where it may be left out."""
    what = "|".join(key.choices) or ("" if key.unit in ("number", "share") else unit_asked_in(key.unit))
    if key.required:
        return f"{key.name}={what or '...'}"
    if key.default is None:
        return f"[{key.name}={what or '...'}]"
    default = key.default if isinstance(key.default, str) else show_in(key.default, key.unit)
    return f"[{key.name}={what if key.choices else default}]"


def example_of(entry: Entry) -> str:
    """What is typed for its example, each bare number in the unit that is asked in, to three digits."""
    keys = {key.name: key for key in entry.keys}
    pairs = (pair.split("=") for pair in entry.example.split())
    return " ".join(f"{name}={_in_asked_unit(keys[name], typed)}" for name, typed in pairs)


def _in_asked_unit(key: Key, typed: str) -> str:
    asked = unit_asked_in(key.unit) if key.unit else ""
    if asked == key.unit:
        return typed
    return f"{round_to(convert(float(typed), key.unit, asked), 3):g}"


def usage(entry: Entry) -> str:
    """Show how a computation is asked for: its name and keys, optional ones in brackets."""
    return " ".join([entry.name, *(shown_key(key) for key in entry.keys)])


def entry_of(name: str) -> Entry:
    """The computation of a name. Raises ComputationError where there is none, with what may be meant."""
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
        units = {key.name: unit_asked_in(key.unit) if key.unit else "|".join(key.choices) for key in missing}
        named = ", ".join(f"{name} ({unit})" for name, unit in units.items())
        raise ComputationError(say("compute.refused.lacks", name=entry.name, keys=named, example=example_of(entry)))


def _read_word(key: Key, typed: str) -> str:
    word = typed.strip().lower()
    if word not in key.choices:
        near, shown, words = nearest(word, key.choices), " ".join(typed.split()), ", ".join(key.choices)
        if near is None:
            raise ComputationError(say("compute.refused.no_word", key=key.name, typed=shown, words=words))
        raise ComputationError(say("compute.refused.no_word_near", key=key.name, typed=shown, near=near, words=words))
    return word


def read_value(key: Key, typed: str | None, read: Read = read_quantity) -> Value:
    """What is typed for a key, in its unit; its default where it was left out.

    Raises: ComputationError, where it cannot be read, or could be two things.
    """
    if typed is None:
        return key.default
    if key.choices:
        return _read_word(key, typed)
    try:
        return read(typed, key.unit, key.meaning, key.possible).value
    except QuantityError as error:
        raise ComputationError(f"{key.name}: {error}") from error


def compute(
    name: str,
    given: Mapping[str, str],
    limits: DoseLimits | None = None,
    doubting: bool = False,
    read: Read = read_quantity,
) -> Computation:
    """Do one of the trade's computations from typed text.

    Args:
        name: a name of `CATALOGUE`.
        given: typed text for each key; a bare number is in the key's unit, unless `read` has it otherwise.
        limits: those of the knowledge, beyond which nothing dangerous is worked out.
        doubting: whether what is hardly meant is doubted.
        read: how typed text is read into the unit of a key.

    Returns:
        The inputs as read, the results in full precision, and the working as honest as they are.

    Raises:
        ComputationError: an unknown name or key, a key missing or unreadable, or a value for which
            there is no answer; its text is one line that says what to do instead.
        DoubtedError: what is hardly meant, where that is doubted.
    """
    entry = entry_of(name)
    _refuse_unknown(entry, given)
    _refuse_missing(entry, given)
    inputs = {key.name: read_value(key, given.get(key.name), read) for key in entry.keys}
    try:
        keyed = KeyedValue(inputs, entry.keys, limits)
        if limits is not None:
            refuse_absurd(entry, keyed, limits)
        if doubting:
            doubt(entry, keyed, limits)
        answer = entry.work(keyed)
    except RangeError as error:
        raise ComputationError(f"{name}: {error}") from error
    if doubting:
        doubt_pool(entry, answer, limits)
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
    name: str,
    sections: Sequence[Mapping[str, str]],
    limits: DoseLimits | None = None,
    doubting: bool = False,
    read: Read = read_quantity,
) -> Computation:
    """Do a computation whose result adds up, such as a pool's volume, for several sections.

    Args:
        name: a name of `CATALOGUE`.
        sections: typed text for each key, once a section; one section is the same as `compute`.
        limits, doubting, read: as in `compute`.

    Returns:
        The sum, with each section's working; an input's key bears the number of its section.

    Raises:
        ComputationError: as `compute`, or a computation that does not add up.
    """
    done = [compute(name, section, limits, doubting, read) for section in sections]
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
