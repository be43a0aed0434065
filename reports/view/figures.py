"""The figure behind a derived finding, in words: the ratio, index or amounts that its answer stands for."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine.findings.evidence import figure_of
from engine.foundation.texts import say
from engine.knowledge.model import Finding
from engine.quantities.quantity import figure, show_number
from engine.quantities.units import convert
from reports.view.known import KnownReadings, two_digits

Numbers = Mapping[str, float]
"""The numbers behind a finding, by the names that its module in `engine.findings` gives them."""


def figure_behind(finding: Finding, known: KnownReadings) -> str:
    """The figure of a derived finding in a few words, empty where it has none or the readings allow none."""
    numbers = figure_of(finding, known.knowledge, known.unit, known.numbers)
    return _FIGURES[finding.id](numbers, known) if numbers else ""


def _ratio(numbers: Numbers, _: KnownReadings) -> str:
    return say("view_amounts.figures.ratio", percent=f"{100.0 * numbers['ratio']:.0f}")


def _cell(numbers: Numbers, known: KnownReadings) -> str:
    times, clean = numbers["times"], numbers["clean_per_m"]
    # A cell constant is a length's inverse: so many for each metre, or for each inch.
    per, size, places = ("in", convert(1.0, "in", "m"), 5) if known.units == "us" else ("m", 1.0, 3)
    return say(
        "view_amounts.figures.cell",
        now=f"{show_number(times * clean * size, places)} /{per}",
        times=figure(times, ".1f"),
        clean=f"{show_number(clean * size, places)} /{per}",
    )


def _current(numbers: Numbers, _: KnownReadings) -> str:
    expected = f"{show_number(numbers['expected_a'], 1)} A"
    return say("view_amounts.figures.current", percent=f"{100.0 * numbers['ratio']:.0f}", expected=expected)


def _index(numbers: Numbers, _: KnownReadings) -> str:
    return say("view_amounts.figures.index", index=figure(numbers["index"], "+.1f"))


def _wear(numbers: Numbers, _: KnownReadings) -> str:
    run, life = two_digits(numbers["hours"]), numbers["life"]
    return say("view_amounts.figures.wear", run=f"{run:.0f} h", life=f"{life:.0f} h")


def _loss(numbers: Numbers, _: KnownReadings) -> str:
    return say("view_amounts.figures.loss", loss=f"{max(0.0, two_digits(numbers['loss'])):.0f} ppm")


def _change(numbers: Numbers, _: KnownReadings) -> str:
    return say("view_amounts.figures.change", percent=f"{100.0 * numbers['share']:.0f}")


def _balance(numbers: Numbers, known: KnownReadings) -> str:
    made, need = known.whole(numbers["made"], "g"), known.whole(numbers["need"], "g")
    return say("view_amounts.figures.balance", made=made, need=need)


_FIGURES: Mapping[str, Callable[[Numbers, KnownReadings], str]] = {
    "salt_gap": _ratio,
    "current_gap": _current,
    "cell_health": _cell,
    "cell_wear": _wear,
    "salt_loss": _loss,
    "current_change": _change,
    "scaling_tendency": _index,
    "chlorine_balance": _balance,
}
