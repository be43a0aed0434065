"""Papers in Spanish: their figures are those of the English ones, each with a decimal comma."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator

import pytest

from engine.foundation.text_catalog import use_language
from engine.quantities.unit_systems import System
from engine.session.models import Models
from engine.session.session import Session
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.reports.jobs import DATE
from tests.reports.test_golden_sheets import SHEETS
from tests.shipped import models_in

pytestmark = pytest.mark.no_cover  # the same sheets are made in English, counted

READERS: tuple[Audience, ...] = ("customer", "technician", "shop")


@pytest.fixture(autouse=True)
def english_afterwards() -> Iterator[None]:
    yield
    use_language("en")


@pytest.fixture
def room_for_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is left out for want of room, of which either language may take the more."""
    monkeypatch.setattr("reports.sheets.shop.fits_a_screen", lambda _blocks: True)
    monkeypatch.setattr("reports.sheets.technician.TWO_CLOSE", math.inf)


def spanish() -> Models:
    return models_in("es")


def papers(session: Session, units: System) -> str:
    # So wide that no line is broken.
    return "\n".join(text_form(sheets(session, DATE, reader, units=units), 4000) for reader in READERS)


@pytest.mark.e2e
@pytest.mark.usefixtures("room_for_all")
@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("name", SHEETS)
def test_papers_in_spanish_tell_the_same_figures_with_a_decimal_comma(name: str, units: System) -> None:
    """The comma as the Spanish-language use of the SI has it (from memory)."""
    english = SHEETS[name]()
    there = Counter(re.findall(r"[0-9]+\.[0-9]+", papers(english, units)))
    use_language("es")
    here = papers(Session(spanish(), english.events), units)
    assert re.findall(r".{20}[0-9]\.[0-9].{20}", here) == []
    assert Counter(found.replace(",", ".") for found in re.findall(r"[0-9]+,[0-9]+", here)) == there
