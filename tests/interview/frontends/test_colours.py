"""Colours that can be read on dark and on light screens alike."""

from __future__ import annotations

import re

import pytest
from prompt_toolkit.output import ColorDepth

from interview.frontends.line_editor import COLOURS, style_for

LEAST = 4.0
_SHARED = (0, 95, 135, 175, 215, 255)
"""The steps of the colour cube of the 256 that terminals share. Source: xterm's `256colres.pl` (from memory)."""


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, the definition of relative luminance."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio. Source: WCAG 2.2, the definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("tone", COLOURS)
@pytest.mark.parametrize("ground", ["#000000", "#ffffff"])
def test_each_colour_is_readable_on_both_grounds(tone: str, ground: str) -> None:
    assert contrast(COLOURS[tone], ground) >= LEAST


def test_the_measure_itself_is_right_at_both_ends() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_each_colour_is_one_of_those_that_terminals_share() -> None:
    for colour in COLOURS.values():
        channels = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
        grey = len(set(channels)) == 1 and (channels[0] - 8) % 10 == 0
        assert grey or set(channels) <= set(_SHARED), colour


@pytest.mark.parametrize("depth", [ColorDepth.DEPTH_1_BIT, ColorDepth.DEPTH_4_BIT])
def test_where_a_theme_decides_what_a_colour_is_there_is_none(depth: ColorDepth) -> None:
    rules = " ".join(rule for _, rule in style_for(depth).style_rules)
    assert not re.search("#|ansi", rules)
    assert "bold" in rules
