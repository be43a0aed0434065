"""The words that stand for numbers in the faults folder, read into numbers, limits, errors and spreads."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from engine.errors import nearest
from engine.model import Assumption, Limit, MeterError
from engine.systems import marked_units

__all__ = [
    "FACTOR_WORDS",
    "SHARE_WORDS",
    "THE_REST",
    "read_amount",
    "read_assumption",
    "read_factor",
    "read_limit",
    "read_meter_error",
    "read_number",
    "read_possible",
    "read_share",
    "read_text",
]

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
FACTOR_WORDS: Mapping[str, float] = {
    "twice": 2.0,
    "as usual": 1.0,
    "half": 0.5,
    "a third": 1 / 3,
    "a quarter": 0.25,
    "a fifth": 0.2,
    "a tenth": 0.1,
}
THE_REST = "the rest"

_NUMBER = r"[-+]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})"
_TIMES = re.compile(rf"({_NUMBER}) times")
_RANGE = re.compile(rf"({_NUMBER}) to ({_NUMBER})")
_ERROR = re.compile(rf"({_NUMBER}) ?%(?: or ({_NUMBER}))?")
_LIMIT = re.compile(rf"under (?:({_NUMBER}) ?% of )?([a-z][a-z_.]*)|under ({_NUMBER})")
_NORMAL = re.compile(rf"({_NUMBER}) give or take ({_NUMBER})")
_LOGNORMAL = re.compile(rf"({_NUMBER}) within a factor ({_NUMBER})")

_SHARE_HELP = f"write one of {', '.join(SHARE_WORDS)}, or a number between 0 and 1 such as 0.35"
_FACTOR_HELP = f"write {', '.join(FACTOR_WORDS)}, `3 times`, or a number above 0"
_LIMIT_HELP = "write `under 2800`, `under salt.low` or `under 20 % of rated.current`, and `the rest` in the last band"
_ERROR_HELP = "write `5 % or 100` (the larger counts), `2 %`, or a bare number such as 0.2"
_RANGE_HELP = "write the least and the greatest that can be, such as `0 to 12000`"
_SPREAD_HELP = "write `24 give or take 4`, `50 within a factor 1.6`, or shares of 100, {230: 80, 120: 20}"

_QUANTITY_HELP = "write a figure and its unit, such as [15 °C], [20 to 25 °C], [0.2 L] or [30 kPa]"


def _shown(value: object) -> str:
    """A value as a message quotes it: short, on one line."""
    if value is None:
        return "nothing"
    if isinstance(value, Mapping):
        return "a group of `name: value`"
    if isinstance(value, list):
        return "a list"
    text = f"{value:g}" if isinstance(value, float) else " ".join(str(value).split())
    return f"`{text[:60]}`"


def read_text(text: str) -> str:
    """A text as it is. Raises ValueError where what it holds in brackets begins with a figure and is no quantity."""
    for held, is_quantity in marked_units(text):
        if not is_quantity:
            raise ValueError(f"`[{held[:60]}]` is no quantity; {_QUANTITY_HELP}")
    return text


def read_number(text: str) -> float:
    """Text such as `230` or `0.5` as a number. Raises ValueError for anything else."""
    if not re.fullmatch(_NUMBER, text):
        raise ValueError(f"{_shown(text)} is not a number; write it in figures, such as 230 or 0.5")
    return float(text)


def read_share(value: object) -> float:
    """A share as a number from 0 to 1.

    Args:
        value: one of SHARE_WORDS, or a number above 0 and below 1. The ends are written `never` and `always`, since
            they forbid what no later answer can bring back.

    Raises:
        ValueError: for anything else, in the trade's words.
    """
    if isinstance(value, str):
        if value in SHARE_WORDS:
            return SHARE_WORDS[value]
        near = nearest(value, SHARE_WORDS)
        help_text = f"did you mean `{near}`?" if near else _SHARE_HELP
        raise ValueError(f"{_shown(value)} does not say how often; {help_text}")
    if not isinstance(value, (int, float)):
        raise ValueError(f"{_shown(value)} does not say how often; {_SHARE_HELP}")
    if value in (0, 1):
        word = "always" if value == 1 else "never"
        raise ValueError(f"{value:g} is certainty; write `{word}`, and only for what is true by definition")
    if not 0 < value < 1:
        advice = f"write {value / 100:g} for {value:g} in 100" if 1 < value < 100 else _SHARE_HELP
        raise ValueError(f"{value:g} is no share of 1; {advice}")
    return float(value)


def read_factor(value: object) -> float:
    """A factor on the odds, above 0: one of FACTOR_WORDS, `3 times`, or a bare number. Raises ValueError otherwise."""
    factor = math.nan
    if isinstance(value, str):
        times = _TIMES.fullmatch(value)
        factor = float(times[1]) if times else FACTOR_WORDS.get(value, math.nan)
    elif isinstance(value, (int, float)):
        factor = float(value)
    if math.isnan(factor):
        raise ValueError(f"{_shown(value)} is no factor; {_FACTOR_HELP}")
    if not 0 < factor < math.inf:
        raise ValueError(f"a factor of {factor:g} would rule the cause out or make it certain; {_FACTOR_HELP}")
    return factor


def read_limit(value: object) -> Limit | None:
    """The upper end of a band: a Limit, or None for `the rest`. Raises ValueError for anything else."""
    if value == THE_REST:
        return None
    match = _LIMIT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        hint = f"write `under {value:g}`" if isinstance(value, (int, float)) else _LIMIT_HELP
        raise ValueError(f"{_shown(value)} is no end of a band; {hint}")
    percent, name, number = match.groups()
    if name is None:
        return Limit(share=float(number))
    return Limit(share=1.0 if percent is None else float(percent) / 100, of=name)


def read_meter_error(value: object) -> MeterError:
    """The usual instrument's error, one standard deviation above 0. Raises ValueError for anything else."""
    relative, absolute = 0.0, 0.0
    match = _ERROR.fullmatch(value) if isinstance(value, str) else None
    if match is not None:
        relative, absolute = float(match[1]) / 100, float(match[2] or 0)
    elif isinstance(value, (int, float)):
        absolute = float(value)
    else:
        raise ValueError(f"{_shown(value)} is no error of an instrument; {_ERROR_HELP}")
    if relative < 0 or absolute < 0 or relative + absolute == 0:
        raise ValueError(f"an error of {_shown(value)} is not above 0; {_ERROR_HELP}")
    return MeterError(relative=relative, absolute=absolute)


def read_possible(value: object) -> tuple[float, float]:
    """The least and the greatest possible reading, least first. Raises ValueError for anything else."""
    match = _RANGE.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise ValueError(f"{_shown(value)} is no range; {_RANGE_HELP}")
    low, high = float(match[1]), float(match[2])
    if low >= high:
        raise ValueError(f"{_shown(value)} runs backwards; {_RANGE_HELP}")
    return low, high


def read_assumption(value: object) -> Assumption:
    """The usual spread of an input that may be missing. Raises ValueError for none of the three forms."""
    if isinstance(value, Mapping):
        return _read_mixture(value)
    text = value if isinstance(value, str) else ""
    normal, lognormal = _NORMAL.fullmatch(text), _LOGNORMAL.fullmatch(text)
    if normal is not None and float(normal[2]) > 0:
        return Assumption("normal", ((float(normal[1]), float(normal[2])),))
    if lognormal is not None and float(lognormal[1]) > 0 and float(lognormal[2]) > 1:
        return Assumption("lognormal", ((float(lognormal[1]), float(lognormal[2])),))
    if normal is not None:
        raise ValueError(f"{_shown(value)} has no spread; give or take must be more than 0")
    if lognormal is not None:
        raise ValueError(f"{_shown(value)} has no spread; the middle must be above 0 and the factor above 1")
    raise ValueError(f"{_shown(value)} is no usual spread; {_SPREAD_HELP}")


def _read_mixture(value: Mapping[object, object]) -> Assumption:
    points: list[tuple[float, float]] = []
    for key, share in value.items():
        if not isinstance(share, (int, float)) or not 0 < share <= 100:
            raise ValueError(f"{_shown(share)} is no number of 100; {_SPREAD_HELP}")
        points.append((read_number(str(key)), share / 100))
    total = sum(share for _, share in points) * 100
    if not math.isclose(total, 100, abs_tol=1e-6):
        raise ValueError(f"the shares add up to {total:g}; they must add up to 100")
    return Assumption("mixture", tuple(points))


def read_amount(value: object) -> str:
    """How much of a part, as text for people: `0.2 L`, `1`, `as computed`. Raises ValueError for no text or number."""
    if isinstance(value, (int, float)) and value > 0:
        return f"{value:g}"
    if isinstance(value, str) and value.strip():
        return value.strip()
    raise ValueError(f"{_shown(value)} is no amount; write it as people read it, such as `0.2 L`, 1 or `as computed`")
