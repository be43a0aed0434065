"""Units of the trade: what each measures, how people spell it, and conversion between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from engine.foundation.texts import say


@dataclass(frozen=True)
class Kind:
    """What a group of units measures, with each spelling's size in the group's base unit."""

    name: str
    spellings: Mapping[str, str]
    lowest: str | None = "0"
    highest: str | None = None

    @property
    def noun(self) -> str:
        """What is measured, in words."""
        return say(f"quantities.kinds.{self.name}.noun")

    @property
    def advice(self) -> str:
        """The units it may be written in, in words."""
        return say(f"quantities.kinds.{self.name}.advice")


@dataclass(frozen=True)
class Unit:
    """A unit a question can stand in; `span` is what the trade meets, in this unit."""

    kind: str
    factor: str
    decimals: int
    span: tuple[float, float]


def _sizes(table: str) -> dict[str, str]:
    """Read `size: spelling spelling ...; size: ...` into spelling -> size."""
    sizes: dict[str, str] = {}
    for row in table.split(";"):
        size, spellings = row.split(":")
        sizes.update(dict.fromkeys(spellings.split(), size.strip()))
    return sizes


# Spellings stand as `_unit_key` leaves them: lower case, no spaces, dots or brackets, "per" and
# "a" as a slash. Sizes: exact definitions of the international foot, pound and gallons, and of
# the conventional pressures. A month is a twelfth of 365.25 days. 1 ppm is taken as 1 mg/L.
KINDS: Mapping[str, Kind] = {
    "share": Kind("share", _sizes("1: % percent pct")),
    "concentration": Kind(
        "concentration",
        _sizes(
            "1: ppm mg/l g/m3 mg/dm3 mg/kg; 1000: g/l kg/m3 g/kg g/dm3 ppt; 10000: % percent pct;0.001: ppb ug/l μg/l;"
            "28349.523125/3.785411784: oz/usgal;"
            # Degrees of hardness: of calcium carbonate 10 mg/L, of calcium oxide 10 mg/L, and a grain in a US gallon.
            "10: °fh fh frenchdegrees degreesfrench; 17.848: °dh dh germandegrees degreesgerman;"
            "64.79891/3.785411784: gpg grain grains grains/gallon grains/usgal"
        ),
    ),
    "temperature": Kind(
        "temperature",
        _sizes(
            "c: °c c oc degc celsius degreescelsius degreesc; k: k kelvin °k;"
            "f: °f f of degf fahrenheit degreesfahrenheit degreesf"
        ),
        lowest="-273.15",
    ),
    "pressure": Kind(
        "pressure",
        _sizes(
            "1: kpa kilopascal; 100: bar bars barg; 0.1: mbar millibar hpa; 0.001: pa;"
            "1000: mpa; 6.894757293168: psi psig lb/in2 lbf/in2; 9.80665: mh2o mwc mws;"
            "101.325: atm; 98.0665: kg/cm2 kgf/cm2; 3.386389: inhg"
        ),
        lowest=None,
    ),
    "volume": Kind(
        "volume",
        _sizes(
            "1: m3 cbm cubicmetre cubicmetres cubicmeter cubicmeters kl kilolitre kilolitres"
            " kiloliter kiloliters; 0.1: hl; 0.001: l litre litres liter liters ltr dm3;"
            "0.000001: ml cc cm3 millilitre millilitres milliliter milliliters;"
            "0.003785411784: usgal usgals usgallon usgallons galus gallonsus usg;"
            "3.785411784: kusgal kusgals kusgallons; 4.54609: kimpgal kimpgals kimpgallons kukgal;"
            "0.000946352946: usqt usqts usquart usquarts;"
            "0.0000295735295625: usfloz usflozs usfluidounce usfluidounces;"
            "0.0011365225: impqt impqts impquart impquarts; 0.0000284130625: impfloz impfluidounce impfluidounces;"
            "0.00454609: impgal impgals impgallon impgallons imperialgal imperialgallon"
            " imperialgallons ukgal ukgals ukgallon ukgallons galuk galimp gallonsuk igal;"
            "0.028316846592: ft3 cuft cubicfeet cubicfoot"
        ),
    ),
    "current": Kind(
        "current",
        _sizes("1: a amp amps ampere amperes; 0.001: ma milliamp milliamps"),
        lowest=None,
    ),
    "voltage": Kind(
        "voltage",
        _sizes("1: v volt volts vdc vac; 0.001: mv millivolt millivolts; 1000: kv"),
        lowest=None,
    ),
    "time": Kind(
        "time",
        _sizes(
            "1: h hr hrs hour hours std h/d h/day hr/day hrs/day hour/day hours/day hours/d;"
            "1/60: min mins minute minutes min/d min/day minutes/day; 1/3600: s sec seconds;"
            "24: d day days"
        ),
    ),
    "age": Kind(
        "age",
        _sizes(
            "1: month months mo mth mths; 12: y yr yrs year years;84/365.25: week weeks wk wks w; 12/365.25: d day days"
        ),
    ),
    "rate": Kind(
        "rate",
        _sizes(
            "1: g/h g/hr g/hour gph; 1000: kg/h kg/hr; 1/24: g/d g/day; 1000/24: kg/d kg/day;"
            "453.59237/24: lb/d lb/day lbs/day lbs/d; 453.59237: lb/h lb/hr lbs/h"
        ),
    ),
    "conductivity": Kind(
        "conductivity",
        # Meters are read as "6500 uS" and "6.5 mS": by the centimetre is left unsaid.
        _sizes("1: ms/cm ds/m mmho/cm ms; 0.001: us/cm μs/cm umho/cm us μs umho; 10: s/m; 0.01: ms/m; 1000: s/cm"),
    ),
    "acidity": Kind("acidity", _sizes("1: ph"), highest="14"),
    "length": Kind(
        "length",
        _sizes(
            "1: m metre metres meter meters; 0.01: cm; 0.001: mm; 0.3048: ft foot feet ';"
            "0.0254: in inch inches \" '' ”; 0.9144: yd yard yards; 1000: km"
        ),
    ),
    "mass": Kind(
        "mass",
        _sizes(
            "1: kg kgs kilo kilos; 0.001: g gram grams gramme grammes; 0.000001: mg;"
            "0.45359237: lb lbs pound pounds; 0.028349523125: oz ounce ounces; 1000: t tonne"
        ),
    ),
    "area": Kind("area", _sizes("1: mm2 sqmm; 100: cm2")),
    "density": Kind("density", _sizes("1: g/ml g/cm3 kg/l g/cc; 0.001: kg/m3 g/l")),
    "loss": Kind(
        "loss",
        _sizes("1: ppm/d ppm/day mg/l/d mg/l/day ppm mg/l ppmd ppmday"),
    ),
    "flow": Kind(
        "flow",
        _sizes(
            "1: m3/h m3/hr m3/hour; 0.06: l/min lpm litres/minute; 3.6: l/s; 0.001: l/h;"
            "0.22712470704: usgal/min usgpm usgallons/minute;"
            "0.2727654: impgal/min impgpm ukgal/min"
        ),
    ),
    "salinity": Kind(
        "salinity",
        _sizes("1: sp psu g/l kg/m3 g/kg ppt; 0.001: ppm mg/l; 10: %"),
    ),
    "number": Kind("number", _sizes("1: times x"), lowest=None),
}

UNITS: Mapping[str, Unit] = {
    "ppm": Unit("concentration", "1", 2, (0, 400_000)),
    "g/L": Unit("concentration", "1000", 3, (0, 400)),
    "oz/US gal": Unit("concentration", "28349.523125/3.785411784", 2, (0, 54)),
    "°C": Unit("temperature", "c", 1, (-50, 150)),
    "°F": Unit("temperature", "f", 0, (-58, 302)),
    "kPa": Unit("pressure", "1", 1, (-101, 2_000)),
    "bar": Unit("pressure", "100", 2, (-1.01, 20)),
    "psi": Unit("pressure", "6.894757293168", 1, (-14.7, 300)),
    "m³": Unit("volume", "1", 2, (0, 5_000)),
    "L": Unit("volume", "0.001", 2, (0, 5_000_000)),
    "mL": Unit("volume", "0.000001", 0, (0, 5_000_000)),
    "US gal": Unit("volume", "0.003785411784", 1, (0, 1_300_000)),
    "US qt": Unit("volume", "0.000946352946", 1, (0, 5_200_000)),
    "US fl oz": Unit("volume", "0.0000295735295625", 2, (0, 170_000_000)),
    "imp gal": Unit("volume", "0.00454609", 1, (0, 1_100_000)),
    "A": Unit("current", "1", 2, (-500, 500)),
    "mA": Unit("current", "0.001", 0, (-500_000, 500_000)),
    "V": Unit("voltage", "1", 2, (-999, 999)),
    "h": Unit("time", "1", 2, (0, 200_000)),
    "min": Unit("time", "1/60", 1, (0, 1_000_000)),
    "days": Unit("age", "12/365.25", 1, (0, 40_000)),
    "months": Unit("age", "1", 1, (0, 600)),
    "years": Unit("age", "12", 1, (0, 100)),
    "g/h": Unit("rate", "1", 2, (0, 999)),
    "lb/day": Unit("rate", "453.59237/24", 2, (0, 53)),
    "%": Unit("share", "1", 1, (0, 100)),
    "share": Unit("share", "100", 4, (0, 1)),
    "mS/cm": Unit("conductivity", "1", 3, (0, 300)),
    "pH": Unit("acidity", "1", 2, (0, 14)),
    "m": Unit("length", "1", 2, (0, 500)),
    "cm": Unit("length", "0.01", 1, (0, 50_000)),
    "mm": Unit("length", "0.001", 1, (0, 500_000)),
    "ft": Unit("length", "0.3048", 1, (0, 1_640)),
    "in": Unit("length", "0.0254", 1, (0, 19_685)),
    "kg": Unit("mass", "1", 2, (0, 20_000)),
    "g": Unit("mass", "0.001", 0, (0, 20_000_000)),
    "lb": Unit("mass", "0.45359237", 1, (0, 44_000)),
    "oz": Unit("mass", "0.028349523125", 2, (0, 700_000)),
    "mm²": Unit("area", "1", 2, (0, 400)),
    "g/mL": Unit("density", "1", 3, (0, 5)),
    "ppm/day": Unit("loss", "1", 2, (0, 200)),
    "m³/h": Unit("flow", "1", 2, (0, 999)),
    "US gal/min": Unit("flow", "0.22712470704", 1, (0, 4_400)),
    "SP": Unit("salinity", "1", 3, (0, 42)),
    "number": Unit("number", "1", 4, (-999, 999)),
}

SHOWN_ONLY = frozenset({"US qt", "US fl oz", "oz/US gal", "US gal/min", "lb/day", "oz", "cm", "mm", "in"})
"""Units that a figure may be shown in, and no question is put in: each is too small or too rare for that."""

UNIT_NAMES: tuple[str, ...] = tuple(name for name in UNITS if name not in SHOWN_ONLY)
"""Every unit a question may stand in, by its canonical name."""

_ALIASES: Mapping[str, str] = {
    "m3": "m³",
    "degC": "°C",
    "degF": "°F",
    "mm2": "mm²",
    "m3/h": "m³/h",
    "ppm/d": "ppm/day",
    "mg/L": "ppm",
    "usgal": "US gal",
    "impgal": "imp gal",
    "minutes": "min",
    "hours": "h",
}

# A prefix whose size hangs on capitals: what is typed here is never what is meant.
CASE_TRAPS = frozenset({"MV", "MA", "mPa", "MS/cm", "Mg"})
_TWO_SIZES = (
    # How they are spelled, the two, what they are called, and which of the two is customary in the US.
    ("gal gals gallon gallons", "usgal", "impgal", "gallons", 0),
    ("kgal kgals kgallons", "kusgal", "kimpgal", "gallons", 0),
    ("gpm gal/min gallons/minute", "usgpm", "impgpm", "gallons_a_minute", 0),
    ("qt qts quart quarts", "usqt", "impqt", "quarts", 0),
    ("floz fluidounce fluidounces", "usfloz", "impfloz", "fluid_ounces", 0),
    ("° o deg degree degrees", "°C", "°F", "degrees", 1),
)
ASK_WHICH: Mapping[str, tuple[str, str, str]] = {
    spelling: (first, second, noun)
    for spellings, first, second, noun, _ in _TWO_SIZES
    for spelling in spellings.split()
}
"""Spellings of units of two sizes: both, and what they are called."""
_CUSTOMARY: Mapping[str, str] = {
    spelling: (first, second)[us] for spellings, first, second, _, us in _TWO_SIZES for spelling in spellings.split()
}


def customary(spelling: str) -> str:
    """Of a unit of two sizes, such as `gal`, the one that is customary in the US, `usgal`; any other as it is."""
    return _CUSTOMARY.get(spelling, spelling)


def canonical_unit(name: str) -> str:
    """Give the canonical name of a unit (`m3` -> `m³`).

    Raises:
        ValueError: `name` is none of `UNIT_NAMES` nor an alias of one.
    """
    canonical = _ALIASES.get(name, name)
    if canonical not in UNITS:
        raise ValueError(f"{name} is not a unit known here; use one of {', '.join(UNIT_NAMES)}")
    return canonical


def is_unit(name: str) -> bool:
    """Say whether a question may stand in the unit `name`."""
    return _ALIASES.get(name, name) in UNITS


def _decimal(size: str) -> Decimal:
    """Read a size of the tables: a number or a quotient of two."""
    top, _, bottom = size.partition("/")
    return Decimal(top) / Decimal(bottom or "1")


def thousandfold(size: str) -> str:
    """A size of the tables, a thousand times."""
    top, slash, bottom = size.partition("/")
    return f"{(Decimal(top) * 1000).normalize():f}{slash}{bottom}"


def to_base(value: Decimal, size: str) -> Decimal:
    """Convert into the kind's base unit; temperatures are the only units with an offset."""
    if size == "c":
        return value
    if size == "f":
        return (value - 32) * 5 / 9
    if size == "k":
        return value - Decimal("273.15")
    return value * _decimal(size)


def from_base(value: Decimal, size: str) -> Decimal:
    """Convert out of the kind's base unit."""
    if size == "c":
        return value
    if size == "f":
        return value * 9 / 5 + 32
    if size == "k":
        return value + Decimal("273.15")
    return value / _decimal(size)


def convert(value: float, unit: str, into: str) -> float:
    """Convert `value` from `unit` into another unit of the same kind.

    Args:
        value: a finite number in `unit`.
        unit: the unit it stands in, one of `UNIT_NAMES`.
        into: the unit wanted.

    Raises:
        ValueError: an unknown unit, or two units that measure different things.
    """
    source, target = UNITS[canonical_unit(unit)], UNITS[canonical_unit(into)]
    if source.kind != target.kind:
        nouns = KINDS[source.kind].noun, KINDS[target.kind].noun
        raise ValueError(f"{unit} measures {nouns[0]}, {into} measures {nouns[1]}; no conversion")
    return float(from_base(to_base(Decimal(repr(float(value))), source.factor), target.factor))
