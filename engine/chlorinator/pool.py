"""Pool volume from its measures, and how fast a pump mixes it."""

from __future__ import annotations

import math

from engine.chlorinator.limits import RangeError, require_above_zero, require_not_negative
from engine.foundation.texts import told
from engine.quantities.quantity import figure


def _require_sizes(**sizes_m: float) -> None:
    for name, size_m in sizes_m.items():
        require_above_zero(name, size_m, "m")


def rectangle_m3(length_m: float, width_m: float, depth_m: float) -> float:
    """Volume of a rectangular pool; `depth_m` is the mean depth of an even slope.

    Args:
        length_m: length, m, above 0.
        width_m: width, m, above 0.
        depth_m: mean water depth, m, above 0.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a size that is not above 0.

    Source: geometry.
    """
    _require_sizes(length=length_m, width=width_m, depth=depth_m)
    return length_m * width_m * depth_m


def ellipse_m3(length_m: float, width_m: float, depth_m: float) -> float:
    """Volume of an elliptic pool from its two axes and mean depth.

    Args:
        length_m: long axis, m, above 0.
        width_m: short axis, m, above 0.
        depth_m: mean water depth, m, above 0.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a size that is not above 0.

    Source: geometry.
    """
    return math.pi / 4 * rectangle_m3(length_m, width_m, depth_m)


def round_m3(diameter_m: float, depth_m: float) -> float:
    """Volume of a round pool.

    Args:
        diameter_m: diameter, m, above 0.
        depth_m: mean water depth, m, above 0.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a size that is not above 0.

    Source: geometry.
    """
    _require_sizes(diameter=diameter_m, depth=depth_m)
    return math.pi / 4 * diameter_m**2 * depth_m


def stadium_m3(length_m: float, width_m: float, depth_m: float) -> float:
    """Volume of an oval pool with straight sides and half-round ends.

    Args:
        length_m: whole length, m, not below the width.
        width_m: width, m, above 0.
        depth_m: mean water depth, m, above 0.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a size that is not above 0, or a pool shorter than wide.

    Source: geometry.
    """
    _require_sizes(length=length_m, width=width_m, depth=depth_m)
    if length_m < width_m:
        raise RangeError(*told("limits.shorter_than_wide", length=figure(length_m), width=figure(width_m)))
    return ((length_m - width_m) * width_m + math.pi / 4 * width_m**2) * depth_m


def kidney_m3(length_m: float, width_m: float, width2_m: float, depth_m: float) -> float:
    """Volume of a kidney-shaped pool from the widths of its two lobes.

    Args:
        length_m: length, m, above 0.
        width_m: width of one lobe, m, above 0.
        width2_m: width of the other lobe, m, above 0.
        depth_m: mean water depth, m, above 0.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a size that is not above 0.

    Resolution: 10 %.
    Source: common practice.
    """
    _require_sizes(length=length_m, width=width_m, second_width=width2_m, depth=depth_m)
    return 0.45 * (width_m + width2_m) * length_m * depth_m


def turnovers(volume_m3: float, flow_m3_h: float, hours_h: float) -> float:
    """How often the pump passes the pool's volume.

    Args:
        volume_m3: pool volume, m³, above 0.
        flow_m3_h: flow, m³/h, above 0.
        hours_h: running time, h, not negative.

    Returns:
        Turnovers.

    Raises:
        RangeError: a value outside its range.

    Source: definition.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_above_zero("flow", flow_m3_h, "m³/h")
    require_not_negative("time", hours_h, "h")
    return flow_m3_h * hours_h / volume_m3


def mixed_share(turnover_count: float) -> float:
    """Share of the water that has passed the filter at least once, perfectly mixed.

    Args:
        turnover_count: turnovers, not negative.

    Returns:
        Share, 0 to 1: 0.63, 0.86 and 0.95 after one, two and three turnovers.

    Raises:
        RangeError: a negative count.

    Source: washout of a stirred tank; a real pool mixes worse.
    """
    require_not_negative("turnovers", turnover_count)
    return -math.expm1(-turnover_count)
