"""The default profile's limits follow from its ideal salt by the rule that its file states, and from nobody's panel."""

from fractions import Fraction
from math import floor

import gsw
from scipy.optimize import brentq

from tests.shipped import knowledge

_LIMITS = knowledge().units["default"].values


def test_salt_limits_are_shares_of_the_ideal_salt() -> None:
    ideal = _LIMITS["salt.ideal"]
    shares = {"stop": Fraction(2, 3), "low": Fraction(7, 9), "ideal": Fraction(1), "high": Fraction(5, 4)}
    for name, share in shares.items():
        assert Fraction(_LIMITS[f"salt.{name}"]) == share * Fraction(ideal), name


def test_it_rests_where_ideal_salt_conducts_as_little_as_salt_between_stop_and_low() -> None:
    # Conductivity by gsw (practical salinity of 1978), a library of others; ppm of salt taken as parts per million of
    # salinity.
    ideal = _LIMITS["salt.ideal"]
    between = gsw.C_from_SP((_LIMITS["salt.stop"] + _LIMITS["salt.low"]) / 2 / 1000, 25, 0)
    coldest = brentq(lambda celsius: gsw.C_from_SP(ideal / 1000, celsius, 0) - between, 0, 25)
    assert _LIMITS["lockout"] == floor(coldest)
