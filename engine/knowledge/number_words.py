"""The words that stand for numbers in the faults folder, read into numbers, limits, errors and spreads."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from engine.foundation.problems import advice_for, nearest
from engine.foundation.texts import say, told
from engine.knowledge.model import Assumption, Limit, MeterError
from engine.knowledge.properties import PART_COMPUTATIONS, PartAmount
from engine.quantities.unit_systems import marked_units

SHARE_WORDS: Mapping[str, float] = {
    "always": 1.0,
    "nearly always": 0.95,
    "usually": 0.8,
    "often": 0.6,
    "sometimes": 0.3,
    "seldom": 0.1,
    "hardly ever": 0.02,
    "never": 0.0,
}
AS_USUAL = "as usual"
"""A factor of one; in place of answers, all of them as they are, on purpose."""
FACTOR_WORDS: Mapping[str, float] = {
    "twice": 2.0,
    AS_USUAL: 1.0,
    "half": 0.5,
    "a third": 1 / 3,
    "a quarter": 0.25,
    "a fifth": 0.2,
    "a tenth": 0.1,
}
THE_REST = "the rest"
AMOUNT_UNITS = ("L", "mL", "kg", "g", "m", "cm", "mm")
"""The units in which an amount of a part may stand; a number without one is a number of pieces."""

_NUMBER = r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})"
_PERCENT = re.compile(rf"({_NUMBER}) ?%")
_TIMES = re.compile(rf"({_NUMBER}) times")
_RANGE = re.compile(rf"({_NUMBER}) to ({_NUMBER})")
_ERROR = re.compile(rf"({_NUMBER}) ?%(?: or ({_NUMBER}))?")
_LIMIT = re.compile(rf"under (?:({_NUMBER}) ?% of )?([a-z][a-z_.]*)|under ({_NUMBER})")
_NORMAL = re.compile(rf"({_NUMBER}) give or take ({_NUMBER})")
_LOGNORMAL = re.compile(rf"({_NUMBER}) within a factor ({_NUMBER})")


class RefusedError(ValueError):
    """A value that cannot be read: what is wrong with it, and what to write instead, in the language in use."""

    def __init__(self, what: str, advice: str) -> None:
        super().__init__(f"{what}; {advice}")
        self.what = what
        self.advice = advice


def _shown(value: object) -> str:
    """A value as a message quotes it: short, on one line."""
    if value is None:
        return say("mistakes_numbers.value.nothing")
    if isinstance(value, Mapping):
        return say("mistakes_numbers.value.group")
    if isinstance(value, list):
        return say("mistakes_numbers.value.list")
    text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return say("mistakes_numbers.value.text", text=text[:60])


def _share_help() -> str:
    return say("mistakes_numbers.share", words=", ".join(SHARE_WORDS))


def _factor_help() -> str:
    return say("mistakes_numbers.factor", words=", ".join(FACTOR_WORDS))


def read_text(text: str) -> str:
    """A text as it is. Raises RefusedError where what it holds in brackets begins with a figure and is no quantity."""
    for held, is_quantity in marked_units(text):
        if not is_quantity:
            raise RefusedError(*told("mistakes_numbers.no_quantity", held=held[:60]))
    return text


def read_number(text: str) -> float:
    """Text such as `230` or `0.5` as a number. Raises RefusedError for anything else."""
    if not re.fullmatch(_NUMBER, text):
        raise RefusedError(*told("mistakes_numbers.no_number", value=_shown(text)))
    return float(text)


def read_share(value: object) -> float:
    """A share as a number from 0 to 1.

    Args:
        value: one of SHARE_WORDS, or a number above 0 and below 1. The ends are written `never` and `always`, since
            they forbid what no later answer can bring back.

    Raises:
        RefusedError: for anything else, in the trade's words.
    """
    if isinstance(value, str):
        if value in SHARE_WORDS:
            return SHARE_WORDS[value]
        if (percent := _PERCENT.fullmatch(value)) is not None and 0 < float(percent[1]) < 100:
            share = f"{float(percent[1]) / 100:g}"
            advice = say("mistakes_numbers.percent", share=share, percent=percent[1])
            raise RefusedError(say("mistakes_numbers.how_often", value=_shown(value)), advice)
        advice = advice_for(value, SHARE_WORDS) if nearest(value, SHARE_WORDS) else _share_help()
        raise RefusedError(say("mistakes_numbers.how_often", value=_shown(value)), advice)
    if not isinstance(value, (int, float)):
        raise RefusedError(say("mistakes_numbers.how_often", value=_shown(value)), _share_help())
    if value in (0, 1):
        word = "always" if value == 1 else "never"
        raise RefusedError(*told("mistakes_numbers.certainty", value=f"{value:g}", word=word))
    if not 0 < value < 1:
        advice = _share_help()
        if 1 < value < 100:
            advice = say("mistakes_numbers.percent", share=f"{value / 100:g}", percent=f"{value:g}")
        raise RefusedError(say("mistakes_numbers.no_share", value=f"{value:g}"), advice)
    return float(value)


def read_factor(value: object) -> float:
    """A factor on the odds, above 0: one of FACTOR_WORDS, `3 times` or a number. Raises RefusedError otherwise."""
    factor = math.nan
    if isinstance(value, str):
        times = _TIMES.fullmatch(value)
        factor = float(times[1]) if times else FACTOR_WORDS.get(value, math.nan)
    elif isinstance(value, (int, float)):
        factor = float(value)
    if math.isnan(factor):
        raise RefusedError(say("mistakes_numbers.no_factor", value=_shown(value)), _factor_help())
    if not 0 < factor < math.inf:
        raise RefusedError(say("mistakes_numbers.certain_factor", factor=f"{factor:g}"), _factor_help())
    return factor


def read_limit(value: object) -> Limit | None:
    """The upper end of a band: a Limit, or None for `the rest`. Raises RefusedError for anything else."""
    if value == THE_REST:
        return None
    match = _LIMIT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        is_bare = isinstance(value, (int, float))
        hint = say("mistakes_numbers.end_with_under", number=f"{value:g}") if is_bare else say("mistakes_numbers.end")
        raise RefusedError(say("mistakes_numbers.no_end", value=_shown(value)), hint)
    percent, name, number = match.groups()
    if name is None:
        return Limit(share=float(number))
    return Limit(share=1.0 if percent is None else float(percent) / 100, of=name)


def read_meter_error(value: object) -> MeterError:
    """The usual instrument's error, one standard deviation above 0. Raises RefusedError for anything else."""
    relative, absolute = 0.0, 0.0
    match = _ERROR.fullmatch(value) if isinstance(value, str) else None
    if match is not None:
        relative, absolute = float(match[1]) / 100, float(match[2] or 0)
    elif isinstance(value, (int, float)):
        absolute = float(value)
    else:
        raise RefusedError(say("mistakes_numbers.no_error", value=_shown(value)), say("mistakes_numbers.error"))
    if relative < 0 or absolute < 0 or relative + absolute == 0:
        raise RefusedError(say("mistakes_numbers.error_of_none", value=_shown(value)), say("mistakes_numbers.error"))
    return MeterError(relative=relative, absolute=absolute)


def read_possible(value: object) -> tuple[float, float]:
    """The least and the greatest possible reading, least first. Raises RefusedError for anything else."""
    match = _RANGE.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise RefusedError(say("mistakes_numbers.no_range", value=_shown(value)), say("mistakes_numbers.range"))
    low, high = float(match[1]), float(match[2])
    if low >= high:
        raise RefusedError(say("mistakes_numbers.backwards", value=_shown(value)), say("mistakes_numbers.range"))
    return low, high


def read_assumption(value: object) -> Assumption:
    """The usual spread of an input that may be missing. Raises RefusedError for none of the three forms."""
    if isinstance(value, Mapping):
        return _read_mixture(value)
    text = value if isinstance(value, str) else ""
    normal, lognormal = _NORMAL.fullmatch(text), _LOGNORMAL.fullmatch(text)
    if normal is not None and float(normal[2]) > 0:
        return Assumption("normal", ((float(normal[1]), float(normal[2])),))
    if lognormal is not None and float(lognormal[1]) > 0 and float(lognormal[2]) > 1:
        return Assumption("lognormal", ((float(lognormal[1]), float(lognormal[2])),))
    if normal is not None:
        raise RefusedError(*told("mistakes_numbers.flat_spread", value=_shown(value)))
    if lognormal is not None:
        raise RefusedError(*told("mistakes_numbers.flat_factor", value=_shown(value)))
    raise RefusedError(say("mistakes_numbers.no_spread", value=_shown(value)), say("mistakes_numbers.spread"))


def _read_mixture(value: Mapping[object, object]) -> Assumption:
    points: list[tuple[float, float]] = []
    for key, share in value.items():
        if not isinstance(share, (int, float)) or not 0 < share <= 100:
            raise RefusedError(say("mistakes_numbers.not_of_100", value=_shown(share)), say("mistakes_numbers.spread"))
        points.append((read_number(str(key)), share / 100))
    total = sum(share for _, share in points) * 100
    if not math.isclose(total, 100, abs_tol=1e-6):
        raise RefusedError(*told("mistakes_numbers.shares_not_100", total=f"{total:g}"))
    return Assumption("mixture", tuple(points))


def read_amount(value: object) -> PartAmount:
    """How much of a part: a number of pieces, a number with its unit, or a computation by name.

    Right: `1`, `0.2 L`, `computed salt_dose`. Raises RefusedError for anything else.
    """
    if isinstance(value, (int, float)) and value > 0:
        return PartAmount(float(value))
    text = " ".join(value.split()) if isinstance(value, str) else ""
    first, _, second = text.partition(" ")
    if first == "computed" and second:
        named = next((name for name in PART_COMPUTATIONS if name == second), None)
        if named is None:
            raise RefusedError(
                say("mistakes_numbers.no_computation", name=second), advice_for(second, PART_COMPUTATIONS)
            )
        return PartAmount(computed=named)
    if not re.fullmatch(_NUMBER, first) or float(first) <= 0:
        raise RefusedError(*told("mistakes_numbers.no_amount", value=_shown(value)))
    if second and second not in AMOUNT_UNITS:
        raise RefusedError(say("mistakes_numbers.no_unit_of_amount", unit=second), advice_for(second, AMOUNT_UNITS))
    return PartAmount(float(first), second)


def read_step(value: object) -> object:
    """One step of a repair as it stands. Raises RefusedError where nothing stands there."""
    if value is None or (isinstance(value, str) and not value.strip()):
        raise RefusedError(*told("mistakes_form.empty_step"))
    return value
