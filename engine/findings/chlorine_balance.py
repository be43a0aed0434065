"""Whether what the unit makes a day carries an ordinary pool: now, or only with more setting or hours, or never."""

from __future__ import annotations

import math
from dataclasses import replace

from engine.chlorinator.cell import chlorine_need_g_day
from engine.findings.readings import Readings, Weights, normal_below, relative_sd

DEMAND_AT_25_PPM_DAY = 2.2
"""Chlorine a stabilised pool uses a day at 25 degC with ordinary use, the median.

Common practice, no published count: advice to owners quotes 1.5 to 3, mostly 2 to 2.5.
"""
DEMAND_LOG_SD = 0.35
"""A factor of two either way holds 95 % of pools: common practice, no source."""
AMPLE_Z = 0.524
"""Standard deviations above the median under which seven pools of ten lie: table of the normal distribution."""
FAR_OVER = 2.0
"""From this multiple of the ordinary need on, a unit makes far more than the pool uses: judgement."""
MOST_SURPRISE = 50.0
"""How far a pool unlike the usual ones can speak for a rare balance, as usual spreads are only guessed: judgement."""


def ordinary_demand_ppm_day(temperature_c: float) -> float:
    """Median chlorine demand of a stabilised pool in ordinary use, ppm a day; doubles in about 10 degC.

    Source: common practice, no source; the doubling is the usual rule for reaction rates, from memory.
    """
    return DEMAND_AT_25_PPM_DAY * math.exp2((temperature_c - 25.0) / 10.0)


def ample_demand_ppm_day(temperature_c: float) -> float:
    """Demand that seven of ten stabilised pools in ordinary use do not pass, ppm a day: what a setting is made for.

    Source: the median and its spread as above; half of all pools would fall short of a setting for the median.
    """
    return ordinary_demand_ppm_day(temperature_c) * math.exp(AMPLE_Z * DEMAND_LOG_SD)


def need_g_day(read: Readings) -> float:
    """Chlorine that an ordinary pool of this size and warmth uses, g a day."""
    return chlorine_need_g_day(max(read.of("pool_volume")[0], 0.1), ordinary_demand_ppm_day(read.of("water_temp")[0]))


def made_g_day(read: Readings) -> float:
    """Chlorine that the unit makes as it is set, g a day."""
    return read.of("rated_output")[0] * read.of("output_setting")[0] / 100.0 * read.of("run_hours")[0]


def weights(read: Readings) -> Weights | None:
    """Each band; None while nothing of the pool or the unit was read.

    Weights are P(readings | band) up to a constant: what the known readings make of each band over what the usual
    spread of all of them makes of it. So a reading that tells nothing of the balance changes nothing.
    """
    if not set(read.finding.replaces) & read.numbers.keys():
        return None
    known, usual = _shares(read), _shares(replace(read, numbers={}))
    ratios = [min(known[answer.id] / usual[answer.id], MOST_SURPRISE) for answer in read.finding.answers]
    return tuple(ratio / sum(ratios) for ratio in ratios)


def figure(read: Readings) -> dict[str, float]:
    """`made` and `need`, g a day."""
    return {"made": made_g_day(read), "need": need_g_day(read)}


def _shares(read: Readings) -> dict[str, float]:
    """P(band) of the chlorine balance from the readings there are, the others over their usual spread."""
    volume, rate, setting, hours, temperature = (
        read.of(name) for name in ("pool_volume", "rated_output", "output_setting", "run_hours", "water_temp")
    )
    need = need_g_day(read)
    temperature_log_sd = math.log(2.0) / 10.0 * temperature[1]
    shared = math.sqrt(DEMAND_LOG_SD**2 + temperature_log_sd**2 + relative_sd(volume, rate) ** 2)
    full = max(rate[0], 0.1) * 24.0
    now = max(made_g_day(read), 1e-3)
    now_sd = math.hypot(
        shared, min(relative_sd((max(setting[0], 1.0), setting[1]), (max(hours[0], 0.5), hours[1])), 1.0)
    )
    carries = normal_below(math.log(now / need) / now_sd)
    far_over = normal_below(math.log(now / need / FAR_OVER) / now_sd)
    never = 1.0 - normal_below(math.log(full / need) / shared)
    # Both come from one spread of demand; where they would overlap, the round-the-clock shortage is the smaller claim.
    shares = {"carries": carries, "short_always": min(never, 1.0 - carries)}
    shares["short_now"] = 1.0 - shares["carries"] - shares["short_always"]
    return {**shares, "carries": carries - far_over, "far_over": far_over}
