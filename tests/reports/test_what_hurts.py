"""What a paper never says where somebody could be hurt by it, and what it always says: read off the printed text.

The laws are the trade's and lifesaving's, from memory, where no other source is named; none is read from the code that
composes the papers.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from engine import in_language
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.reports.jobs import AT, DATE, answers, as_if_shipped, job, opened
from tests.shipped import knowledge

FAULTS = Path(__file__).parents[2] / "faults"
READERS: tuple[Audience, ...] = ("customer", "technician", "shop")
LANGUAGES = ("en", "es")
GAS_IN_CELL = ("gas_in_cell_popping", "flow_sensor_bridged")
OPENS = re.compile(r"open (it )?slowly|open it outdoors|(ábrala|abra) despacio", re.IGNORECASE)
SHUT = re.compile(r"nobody opens|nadie (la )?abre", re.IGNORECASE)


@cache
def models(language: str) -> Models:
    return as_if_shipped() if language == "en" else Models(load_knowledge(FAULTS, language))


def in_danger(danger: str) -> Session:
    """A job in which this danger stands."""
    return job(*opened("field", "no-output"), Event("corrected", AT, about=DANGER_CHECK, value=danger))


def paper(session: Session, reader: Audience, language: str = "en") -> str:
    """The paper of a reader as it is printed, its lines run together and its boxes without their frames."""
    with in_language(language):
        told = Session(models(language), session.events)
        return " ".join(text_form(sheets(told, DATE, reader)).replace("|", " ").split())


def told_of(danger: str, reader: Audience, language: str) -> str:
    """What the paper of a reader says of a danger that stands."""
    return paper(in_danger(danger), reader, language)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("danger", GAS_IN_CELL)
def test_nobody_is_told_how_to_open_a_cell_that_may_burst(danger: str, language: str) -> None:
    for reader in READERS:
        said = told_of(danger, reader, language)
        assert SHUT.search(said), reader
        assert not OPENS.search(said), reader


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("reader", READERS)
def test_where_current_is_in_the_water_help_comes_before_the_electrician(reader: Audience, language: str) -> None:
    """Out of reach of the switch, somebody in the water, somebody who does not breathe: lifesaving, from memory."""
    words = {
        "en": (r"emergency (number|services)", r"plastic float", r"nothing metal", r"resuscitat", r"electrician"),
        "es": (r"emergencias", r"flotador de plástico", r"nada de metal", r"reanima", r"electricista"),
    }[language]
    said = told_of("tingle", reader, language)
    places = [found.start() if (found := re.search(word, said)) else -1 for word in words]
    assert -1 not in places, dict(zip(words, places, strict=True))
    assert places == sorted(places)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("danger", sorted(knowledge().dangers))
def test_the_staff_read_out_all_of_a_danger_from_one_screen(danger: str, language: str) -> None:
    """On the phone there is no other page to read from: the last step stands there, and each caution in short."""
    with in_language(language):
        known = models(language).knowledge
        named = known.dangers[danger]
        steps, boxes = named.steps.for_role("phone", "metric"), [known.cautions[name] for name in named.cautions]
        short = [box.in_short.for_role("phone", "metric") for box in boxes]
    said = told_of(danger, "shop", language)
    assert [text for text in (*steps, *short) if text not in said] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_danger_of_current_is_called_safe_by_an_electrician_alone(language: str) -> None:
    for danger, named in knowledge().dangers.items():
        if named.kind == "electric":
            for reader in READERS:
                said = told_of(danger, reader, language)
                assert not re.search(r"whoever was called|quien debía|right trade|profesional que corr", said), reader
                assert re.search(r"electrician|electricista", said), reader


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_paper_of_danger_hands_over_nothing_opened_and_no_store_to_put_in_order(language: str) -> None:
    for danger in knowledge().dangers:
        said = told_of(danger, "technician", language)
        assert not re.search(r"covers closed|tapas cerradas", said), danger
        assert not re.search(r"stored apart|guardados por separado", said), danger


@pytest.mark.parametrize("language", LANGUAGES)
def test_where_no_danger_was_ruled_out_the_staff_ask_and_the_customer_knows_what_each_answer_means(
    language: str,
) -> None:
    unsaid = job(*[event for event in opened("counter", "no-output") if event.about != DANGER_CHECK])
    sells_nothing, goes_on = {"en": ("sell nothing", "All no"), "es": ("no venda nada", "[Tt]od[oa]s?( son)? no")}[
        language
    ]
    staff, customer = (paper(unsaid, reader, language) for reader in ("shop", "customer"))
    assert re.search(sells_nothing, staff)
    assert not re.search(r"[Ss]tay away|[Nn]o se acerque", staff)
    assert re.search(goes_on, staff)
    assert re.search(goes_on, customer)


def test_no_paper_states_of_the_supply_what_nobody_reported() -> None:
    """The last look was at an isolated plant; what the supply is now is not known from here."""
    begun = job(*opened("field", "no-output"), Event("made_safe", AT, about="cell_plates"), *answers(unit_salt=2450.0))
    said = paper(begun, "technician")
    assert "supply is off" not in said.lower()
    assert "prove dead before you touch" in said
