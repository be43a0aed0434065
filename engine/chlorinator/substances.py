"""Molar masses and physical constants the computations share."""

from __future__ import annotations

# g/mol; IUPAC standard atomic weights (conventional values).
SODIUM_CHLORIDE = 58.443
CHLORINE = 70.906
HYDROGEN_CHLORIDE = 36.461
CALCIUM_CARBONATE = 100.087
CALCIUM_CARBONATE_EQUIVALENT = CALCIUM_CARBONATE / 2
CYANURIC_ACID = 129.074
SODIUM_BICARBONATE = 84.007
SODIUM_BISULFATE = 120.060
SODIUM_CARBONATE = 105.988
CALCIUM_CHLORIDE = 110.984
CALCIUM_CHLORIDE_DIHYDRATE = 147.014
THIOSULFATE_PENTAHYDRATE = 248.184

# Hydrochloric acid as pools buy it: 31.45 % by mass (20 degrees Baumé), 1.160 g/mL (from
# memory, Perry's Chemical Engineers' Handbook).
HCL_31_MOL_L = 0.3145 * 1160 / HYDROGEN_CHLORIDE

# CODATA 2018, exact since the redefinition of the SI in 2019.
FARADAY_C_MOL = 96485.33212
GAS_CONSTANT = 8.314462618

STANDARD_PRESSURE_PA = 101_325.0
ZERO_CELSIUS_K = 273.15
