"""From answers to findings: soft bands for numbers, and derived findings that replace the readings they come from."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import RAISED_ABOVE
from engine.chlorinator.limits import RangeError
from engine.chlorinator.water import conductivity_ms_cm
from engine.inference.belief import Evidence
from engine.knowledge.model import Assumption, Band, Check, Finding, Knowledge, UnitProfile

DEMAND_AT_25_PPM_DAY = 1.6
"""Chlorine a stabilised pool uses a day at 25 degC with ordinary use: common practice, no source (1 to 4 is quoted)."""
DEMAND_LOG_SD = 0.35
"""A factor of two either way holds 95 % of pools: common practice, no source."""
MOST_SURPRISE = 50.0
"""How far a pool unlike the usual ones can speak for a rare balance, as usual spreads are only guessed: judgement."""
UNIT_SALT_LOG_SD = 0.05
"""How far two sound salt measurements, the unit's and a test's, differ beyond their reading errors: judgement."""

ONSET_V = 2.2
"""Volts that a gap takes before current flows: 1.358 + 0.828 V reversible, CRC Handbook, from memory."""
ONSET_SD_V = 0.2
"""How far that differs between sound cells: 2.2 to 2.8 V is usual, from memory."""
LOW_VOLTS = 0.88
"""Share of the rated volts under which they are low, as in the bands of the cell's volts: judgement."""
NO_CURRENT = 0.05
"""Share of the current that this water should give under which none flows, as in the bands of the current."""
INDEX_SD = 0.1
"""How far open models of salt water differ on the calcite index, as `engine.chlorinator.balance.calcite_index`."""
INDEX_A_DEGREE = 0.015
"""Rise of the calcite index in a degree, from that formula at 25 degC."""
SEASON_SHARE = 0.75
"""Share of the year in which a cell works: common practice, no source."""
SEASON_LOG_SD = 0.3
"""How far that differs between climates, half the year to all of it: judgement."""

Numbers = Mapping[str, tuple[float, float]]
"""Input id -> (reading, standard deviation)."""


@dataclass(frozen=True)
class Observation:
    """One answer as given: an answer id or a number in the check's unit, and the instrument or memory it came from."""

    value: str | float
    by: str = ""


def evidence(knowledge: Knowledge, unit: UnitProfile, answers: Mapping[str, Observation]) -> tuple[Evidence, ...]:
    """Everything the answers say, each thing once: derived findings first replace the readings they name.

    The result depends on the set of answers, not on their order.
    """
    computed = [d for f in knowledge.findings.values() if (d := derived(f, knowledge, unit, answers)) is not None]
    silenced = {check for item in computed for check in knowledge.findings[item.id].replaces}
    spoken = [
        Evidence(check_id, _weights(knowledge.checks[check_id], answers[check_id], unit), (check_id,))
        for check_id in knowledge.checks
        if check_id in answers and check_id not in silenced
    ]
    return (*spoken, *computed)


def band_weights(
    bands: Sequence[Band], order: Sequence[str], unit: UnitProfile, mean: float, sd: float
) -> tuple[float, ...]:
    """Share of Normal(mean, sd) in each band, end bands open, in the order of `order`. Sums to 1."""
    shares = {}
    below = 0.0
    for band in bands:
        upto = 1.0 if band.under is None else _normal_below((band.under.value(unit) - mean) / sd)
        shares[band.id] = max(0.0, upto - below)
        below = max(below, upto)
    return tuple(shares[answer] for answer in order)


def derived(
    finding: Finding, knowledge: Knowledge, unit: UnitProfile, answers: Mapping[str, Observation]
) -> Evidence | None:
    """The derived finding from these answers; None while an input is missing, or where a fuller one speaks."""
    if _outspoken(finding, knowledge, answers):
        return None
    numbers = {
        check.id: (_size(check, answers[check.id]), _error(check, answers[check.id]))
        for check in map(knowledge.checks.__getitem__, finding.inputs)
        if check.id in answers and check.is_number
    }
    weights = _COMPUTE[finding.id](finding, unit, numbers)
    return None if weights is None else Evidence(finding.id, weights, tuple(numbers))


def _outspoken(finding: Finding, knowledge: Knowledge, answers: Mapping[str, Observation]) -> bool:
    """Whether another finding says the same from these readings and more, so that no reading counts twice."""
    return any(
        set(finding.inputs) < set(other.inputs)
        and all(name in answers or name in other.assume for name in other.inputs)
        and not set(finding.replaces).isdisjoint(other.replaces)
        for other in knowledge.findings.values()
    )


def ordinary_demand_ppm_day(temperature_c: float) -> float:
    """Median chlorine demand of a stabilised pool in ordinary use, ppm a day; doubles in about 10 degC.

    Source: common practice, no source; the doubling is the usual rule for reaction rates, from memory.
    """
    return DEMAND_AT_25_PPM_DAY * math.exp2((temperature_c - 25.0) / 10.0)


def _weights(check: Check, reading: Observation, unit: UnitProfile) -> tuple[float, ...]:
    order = [answer.id for answer in check.answers]
    if not check.is_number:
        return tuple(1.0 if answer == reading.value else 0.0 for answer in order)
    return band_weights(check.bands, order, unit, _size(check, reading), _error(check, reading))


def _size(check: Check, reading: Observation) -> float:
    """The number that counts: of volts and amps the sign only tells which way the meter's leads were held."""
    value = float(reading.value)
    return abs(value) if check.unit in ("V", "A") else value


def _error(check: Check, reading: Observation) -> float:
    if check.error is None:
        raise ValueError(f"{check.id} is a number without an error")
    return check.error.of(float(reading.value))


def _normal_below(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _of_bands(finding: Finding, unit: UnitProfile, mean: float, sd: float) -> tuple[float, ...]:
    return band_weights(finding.bands, [a.id for a in finding.answers], unit, mean, sd)


def _input(finding: Finding, numbers: Numbers, name: str) -> tuple[float, float]:
    """A reading with its error, or the usual spread of a missing one, as (value, standard deviation)."""
    return numbers[name] if name in numbers else _spread(finding.assume[name])


def _spread(usual: Assumption) -> tuple[float, float]:
    """Mean and standard deviation of a usual spread; a factor counts as that relative deviation."""
    middle, width = usual.points[0]
    return (middle, width) if usual.kind == "normal" else (middle, middle * math.log(width))


def _relative(*values: tuple[float, float]) -> float:
    """Relative standard deviation of a product or quotient of independent readings."""
    return math.sqrt(sum((sd / max(abs(value), 1e-9)) ** 2 for value, sd in values))


def _salt_gap(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    if not {"unit_salt", "tested_salt"} <= numbers.keys() or numbers["tested_salt"][0] <= 0:
        return None
    shown, tested = numbers["unit_salt"], numbers["tested_salt"]
    ratio = shown[0] / tested[0]
    spread = math.hypot(_relative(tested, (max(shown[0], 1.0), shown[1])), UNIT_SALT_LOG_SD)
    return _of_bands(finding, unit, ratio, ratio * spread + 0.005)


def _temperature_gap(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    if not {"unit_temp", "water_temp"} <= numbers.keys():
        return None
    shown, measured = numbers["unit_temp"], numbers["water_temp"]
    return _of_bands(finding, unit, shown[0] - measured[0], math.hypot(shown[1], measured[1]))


def _current_gap(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    """Measured current over what this salt and temperature should give: current follows conductivity."""
    gap = _current_over_expected(finding, unit, numbers)
    return None if gap is None else _of_bands(finding, unit, gap[0], gap[1] + 0.01)


def _current_over_expected(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, float] | None:
    """The ratio and its standard deviation; None while the current or the salt is not known."""
    if not {"cell_current", "tested_salt"} <= numbers.keys() or numbers["tested_salt"][0] < 100:
        return None
    current, salt = numbers["cell_current"], numbers["tested_salt"]
    temperature = numbers.get("water_temp") or numbers.get("unit_temp") or _spread(finding.assume["water_temp"])
    rated = _conductivity(unit.values["rated.salt"] / 1000.0, unit.values["rated.temperature"])
    # The formula holds to 35 degC and a practical salinity of 42; beyond, its end is near enough for a ratio.
    now = _conductivity(min(salt[0] / 1000.0, 42.0), min(max(temperature[0], -2.0), 35.0))
    ratio = current[0] / (unit.values["rated.current"] * now / rated)
    # About 2 % of conductivity a degree: PSS-78 slope at 25 degC.
    spread = math.sqrt(_relative(salt, (max(current[0], 0.1), current[1])) ** 2 + (0.02 * temperature[1]) ** 2)
    return ratio, ratio * spread


def _cell_health(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    """Apparent cell constant over that of a clean cell at its rated values, and the volts where that is sound.

    Scale and wear raise the constant; of a bad lead or a weak pack volts and amps fall together and it stays; too
    little salt and cold are in the conductivity. So volts and amps, which move together, speak once and jointly.
    Source: ohmic resistance beyond the electrodes' onset, as `engine.chlorinator.cell.cell_constant_per_m`.
    """
    gap = _current_over_expected(finding, unit, numbers)
    if gap is None or "cell_voltage" not in numbers:
        return None
    (current, current_sd), volts = gap, numbers["cell_voltage"]
    gaps, rated = unit.values["gaps"], unit.values["rated.voltage"]
    clean_push = rated - gaps * ONSET_V
    if clean_push <= 0:
        return None
    push = max(volts[0] - gaps * ONSET_V, 0.0) / clean_push
    push_sd = math.hypot(volts[1], gaps * ONSET_SD_V * (volts[0] - rated) / clean_push) / clean_push
    none = _normal_below((NO_CURRENT - current) / (current_sd + 0.01))
    flow = max(current, NO_CURRENT)
    ratio = push / flow
    spread = math.hypot(ratio * current_sd, push_sd) / flow + 0.02
    low = _normal_below((LOW_VOLTS - volts[0] / rated) * rated / volts[1])
    not_raised, bridged = (_normal_below((limit - ratio) / spread) for limit in (RAISED_ABOVE, 1.0 / RAISED_ABOVE))
    sound = not_raised - bridged
    shares = {"raised": 1.0 - not_raised, "bridged": bridged, "starved": sound * low, "sound": sound * (1.0 - low)}
    shares = {"no_current": none, **{answer: (1.0 - none) * share for answer, share in shares.items()}}
    return tuple(shares[a.id] for a in finding.answers)


@lru_cache(maxsize=4096)
def _conductivity(salinity: float, temperature_c: float) -> float:
    """Kept for readings met again: the strategy tries the same few over and over."""
    return conductivity_ms_cm(salinity, temperature_c)


def _scaling_tendency(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    """Calcite index of the tested water: hardness, alkalinity and acidity weigh together and not each for itself."""
    if not {"ph", "hardness", "alkalinity"} <= numbers.keys():
        return None
    names = ("ph", "water_temp", "hardness", "alkalinity", "stabiliser", "tested_salt")
    read = {name: _input(finding, numbers, name) for name in names}
    if "water_temp" not in numbers and "unit_temp" in numbers:
        read["water_temp"] = numbers["unit_temp"]
    water = PoolWater(*(read[name][0] for name in names))
    try:
        index = water_index(water)
    except RangeError:
        return None
    tests = _relative(read["hardness"], read["alkalinity"]) / math.log(10.0)
    spread = math.hypot(read["ph"][1], tests, INDEX_A_DEGREE * read["water_temp"][1], INDEX_SD)
    return _of_bands(finding, unit, index, spread)


def _cell_wear(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    """Hours that the cell has made chlorine over those that such cells give: age, hours a day, setting and season."""
    if not {"cell_age_years", "run_hours"} <= numbers.keys():
        return None
    age, hours, setting = (_input(finding, numbers, name) for name in ("cell_age_years", "run_hours", "output_setting"))
    share = production_hours(age[0], hours[0], setting[0]) / unit.values["electrode_hours"]
    spread = math.hypot(_relative((max(age[0], 0.1), age[1]), (max(hours[0], 0.5), hours[1])), setting[1] / 100.0)
    return _of_bands(finding, unit, share, share * math.hypot(spread, SEASON_LOG_SD) + 0.02)


def production_hours(age_years: float, hours_day: float, setting_percent: float) -> float:
    """Hours in which a cell of this age made chlorine, for pump hours a day up to 24 and a setting up to 100 %.

    Source: arithmetic; the season share is common practice, no source.
    """
    return age_years * 365.25 * SEASON_SHARE * min(hours_day, 24.0) * min(setting_percent, 100.0) / 100.0


def _supply_level(finding: Finding, unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    if "supply_voltage" not in numbers:
        return None
    volts, error = numbers["supply_voltage"]
    nominal = (
        {numbers["nominal_voltage"][0]: 1.0}
        if "nominal_voltage" in numbers
        else dict(finding.assume["nominal_voltage"].points)
    )
    parts = [
        (share, _of_bands(finding, unit, volts / site, error / site)) for site, share in nominal.items() if site > 0
    ]
    return tuple(sum(share * weights[k] for share, weights in parts) for k in range(len(finding.answers)))


def _chlorine_balance(finding: Finding, _unit: UnitProfile, numbers: Numbers) -> tuple[float, ...] | None:
    """Whether what the unit makes a day carries an ordinary pool of this size: now, or only with more setting or hours.

    Weights are P(readings | band) up to a constant: what the known readings make of each band over what the usual
    spread of all of them makes of it. So a reading that tells nothing of the balance changes nothing.
    """
    if not set(finding.replaces) & numbers.keys():
        return None
    known = _balance_shares(finding, numbers)
    usual = _balance_shares(finding, {})
    ratios = [min(known[a.id] / usual[a.id], MOST_SURPRISE) for a in finding.answers]
    return tuple(ratio / sum(ratios) for ratio in ratios)


def _balance_shares(finding: Finding, numbers: Numbers) -> dict[str, float]:
    """P(band) of the chlorine balance from the readings there are, the others over their usual spread."""
    volume, rate, setting, hours, temperature = (
        _input(finding, numbers, name)
        for name in ("pool_volume", "rated_output", "output_setting", "run_hours", "water_temp")
    )
    need = max(volume[0], 0.1) * ordinary_demand_ppm_day(temperature[0])
    temperature_log_sd = math.log(2.0) / 10.0 * temperature[1]
    shared = math.sqrt(DEMAND_LOG_SD**2 + temperature_log_sd**2 + _relative(volume, rate) ** 2)
    full = max(rate[0], 0.1) * 24.0
    now = max(rate[0] * setting[0] / 100.0 * hours[0], 1e-3)
    now_sd = math.hypot(shared, min(_relative((max(setting[0], 1.0), setting[1]), (max(hours[0], 0.5), hours[1])), 1.0))
    carries = _normal_below(math.log(now / need) / now_sd)
    never = 1.0 - _normal_below(math.log(full / need) / shared)
    # Both come from one spread of demand; where they would overlap, the round-the-clock shortage is the smaller claim.
    shares = {"carries": carries, "short_always": min(never, 1.0 - carries)}
    shares["short_now"] = 1.0 - shares["carries"] - shares["short_always"]
    return shares


_COMPUTE: Mapping[str, Callable[[Finding, UnitProfile, Numbers], tuple[float, ...] | None]] = {
    "salt_gap": _salt_gap,
    "temperature_gap": _temperature_gap,
    "current_gap": _current_gap,
    "cell_health": _cell_health,
    "scaling_tendency": _scaling_tendency,
    "cell_wear": _cell_wear,
    "supply_level": _supply_level,
    "chlorine_balance": _chlorine_balance,
}
