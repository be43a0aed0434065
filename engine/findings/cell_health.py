"""The cell's apparent constant over that of a clean cell at its rated values, and the volts where that is sound."""

from __future__ import annotations

import math

from engine.chlorinator.cell import ONSET_V, RAISED_ABOVE, cell_constant_per_m
from engine.findings.current_gap import current_over_expected, rated_conductivity
from engine.findings.readings import Readings, Spread, Weights, normal_below

ONSET_SD_V = 0.2
"""How far that differs between sound cells: 2.2 to 2.8 V is usual, from memory."""
LOW_VOLTS = 0.88
"""Share of the rated volts under which they are low, as in the bands of the cell's volts: judgement."""
NO_CURRENT = 0.05
"""Share of the current that this water should give under which none flows, as in the bands of the current."""


def push_over_clean(read: Readings) -> Spread | None:
    """Volts beyond the electrodes' onset over those of a clean cell; None where the rated volts hardly start one."""
    gaps, rated = read.unit.values["gaps"], read.unit.values["rated.voltage"]
    clean = rated - gaps * ONSET_V
    if clean <= 0 or not read.have("cell_voltage"):
        return None
    volts, error = read.of("cell_voltage")
    push = max(volts - gaps * ONSET_V, 0.0) / clean
    return push, math.hypot(error, gaps * ONSET_SD_V * (volts - rated) / clean) / clean


def weights(read: Readings) -> Weights | None:
    """Each state of the cell; None while volts, amps or salt are missing.

    Scale and wear raise the constant; of a bad lead or a weak pack volts and amps fall together and it stays; too
    little salt and cold are in the conductivity. So volts and amps, which move together, speak once and jointly.
    Source: ohmic resistance beyond the electrodes' onset, as `engine.chlorinator.cell.cell_constant_per_m`.
    """
    gap, pushed = current_over_expected(read), push_over_clean(read)
    if gap is None or pushed is None:
        return None
    (current, current_sd), (push, push_sd) = gap, pushed
    volts, rated = read.of("cell_voltage"), read.unit.values["rated.voltage"]
    none = normal_below((NO_CURRENT - current) / (current_sd + 0.01))
    flow = max(current, NO_CURRENT)
    ratio = push / flow
    spread = math.hypot(ratio * current_sd, push_sd) / flow + 0.02
    low = normal_below((LOW_VOLTS - volts[0] / rated) * rated / volts[1])
    not_raised, bridged = (normal_below((limit - ratio) / spread) for limit in (RAISED_ABOVE, 1.0 / RAISED_ABOVE))
    sound = not_raised - bridged
    shares = {"raised": 1.0 - not_raised, "bridged": bridged, "starved": sound * low, "sound": sound * (1.0 - low)}
    shares = {"no_current": none, **{answer: (1.0 - none) * share for answer, share in shares.items()}}
    return tuple(shares[answer.id] for answer in read.finding.answers)


def figure(read: Readings) -> dict[str, float]:
    """`times` the clean cell's constant `clean_per_m`, 1/m; none where the volts do not reach the onset."""
    gap, push = current_over_expected(read), push_over_clean(read)
    if gap is None or push is None or push[0] <= 0:
        return {}
    rated = read.unit.values
    clean = cell_constant_per_m(rated["rated.voltage"], rated["rated.current"], rated_conductivity(read), rated["gaps"])
    return {"times": push[0] / gap[0], "clean_per_m": clean}
