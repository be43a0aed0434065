"""The maintenance plan as numbers and days: cleaning, strong chlorine, the cold season, and wear of the cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import cell_current_a, chlorine_need_g_day, output_percent
from engine.chlorinator.limits import RangeError
from engine.chlorinator.upkeep import cleaning_interval, further_life_h
from engine.findings.cell_wear import SEASON_SHARE, production_hours
from engine.findings.chlorine_balance import ordinary_demand_ppm_day
from engine.knowledge.properties import Renewed
from engine.session.outcome import JobOutcome
from engine.treatment.amounts import Lack, NotYet, Outside, volume_lack
from engine.treatment.readings import PoolReadings

COLD_C = 15.0
"""The cool water that a setting is told for: the middle of 10 to 20 °C, where pools stand before and after summer."""
STRONG_RISE_PPM = 10.0
_STRONG_HOURS = 24.0
"""A day at full output, and the rise that is enough: common practice, no source."""
_LEAST_H = 1 / 60
"""Hours a day; what makes chlorine for less than a minute does not wear, and its life would be no figure."""
_LOOK_MONTHS = 3.0
"""A cell is looked at this often at the least, and cleaned only where it needs it: common practice."""
_WEAR_SHAPE = 3.0
"""Weibull shape of a cell's wear: judgement, as no field data are published; 2 to 4 is usual for wear."""
_LIVES_ON: Mapping[str, Lack] = {"hardness": "hardness", "pool_volume": "volume", "cell_age_years": "cell_age"}
"""The checks that a plan lives on, with what is missing without them."""
_INDEX_TESTS = ("ph", "hardness", "alkalinity", "stabiliser", "tested_salt")


@dataclass(frozen=True)
class CleaningPlan:
    """How often the cell is cleaned, and when next.

    months: between two cleanings. since: what the next is counted from: work that is `planned` or `done`, the `last`
    cleaning `months_ago`, or `unknown`. index: calcite index of the water, None where it was not worked out;
    `untested` are the checks that it lacks. each_time: whether the cell is looked at only when it is cleaned.
    """

    months: float
    since: Literal["planned", "done", "last", "unknown"]
    months_ago: float
    hardness_ppm: float
    index: float | None
    untested: tuple[str, ...]

    @property
    def due_in_months(self) -> float:
        """Months until the next cleaning, 0 or less where it is due."""
        return self.months - self.months_ago

    @property
    def each_time(self) -> bool:
        """Whether cleanings come oftener than the looks between them would."""
        return self.months < _LOOK_MONTHS


@dataclass(frozen=True)
class StrongDay:
    """Hours at full output after a storm or a crowd.

    In 24 hours the unit makes `made_g`, which raises the test by `rise_ppm`; None where the volume is not known.
    due: whether one is due now, `rate_assumed` whether the unit's label was not read.
    """

    hours: float
    due: bool
    rate_g_h: float
    rate_assumed: bool
    volume_m3: float | None
    missing: tuple[Lack, ...] = ()
    made_g: float | None = None
    rise_ppm: float | None = None

    @property
    def too_much(self) -> bool:
        """Whether a whole day would raise the test further than is wanted."""
        return self.rise_ppm is not None and self.rise_ppm > STRONG_RISE_PPM


@dataclass(frozen=True)
class ColdSeason:
    """What cool water asks for: the setting in steps of five per cent, at the pump's hours, for `need_g` a day.

    setting is over 100 where full output does not suffice. `missing` are the readings that a setting lacks, `outside`
    tells that they lie outside its formula. less_current_percent: by which the same salt carries less in cool water.
    """

    lockout_c: float
    less_current_percent: float | None
    missing: tuple[Lack, ...] = ()
    outside: bool = False
    setting: float | None = None
    hours: float = 0.0
    volume_m3: float = 0.0
    need_g: float = 0.0
    rate_g_h: float = 0.0
    rate_assumed: bool = False


@dataclass(frozen=True)
class CellWear:
    """Years in which one in ten (`early`) and half (`middle`) of such cells wear out.

    From `age_years` with `day_h` of production a day, which make `run_h` of `life_h`. hours_assumed and setting_assumed
    are what was taken as usual for that, None where it was read; `life_assumed` where the kind of unit is not known.
    """

    early: float
    middle: float
    age_years: float
    day_h: float
    run_h: float
    life_h: float
    life_assumed: bool
    hours_assumed: float | None
    setting_assumed: float | None


@dataclass(frozen=True)
class MaintenancePlan:
    """The four lines of a plan."""

    cleaning: CleaningPlan | NotYet | Outside
    strong: StrongDay
    cold: ColdSeason
    wear: CellWear | NotYet


def maintenance(
    outcome: JobOutcome, first: str | None, readings: PoolReadings
) -> MaintenancePlan | tuple[Lack, ...] | None:
    """What keeps the unit going, worked out for this pool; None where the job judges nothing.

    Args:
        outcome: the job and what it came to.
        first: the repair that comes first on the sheet; what it renews counts from it.
        readings: those of the job; what was read after a repair stands in for older ones.

    Returns: the plan, or what it lives on where none of that is known.
    """
    if not outcome.judges:
        return None
    later = {c: float(r.value) for c, r in outcome.job.readings.items() if not isinstance(r.value, str)}
    now = PoolReadings({**readings.numbers, **later}, readings.knowledge, readings.unit)
    if not any(check in now.numbers for check in _LIVES_ON):
        return tuple(_LIVES_ON.values())
    renewed = _renewed(outcome, first)
    return MaintenancePlan(
        _cleaning(renewed, now), _strong(outcome, first, now), _cold(now), _wear(outcome, renewed, now)
    )


def scaling_index(readings: PoolReadings) -> tuple[float | None, tuple[str, ...]]:
    """Calcite index of the water as tested, and which checks it lacks; None too where it lies outside the formula."""
    numbers, warmth = readings.numbers, readings.water_c
    missing = [check for check in _INDEX_TESTS if check not in numbers]
    missing += ["water_temp"] if warmth is None else []
    if missing or warmth is None:
        return None, tuple(missing)
    read = [numbers[check] for check in ("hardness", "alkalinity", "stabiliser", "tested_salt")]
    try:
        return water_index(PoolWater(numbers["ph"], warmth, *read)), ()
    except RangeError:
        return None, ()


def _renewed(outcome: JobOutcome, first: str | None) -> Mapping[Renewed, Literal["planned", "done"]]:
    """The cleaning and the new cell that this job did (`done`), or that its first work is (`planned`)."""
    tried = {event.about for event in outcome.standing if event.kind == "already_tried"}
    found: dict[Renewed, Literal["planned", "done"]] = {}
    if first is not None and (planned := outcome.knowledge.repairs[first].renews) is not None:
        found[planned] = "planned"
    for name, result in outcome.job.repaired.items():
        repair = outcome.repair(name)
        if repair is not None and repair.renews is not None and result == "done" and name not in tried:
            found[repair.renews] = "done"
    return found


def _cleaning(
    renewed: Mapping[Renewed, Literal["planned", "done"]], readings: PoolReadings
) -> CleaningPlan | NotYet | Outside:
    hardness, ago = readings.numbers.get("hardness"), readings.told("months_since_clean")
    if hardness is None:
        return NotYet(("hardness",))
    index, untested = scaling_index(readings)
    try:
        months = cleaning_interval(hardness, index).months
    except RangeError:
        return Outside("answer")
    fresh = renewed.get("cleaning", renewed.get("cell"))
    if fresh is not None:
        return CleaningPlan(months, fresh, 0.0, hardness, index, untested)
    return CleaningPlan(months, "unknown" if ago is None else "last", ago or 0.0, hardness, index, untested)


def _strong(outcome: JobOutcome, first: str | None, readings: PoolReadings) -> StrongDay:
    """A day at full output, or fewer hours where a large unit would overshoot in a small pool."""
    (rate, assumed), volume = readings.chlorine_rate, readings.volume_m3
    dosed = first is not None and outcome.knowledge.repairs[first].strong_dose
    due = _heavily_used(outcome) and not dosed
    if not volume:
        return StrongDay(_STRONG_HOURS, due, rate, assumed, None, volume_lack(readings))
    made = rate * _STRONG_HOURS
    hours = _STRONG_HOURS
    if made / volume > STRONG_RISE_PPM:
        hours = max(round(STRONG_RISE_PPM * volume / rate), 1)
    return StrongDay(hours, due, rate, assumed, volume, (), made, made / volume)


def _heavily_used(outcome: JobOutcome) -> bool:
    """Whether an answer says that the pool had much more use, or a storm."""
    readings = outcome.judged.job.readings.items()
    return any(
        check.meaning(reading.value) == "heavy_use" for name, reading in readings if (check := outcome.check(name))
    )


def _cold(readings: PoolReadings) -> ColdSeason:
    """Less output as the water cools, at the pump's own hours."""
    lockout, less = readings.unit.values["lockout"], _less_current(readings)
    volume, hours = readings.volume_m3, readings.numbers.get("run_hours")
    if not volume or not hours:
        lacks: tuple[Lack, ...] = (*volume_lack(readings), *(() if hours else ("hours",)))
        return ColdSeason(lockout, less, missing=lacks)
    rate, assumed = readings.chlorine_rate
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(COLD_C))
    try:
        setting = 5 * -(-output_percent(need, rate, hours) // 5)
    except RangeError:
        return ColdSeason(lockout, less, outside=True)
    return ColdSeason(lockout, less, (), False, setting, hours, volume, need, rate, assumed)


def _less_current(readings: PoolReadings) -> float | None:
    """How much less current, in per cent, the same salt gives in cool water, so that it is not taken for a fault."""
    salt = readings.numbers.get("tested_salt")
    if salt is None or not 500 <= salt <= 42_000:
        return None
    warm = min(readings.unit.values["rated.temperature"], 35.0)
    return 100 - cell_current_a(100.0, salt / 1000, warm, salt / 1000, COLD_C)


def _wear(outcome: JobOutcome, renewed: Mapping[Renewed, str], readings: PoolReadings) -> CellWear | NotYet:
    """When half of such cells, and one in ten, are worn out: from age, hours, setting and the profile's life."""
    age = 0.0 if "cell" in renewed else readings.numbers.get("cell_age_years")
    if age is None:
        return NotYet(("cell_age",))
    hours, hours_assumed = _read_or_usual(readings, "run_hours")
    setting, setting_assumed = _read_or_usual(readings, "output_setting")
    day_h = min(hours, 24.0) * min(setting, 100.0) / 100.0
    if day_h < _LEAST_H:
        return NotYet(("hours_and_setting",))
    year_h, life_h = production_hours(1.0, day_h, 100.0), readings.unit.values["electrode_hours"]
    run_h = age * year_h
    early, middle = (further_life_h(run_h, failed, _WEAR_SHAPE, life_h) / year_h for failed in (0.1, 0.5))
    assumed = outcome.job.unit_assumed
    return CellWear(early, middle, age, day_h, run_h, life_h, assumed, hours_assumed, setting_assumed)


def _read_or_usual(readings: PoolReadings, check: str) -> tuple[float, float | None]:
    """A reading, or what is usual in its place and then the same again."""
    read = readings.numbers.get(check)
    if read is not None:
        return read, None
    usual = readings.usual("chlorine_balance", check) or 0.0
    return usual, usual


def months_of_use() -> int:
    """Months a year in which a pool is taken to run."""
    return round(12 * SEASON_SHARE)
