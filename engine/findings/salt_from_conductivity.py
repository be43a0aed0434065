"""Salt from a meter that shows conductivity: typed text into conductivity and temperature, and both into a reading."""

from __future__ import annotations

import re

from engine.chlorinator.limits import RangeError
from engine.chlorinator.water import practical_salinity
from engine.findings.evidence import Observation
from engine.foundation.texts import say
from engine.quantities.quantity import QuantityError, read_quantity, show_quantity

_METER = re.compile(r"(?P<conductivity>.*?(?:s\s*/\s*c?m|mho\s*/\s*cm))\b(?P<rest>.*)", re.IGNORECASE | re.DOTALL)
_LEAD_IN = re.compile(r"[\s,;@]*(?:at?\b)?\s*", re.IGNORECASE)
_WORTH_PPM = 10.0
"""A salt from conductivity is good to 5 %, so it is kept to this."""


def meter_typed(typed: str) -> tuple[float, float | None] | None:
    """Conductivity in mS/cm, and the temperature in °C where it was typed behind it: `6.5 mS/cm at 77 F`.

    Returns:
        None where the text is no conductivity, so that it may be read as salt.

    Raises:
        QuantityError: it begins as a conductivity and cannot be read; its text says what to write.
    """
    found = _METER.fullmatch(typed.strip())
    if found is None:
        return None
    conductivity = read_quantity(found["conductivity"], "mS/cm", say("quantities.conductivity")).value
    temperature = _LEAD_IN.sub("", found["rest"], count=1)
    if not temperature:
        return conductivity, None
    return conductivity, read_quantity(temperature, "°C", say("quantities.water_temperature")).value


def salt_reading(conductivity_ms_cm: float, temperature_c: float | None) -> Observation:
    """Salt in ppm from conductivity and temperature; `by` says from what and how it came.

    Args:
        conductivity_ms_cm: at the water's own temperature, 0 or more; practical salinity to 42.
        temperature_c: -2 to 35 °C; 25 for a meter that shows what the water would conduct at 25 °C.

    Raises:
        QuantityError: the temperature is missing; its text says what to type.
        RangeError: a value outside the formula's range.

    Resolution: 5 % plus the meter's own error, so it is kept to 10 ppm.
    Source: 1000 x practical salinity, PSS-78, as `engine.chlorinator.water.practical_salinity`.
    """
    shown = show_quantity(conductivity_ms_cm, "mS/cm")
    if temperature_c is None:
        raise QuantityError(
            say("quantities.wrong.no_temperature", conductivity=shown),
            say("quantities.instead.both", conductivity=shown),
        )
    temperature = show_quantity(temperature_c, "°C")
    try:
        salt_ppm = 1000.0 * practical_salinity(conductivity_ms_cm, temperature_c)
    except RangeError as error:
        wrong = say("quantities.wrong.no_salinity", conductivity=shown, temperature=temperature)
        raise RangeError(wrong, say("quantities.instead.dilute")) from error
    by = say("quantities.by_conductivity", conductivity=shown, temperature=temperature)
    return Observation(round(salt_ppm / _WORTH_PPM) * _WORTH_PPM, by)
