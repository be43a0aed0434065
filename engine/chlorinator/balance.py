"""Water balance: cyanurate's share of the alkalinity, the calcite index, acid and soda ash for the pH."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine.chlorinator.limits import (
    RangeError,
    require_above_zero,
    require_between,
    require_ph,
)
from engine.chlorinator.substances import (
    CALCIUM_CARBONATE,
    CALCIUM_CARBONATE_EQUIVALENT,
    CYANURIC_ACID,
    GAS_CONSTANT,
    HCL_31_MOL_L,
    SODIUM_BISULFATE,
    SODIUM_CARBONATE,
    SODIUM_CHLORIDE,
    ZERO_CELSIUS_K,
)
from engine.foundation.texts import told
from engine.quantities.quantity import figure

MAX_INDEX_PH = 8.5
"""The highest pH at which bicarbonate stands for the whole carbonate alkalinity."""

_CYANURIC_PKA = 6.88
_MAX_MINERAL_PPM = 2000.0
_MAX_SALT_PPM = 20_000.0  # ionic strength 0.5, the end of the activity formula
_BALANCED_WITHIN = 0.3
_JOULES_PER_KCAL = 4184.0


@dataclass(frozen=True)
class PoolWater:
    """What a test bench says of a pool's balance.

    Attributes:
        ph: pH.
        temperature_c: water temperature, °C.
        hardness_ppm: calcium hardness, mg/L as CaCO3.
        alkalinity_ppm: total alkalinity, mg/L as CaCO3, cyanurate's share included.
        cya_ppm: cyanuric acid, mg/L.
        salt_ppm: dissolved salts, mg/L.
    """

    ph: float
    temperature_c: float
    hardness_ppm: float
    alkalinity_ppm: float
    cya_ppm: float
    salt_ppm: float


def _cyanurate_share(ph: float) -> float:
    """Share of the cyanuric acid that is its ion."""
    return float(1 / (1 + 10 ** (_CYANURIC_PKA - ph)))


def carbonate_alkalinity_ppm(alkalinity_ppm: float, cya_ppm: float, ph: float) -> float:
    """Alkalinity of the carbonates alone, without what cyanurate adds to the test.

    Args:
        alkalinity_ppm: total alkalinity by test, mg/L as CaCO3, 0 to 2000.
        cya_ppm: cyanuric acid, mg/L, 0 to 1000.
        ph: 5 to 10.

    Returns:
        Carbonate alkalinity, mg/L as CaCO3.

    Raises:
        RangeError: a value outside its range, or more cyanurate than the total can hold.

    Resolution: 0.02 of the cyanuric acid, the spread of published constants.
    Source: acid equilibrium, pK 6.88 of O'Brien, Morris & Butler 1974 (from memory).
    """
    require_between("alkalinity", alkalinity_ppm, 0, _MAX_MINERAL_PPM, "ppm")
    require_between("cyanuric_acid", cya_ppm, 0, 1000, "ppm")
    require_ph(ph, 5, 10)
    cyanurate = cya_ppm * CALCIUM_CARBONATE_EQUIVALENT / CYANURIC_ACID * _cyanurate_share(ph)
    if cyanurate > alkalinity_ppm:
        cyanurate_ppm, tested_ppm = f"{cyanurate:.0f}", figure(alkalinity_ppm)
        raise RangeError(*told("limits.cyanurate_alone", cyanurate=cyanurate_ppm, tested=tested_ppm))
    return alkalinity_ppm - cyanurate


def _activity_exponent(ionic_strength: float, kelvin: float) -> float:
    """Minus the logarithm of a single charge's activity coefficient (Davies)."""
    permittivity = 60954 / (kelvin + 116) - 68.937
    root = math.sqrt(ionic_strength)
    slope: float = 1.82e6 * (permittivity * kelvin) ** -1.5
    return slope * (root / (1 + root) - 0.3 * ionic_strength)


def _carbonate_pk2(kelvin: float) -> float:
    return 107.8871 + 0.03252849 * kelvin - 5151.79 / kelvin - 38.92561 * math.log10(kelvin) + 563713.9 / kelvin**2


def _carbonate_pk1(kelvin: float) -> float:
    return 356.3094 + 0.06091964 * kelvin - 21834.37 / kelvin - 126.8339 * math.log10(kelvin) + 1684915 / kelvin**2


def _water_pk(kelvin: float) -> float:
    return 283.9710 + 0.05069842 * kelvin - 13323 / kelvin - 102.24447 * math.log10(kelvin) + 1119669 / kelvin**2


def _calcite_pks(kelvin: float) -> float:
    return 171.9065 + 0.077993 * kelvin - 2839.319 / kelvin - 71.595 * math.log10(kelvin)


def calcite_index(ph: float, temperature_c: float, hardness_ppm: float, carbonate_ppm: float, salt_ppm: float) -> float:
    """Calcite saturation index (Langelier): above 0 lime can form, below 0 it dissolves.

    Args:
        ph: 6 to 8.5; above, carbonate ions count for more than the formula allows them.
        temperature_c: 0 to 50 °C.
        hardness_ppm: calcium hardness, mg/L as CaCO3, above 0, to 2000.
        carbonate_ppm: carbonate alkalinity, mg/L as CaCO3, above 0, to 2000.
        salt_ppm: dissolved salts, mg/L, 0 to 20 000; the rest of the minerals is neglected,
            as it may be from 2000 up.

    Returns:
        The index, pH units.

    Raises:
        RangeError: a value outside its range.

    Resolution: 0.1; that is how far open models of salt water differ among themselves.
    Source: APHA Standard Methods 2330 B with the constants of Plummer & Busenberg 1982,
        Geochim. Cosmochim. Acta 46, 1011 (both from memory).
    """
    require_ph(ph, 6, MAX_INDEX_PH)
    require_between("temperature", temperature_c, 0, 50, "°C")
    for name, value in (("hardness", hardness_ppm), ("carbonate_alkalinity", carbonate_ppm)):
        require_above_zero(name, value, "ppm")
        require_between(name, value, 0, _MAX_MINERAL_PPM, "ppm")
    require_between("salt", salt_ppm, 0, _MAX_SALT_PPM, "ppm")
    kelvin = temperature_c + ZERO_CELSIUS_K
    saturation_ph = (
        _carbonate_pk2(kelvin)
        - _calcite_pks(kelvin)
        # Logarithms apart: the least of floating numbers, divided, is nothing.
        - (math.log10(hardness_ppm) - math.log10(CALCIUM_CARBONATE * 1000))
        - (math.log10(carbonate_ppm) - math.log10(CALCIUM_CARBONATE_EQUIVALENT * 1000))
        + 5 * _activity_exponent(salt_ppm / 40_000, kelvin)
    )
    return ph - saturation_ph


def water_index(water: PoolWater) -> float:
    """Calcite saturation index of water as a test bench gives it, cyanurate's share of the alkalinity left out.

    Args:
        water: pH 6 to 8.5, 0 to 50 °C, hardness and carbonate alkalinity above 0, salt to 20 000 ppm.

    Returns:
        The index, pH units.

    Raises:
        RangeError: a value outside its range.

    Resolution: 0.1, as `calcite_index`.
    Source: `carbonate_alkalinity_ppm` and `calcite_index`.
    """
    carbonate = carbonate_alkalinity_ppm(water.alkalinity_ppm, water.cya_ppm, water.ph)
    return calcite_index(water.ph, water.temperature_c, water.hardness_ppm, carbonate, water.salt_ppm)


def index_verdict(index: float) -> str:
    """Name what a calcite index means: `dissolving`, `balanced` or `scaling` (limits 0.3).

    Source: common practice.
    """
    if index > _BALANCED_WITHIN:
        return "scaling"
    return "dissolving" if index < -_BALANCED_WITHIN else "balanced"


def _calcium_bicarbonate_log_k(kelvin: float) -> float:
    return 1209.120 + 0.31294 * kelvin - 34765.05 / kelvin - 478.782 * math.log10(kelvin)


def _calcium_carbonate_log_k(kelvin: float) -> float:
    return -1228.732 - 0.299444 * kelvin + 35512.75 / kelvin + 485.818 * math.log10(kelvin)


def _vant_hoff(log_k_25: float, enthalpy_kcal: float, kelvin: float) -> float:
    """Equilibrium constant at a temperature from its value at 25 °C."""
    shift = enthalpy_kcal * _JOULES_PER_KCAL / GAS_CONSTANT * (1 / 298.15 - 1 / kelvin)
    return 10**log_k_25 * math.exp(shift)


@dataclass(frozen=True)
class _CarbonateSystem:
    """Stoichiometric ratios of the carbonates in one water, as functions of the pH."""

    bicarbonate: float  # with its ion pairs, per free bicarbonate
    carbonate: float  # the same at pH 0, per free bicarbonate; it grows with the pH
    carbon_dioxide: float  # per free bicarbonate at pH 0; it falls with the pH
    hydroxide: float  # mol/L at pH 0
    hydrogen: float  # mol/L at pH 0

    def per_carbon(self, ph: float) -> float:
        """Alkalinity of the carbonates per total carbonate, mol/mol."""
        hydrogen = 10**-ph
        carbonate = self.carbonate / hydrogen
        total = self.bicarbonate + carbonate + self.carbon_dioxide * hydrogen
        return (self.bicarbonate + 2 * carbonate) / total

    def of_water(self, ph: float) -> float:
        """Alkalinity of hydroxide less hydrogen, mol/L."""
        return self.hydroxide * 10**ph - self.hydrogen * 10**-ph


def _carbonate_system(water: PoolWater) -> _CarbonateSystem:
    """Set up the carbonates with activities and the ion pairs of sodium and calcium."""
    kelvin = water.temperature_c + ZERO_CELSIUS_K
    sodium = water.salt_ppm / SODIUM_CHLORIDE / 1000
    calcium = water.hardness_ppm / CALCIUM_CARBONATE / 1000
    exponent = _activity_exponent(sodium + 3 * calcium, kelvin)
    one, two = 10**-exponent, 10 ** (-4 * exponent)  # activities of one and two charges
    sodium_pair = _vant_hoff(-0.25, -1, kelvin) * sodium * one * one
    calcium_pair = 10 ** _calcium_bicarbonate_log_k(kelvin) * calcium * two
    sodium_carbonate = _vant_hoff(1.27, 8.91, kelvin) * sodium * two
    calcium_carbonate = 10 ** _calcium_carbonate_log_k(kelvin) * calcium * two * two
    return _CarbonateSystem(
        bicarbonate=1 + sodium_pair + calcium_pair,
        carbonate=(1 + sodium_carbonate + calcium_carbonate) * 10 ** -_carbonate_pk2(kelvin) * one / two,
        carbon_dioxide=one * 10 ** _carbonate_pk1(kelvin),
        hydroxide=10 ** -_water_pk(kelvin) / one,
        hydrogen=1 / one,
    )


def _acid_mol_l(water: PoolWater, target_ph: float) -> tuple[float, float]:
    """Strong acid to that pH, mol/L, below 0 where it takes a base; and the carbonates' alkalinity per carbon there."""
    carbonate_ppm = carbonate_alkalinity_ppm(water.alkalinity_ppm, water.cya_ppm, water.ph)
    system = _carbonate_system(water)
    carbonates = carbonate_ppm / CALCIUM_CARBONATE_EQUIVALENT / 1000 - system.of_water(water.ph)
    if carbonates <= 0:
        raise RangeError(*told("limits.no_carbonate", alkalinity=figure(water.alkalinity_ppm)))
    share_before, share_after = system.per_carbon(water.ph), system.per_carbon(target_ph)
    acid = carbonates * (1 - share_after / share_before)
    acid += system.of_water(water.ph) - system.of_water(target_ph)
    acid += water.cya_ppm / CYANURIC_ACID / 1000 * (_cyanurate_share(water.ph) - _cyanurate_share(target_ph))
    return acid, share_after


@dataclass(frozen=True)
class AcidDose:
    """Acid for a lower pH.

    Attributes:
        acid_mmol_l: strong acid, mmol per litre of pool water.
        hcl_31_ml: hydrochloric acid of 31.45 %, mL.
        dry_acid_g: sodium bisulfate instead, g.
        alkalinity_after_ppm: total alkalinity afterwards, mg/L as CaCO3.
    """

    acid_mmol_l: float
    hcl_31_ml: float
    dry_acid_g: float
    alkalinity_after_ppm: float


def _require_titratable(water: PoolWater, target_ph: float) -> None:
    require_ph(water.ph, 6, 9)
    require_ph(target_ph, 6, 9, "target_ph")
    require_between("temperature", water.temperature_c, 0, 40, "°C")
    require_between("hardness", water.hardness_ppm, 0, _MAX_MINERAL_PPM, "ppm")
    require_between("salt", water.salt_ppm, 0, _MAX_SALT_PPM, "ppm")


def acid_dose(volume_m3: float, water: PoolWater, target_ph: float) -> AcidDose:
    """Acid that brings the pH down at once, before any carbon dioxide leaves the water.

    Args:
        volume_m3: pool volume, m³, above 0.
        water: the water as tested: pH 6 to 9, 0 to 40 °C, hardness 0 to 2000 ppm, salt 0 to
            20 000 ppm; its alkalinity includes cyanurate's share.
        target_ph: 6 to 9, not above the present pH.

    Returns:
        The whole dose; common practice adds half to two thirds of it, circulates and retests.

    Raises:
        RangeError: a value outside its range, a target above, or no carbonate left.

    Resolution: 5 % against PHREEQC for the same water up to pH 8.5; the tests it starts from are coarser.
    Source: charge balance of a closed carbonate system with Davies activities; pK1, pK2 and
        calcium's ion pairs of Plummer & Busenberg 1982 (from memory); sodium's as in the
        phreeqc.dat database of PHREEQC 3; cyanurate as in `carbonate_alkalinity_ppm`.
    """
    require_above_zero("volume", volume_m3, "m³")
    _require_titratable(water, target_ph)
    if target_ph > water.ph:
        raise RangeError(*told("limits.ph_above", target=figure(target_ph), now=figure(water.ph)))
    acid, _ = _acid_mol_l(water, target_ph)
    moles = acid * 1000 * volume_m3
    return AcidDose(
        acid_mmol_l=acid * 1000,
        hcl_31_ml=moles / HCL_31_MOL_L * 1000,
        dry_acid_g=moles * SODIUM_BISULFATE,
        alkalinity_after_ppm=water.alkalinity_ppm - acid * CALCIUM_CARBONATE_EQUIVALENT * 1000,
    )


@dataclass(frozen=True)
class SodaAshDose:
    """Sodium carbonate for a higher pH: g, and the total alkalinity afterwards, mg/L as CaCO3."""

    grams: float
    alkalinity_after_ppm: float


def soda_ash_dose(volume_m3: float, water: PoolWater, target_ph: float) -> SodaAshDose:
    """Soda ash that brings the pH up at once; it brings carbonate too, so it lifts the alkalinity.

    Args:
        volume_m3: pool volume, m³, above 0.
        water: the water as tested, in the ranges of `acid_dose`.
        target_ph: 6 to 8.5, not below the present pH.

    Returns:
        The whole dose; common practice adds half of it, circulates and retests.

    Raises:
        RangeError: a value outside its range, a target below, or no carbonate left.

    Resolution: 5 % against PHREEQC for the same water; the tests it starts from are coarser.
    Source: the charge balance of `acid_dose`, with one carbon and two of alkalinity for each Na2CO3.
    """
    require_above_zero("volume", volume_m3, "m³")
    _require_titratable(water, target_ph)
    require_ph(target_ph, 6, MAX_INDEX_PH, "target_ph")
    if target_ph < water.ph:
        raise RangeError(*told("limits.ph_below", target=figure(target_ph), now=figure(water.ph)))
    acid, per_carbon = _acid_mol_l(water, target_ph)
    # Each carbonate brings an alkalinity of 2, of which its own carbon holds `per_carbon` at that pH.
    moles_l = -acid / (2 - per_carbon)
    return SodaAshDose(
        grams=moles_l * 1000 * volume_m3 * SODIUM_CARBONATE,
        alkalinity_after_ppm=water.alkalinity_ppm + 2 * moles_l * CALCIUM_CARBONATE_EQUIVALENT * 1000,
    )
