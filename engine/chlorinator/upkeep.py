"""Upkeep of the cell: how it wears out, and how often it wants cleaning."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine.chlorinator.limits import require_between, require_not_negative

_MAX_HOURS = 1_000_000.0


def _require_weibull(shape: float, scale_h: float) -> None:
    require_between("shape", shape, 0.1, 50, instead="usual_shape")
    require_between("scale", scale_h, 1, _MAX_HOURS, "h", "scale_of_wear")


def _hazard(hours_h: float, shape: float, scale_h: float) -> float:
    """Cumulative hazard of a Weibull life."""
    require_between("operating_hours", hours_h, 0, _MAX_HOURS, "h")
    return float((hours_h / scale_h) ** shape)


def survival(hours_h: float, shape: float, scale_h: float) -> float:
    """Probability that a cell outlasts its hours, for a Weibull life.

    Args:
        hours_h: operating hours, 0 to 1 000 000.
        shape: Weibull shape, 0.1 to 50; above 1 means wear.
        scale_h: Weibull scale, 1 to 1 000 000 h; 63 of 100 have failed by then.

    Returns:
        Probability, 0 to 1.

    Raises:
        RangeError: a value outside its range.

    Resolution: that of shape and scale; no field data on cells are published.
    Source: Weibull distribution, IEC 61649 (from memory).
    """
    _require_weibull(shape, scale_h)
    return math.exp(-_hazard(hours_h, shape, scale_h))


def conditional_survival(hours_h: float, further_h: float, shape: float, scale_h: float) -> float:
    """Probability that a cell which has reached its hours lasts some more.

    Args:
        hours_h: operating hours so far, 0 to 1 000 000.
        further_h: further hours, 0 to 1 000 000 in all.
        shape: Weibull shape, 0.1 to 50.
        scale_h: Weibull scale, 1 to 1 000 000 h.

    Returns:
        Probability, 0 to 1.

    Raises:
        RangeError: a value outside its range.

    Source: Weibull distribution, as `survival`.
    """
    _require_weibull(shape, scale_h)
    require_not_negative("further_hours", further_h, "h")
    now = _hazard(hours_h, shape, scale_h)
    return math.exp(now - _hazard(hours_h + further_h, shape, scale_h))


def mean_life_h(shape: float, scale_h: float) -> float:
    """Mean of a Weibull life.

    Args:
        shape: Weibull shape, 0.1 to 50.
        scale_h: Weibull scale, 1 to 1 000 000 h.

    Returns:
        Mean life, h.

    Raises:
        RangeError: a value outside its range.

    Source: Weibull distribution, as `survival`.
    """
    _require_weibull(shape, scale_h)
    return scale_h * math.gamma(1 + 1 / shape)


def life_at_h(failed_share: float, shape: float, scale_h: float) -> float:
    """Hours by which a share of cells has failed; 0.1 gives the B10 life, 0.5 the median.

    Args:
        failed_share: 0 to 0.999.
        shape: Weibull shape, 0.1 to 50.
        scale_h: Weibull scale, 1 to 1 000 000 h.

    Returns:
        Operating hours.

    Raises:
        RangeError: a value outside its range.

    Source: Weibull distribution, as `survival`.
    """
    _require_weibull(shape, scale_h)
    require_between("failed_share", failed_share, 0, 0.999)
    return float(scale_h * (-math.log1p(-failed_share)) ** (1 / shape))


def further_life_h(hours_h: float, failed_share: float, shape: float, scale_h: float) -> float:
    """Hours more by which a share of the cells that have come this far has failed; 0.5 gives the median.

    Args:
        hours_h: operating hours so far, 0 to 1 000 000.
        failed_share: 0 to 0.999.
        shape: Weibull shape, 0.1 to 50.
        scale_h: Weibull scale, 1 to 1 000 000 h.

    Returns:
        Further operating hours; `conditional_survival` of them is 1 - `failed_share`.

    Raises:
        RangeError: a value outside its range.

    Source: Weibull distribution, as `survival`.
    """
    _require_weibull(shape, scale_h)
    require_between("failed_share", failed_share, 0, 0.999)
    hazard = _hazard(hours_h, shape, scale_h) - math.log1p(-failed_share)
    return max(float(scale_h * hazard ** (1 / shape)) - hours_h, 0.0)


@dataclass(frozen=True)
class CleaningInterval:
    """How often a cell is cleaned.

    Attributes:
        months: months between cleanings.
        reason: what sets them.
    """

    months: float
    reason: str


def cleaning_interval(hardness_ppm: float, index: float | None = None) -> CleaningInterval:
    """Interval between cleanings from the hardness and, where known, the calcite index.

    Args:
        hardness_ppm: calcium hardness, mg/L as CaCO3, 0 to 2000.
        index: calcite saturation index, -5 to 5, or None.

    Returns:
        Months and the reason; in any case inspect every three months and clean only when
        scale is seen.

    Raises:
        RangeError: a value outside its range.

    Source: common practice: under 200 ppm once a year, 200 to 400 every three to six months,
        above 400 or an index above 0.3 every one to two.
    """
    require_between("hardness", hardness_ppm, 0, 2000, "ppm")
    if index is not None:
        require_between("index", index, -5, 5, instead="use_scaling")
    hard, scaling = hardness_ppm > 400, index is not None and index > 0.3
    if hard and scaling:
        return CleaningInterval(1, "hard_and_scaling")
    if hard:
        return CleaningInterval(2, "hard")
    if scaling:
        return CleaningInterval(2, "scaling")
    if hardness_ppm > 300:
        return CleaningInterval(3, "rather_hard")
    if hardness_ppm >= 200:
        return CleaningInterval(6, "middling")
    return CleaningInterval(12, "soft")
