"""Signs that a code page lacks, in plain ones that say the same."""

from __future__ import annotations

import io
import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from interview.frontends.encoding import LEGIBLE, legible, write_legibly

PAGES = ("ascii", "cp437", "cp850", "cp1252", "latin-1", "utf-8")
"""The first that every terminal has, those of consoles in America and Europe, that of Windows, and what most have."""
SPANISH = "áéíóúüñÁÉÍÓÚÜÑ"
"""Letters beyond ASCII. Source: Ortografía de la lengua española (from memory)."""


def lacking(char: str, page: str) -> bool:
    try:
        char.encode(page)
    except UnicodeEncodeError:
        return True
    return False


@given(st.text(), st.sampled_from(PAGES))
def test_whatever_is_said_can_be_encoded_and_what_could_be_stays_as_it_is(text: str, page: str) -> None:
    shown = legible(text, page)
    assert shown.encode(page).decode(page) == shown
    assert legible(shown, page) == shown
    kept = iter(shown)
    assert all(char in kept for char in text if not lacking(char, page))


def test_every_sign_there_is_can_be_said_in_ascii() -> None:
    assert [place for place in range(sys.maxunicode + 1) if not legible(chr(place), "ascii").isascii()] == []


@given(st.text(), st.sampled_from(PAGES))
def test_each_sign_is_spelt_by_itself(text: str, page: str) -> None:
    assert legible(text, page) == "".join(legible(char, page) for char in text)


@pytest.mark.parametrize("page", PAGES)
def test_letters_of_spanish_lose_no_more_than_their_accent(page: str) -> None:
    for letter in SPANISH:
        base = unicodedata.normalize("NFD", letter)[0]
        assert legible(letter, page) == (base if lacking(letter, page) else letter)


@pytest.mark.parametrize(
    ("said", "page", "shown"),
    [
        # ISO 2955:1983, units where letters are few: a raised figure stands on the line, micro is u (from memory).
        ("10 m³, 4 mm²", "ascii", "10 m3, 4 mm2"),
        ("10 m³, 4 mm²", "cp437", "10 m3, 4 mm²"),
        ("3 μS/cm", "cp850", "3 uS/cm"),
        ("18 °C", "ascii", "18 deg C"),
        ("18 °C", "cp437", "18 °C"),
        ("1\N{EN DASH}2 — 3 \N{MINUS SIGN}4", "cp850", "1-2 - 3 -4"),
        ("a → b", "cp1252", "a -> b"),
        ("“a” «b» \N{LEFT SINGLE QUOTATION MARK}c\N{RIGHT SINGLE QUOTATION MARK}…", "ascii", '"a" "b" \'c\'...'),
        (
            "“a” \N{LEFT SINGLE QUOTATION MARK}c\N{RIGHT SINGLE QUOTATION MARK}…",
            "cp1252",
            "“a” \N{LEFT SINGLE QUOTATION MARK}c\N{RIGHT SINGLE QUOTATION MARK}…",
        ),
        ("☐ a ☑ b", "cp1252", "[ ] a [x] b"),
        ("≥ 3, ≤ 4, ± 1", "ascii", ">= 3, <= 4, +/- 1"),
        ("10\N{NO-BREAK SPACE}000 and 5\N{NARROW NO-BREAK SPACE}000", "ascii", "10 000 and 5 000"),
        ("½ ┌─┐ │", "ascii", "1/2 +-+ |"),
        ("¿Qué?", "ascii", "Que?"),
        ("a\u200bb\u202ec", "cp1252", "abc"),
        ("日 \ud800", "cp1252", "? ?"),
    ],
)
def test_a_sign_that_a_page_lacks_is_said_otherwise(said: str, page: str, shown: str) -> None:
    assert legible(said, page) == shown


def test_without_a_code_page_it_is_utf_8() -> None:
    assert legible("18 °C → 日", None) == "18 °C → 日"


def test_from_now_on_both_outputs_are_legible(monkeypatch: pytest.MonkeyPatch) -> None:
    streams = {name: io.TextIOWrapper(io.BytesIO(), encoding="ascii") for name in ("stdout", "stderr")}
    for name, stream in streams.items():
        monkeypatch.setattr(sys, name, stream)
    write_legibly()
    for stream in streams.values():
        stream.write("10 m³")
        stream.flush()
        assert isinstance(stream.buffer, io.BytesIO)
        assert stream.buffer.getvalue() == b"10 m3"
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    write_legibly()


def test_bytes_that_are_no_text_are_none_of_its_business() -> None:
    with pytest.raises(UnicodeDecodeError):
        b"\xff".decode("utf-8", errors=LEGIBLE)
