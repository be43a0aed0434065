"""What a paper never says where somebody could be hurt by it, and what it always says: read off the printed text.

The laws are the trade's and lifesaving's, from memory, where no other source is named; none is read from the code that
composes the papers.
"""

from __future__ import annotations

import re

import pytest

from engine import in_language
from engine.knowledge.model import DANGER_CHECK, RoleId
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.reports.jobs import AT, DATE, answers, called, job, opened
from tests.shipped import as_if_shipped, knowledge, models_in

READERS: tuple[Audience, ...] = ("customer", "technician", "shop")
LANGUAGES = ("en", "es")
GAS_IN_CELL = ("gas_in_cell_popping", "flow_sensor_bridged")
OPENS = re.compile(r"open (it )?slowly|open it outdoors|(ábrala|abra) despacio", re.IGNORECASE)
SHUT = re.compile(r"nobody opens|nadie (la )?abre", re.IGNORECASE)


def models(language: str) -> Models:
    return as_if_shipped() if language == "en" else models_in(language)


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
    sells_nothing, goes_on = {
        "en": ("sell nothing", "All no"),
        "es": ("no venda nada", r"todo es no: siga|¿No\? Siga"),
    }[language]
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


DOSES = re.compile(r"liquid chlorine|cloro líquido")
NEVER_WHERE = {"en": r"never into (the )?skimmer", "es": r"nunca en (el )?skimmer"}
ONE_KIND = {
    "en": r"[Oo]ne (kind of chlorine|chlorine product) only",
    "es": r"[Uu]n(a sola clase de| solo producto de) cloro",
}
LOW = {"en": r"low (and slowly a?round|along) the edge", "es": r"(bajo|a poca altura)( y despacio)? por el borde"}
STEPS_DOSE = {
    "en": r"chlorine by hand|small dose|add the chlorine",
    "es": r"cloro a mano|dosis pequeña|agregue el cloro",
}


def low_and_tested(role: RoleId) -> Session:
    """A pool whose test is low, of known size."""
    return job(*opened(role, "no-output", brought="water_sample"), *answers(free_chlorine=0.4, pool_volume=48.0))


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_doses_by_hand_is_told_where_how_and_of_which_kind(language: str) -> None:
    """Trichlor of the skimmer meets liquid chlorine in the pipe: CDC and EPA advice on pool chemicals, from memory."""
    for reader in ("customer", "technician"):
        said = paper(low_and_tested("field" if reader == "technician" else "counter"), reader, language)
        assert DOSES.search(said)
        for words in (NEVER_WHERE, ONE_KIND, LOW):
            assert re.search(words[language], said), (reader, words)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_work_doses_chlorine_without_a_word_of_the_skimmer_and_of_other_kinds(language: str) -> None:
    known = models(language).knowledge
    dosing = [r for r in known.repairs.values() if re.search(STEPS_DOSE[language], " ".join(r.steps.customer))]
    assert len(dosing) >= 5
    lines = {r.id: {*r.work.cautions.to("owner"), *r.work.in_a_line.to("owner")} for r in dosing if "owner" in r.who}
    mixing = {c.id for c in known.cautions.values() if re.search(NEVER_WHERE[language], c.in_short.customer)}
    assert [name for name, told in lines.items() if not told & mixing] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_dose_says_what_one_ppm_takes_since_another_day_shows_another_figure(language: str) -> None:
    """2.6 ppm in 48 m3 are 125 g of chlorine; a litre of 12 % by weight available holds about 120 g: mass balance."""
    said = paper(low_and_tested("counter"), "customer", language)
    rise = re.search(r"0[.,]4 ppm (?:to|a) 3 ppm \((?P<one>\d+) mL (?:for each|por cada) 1 ppm\)", said)
    assert rise is not None
    assert float(rise["one"]) == pytest.approx(48.0 / 120.0 * 1000.0, rel=0.05)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_staff_know_from_where_to_where_a_dose_goes_and_how_chlorine_goes_home(language: str) -> None:
    """Upright, apart from acid, not in the heat: CDC advice on pool chemicals, from memory."""
    said = paper(low_and_tested("counter"), "shop", language)
    assert re.search(r"0[.,]4 ppm (to|a) 3 ppm", said)
    assert re.search(
        {"en": r"upright.*chlorine and acid apart.*hot car", "es": r"de pie.*lejos del ácido.*al sol"}[language], said
    )


ISOLATES = {"en": r"\bisolate\b", "es": r"\baislar\b"}
HANDS_ON = {
    "en": r"\b(undo|unplug|lift out|cell out|stick gets|lid ring|drain plugs|open the|unscrew)\b",
    "es": r"\b(aflojar|desenchufar|desconectar|sacar la celda|junta de la tapa|tapones|abrir la)\b",
}


def technicians_steps(language: str) -> dict[str, tuple[str, ...]]:
    """The technician's steps of each work that needs the plant off."""
    repairs = models(language).knowledge.repairs.values()
    return {r.id: r.steps.technician for r in repairs if r.plant == "isolated" and "technician" in r.who}


@pytest.mark.parametrize("language", LANGUAGES)
def test_nobody_lays_hands_on_a_plant_before_the_step_that_isolates_it(language: str) -> None:
    """What is proved while it runs may come before; lock-out comes before work: OSHA 29 CFR 1910.147, from memory."""
    wrong = []
    for name, steps in technicians_steps(language).items():
        at = next((n for n, step in enumerate(steps) if re.search(ISOLATES[language], step, re.IGNORECASE)), 0)
        wrong += [(name, step) for step in steps[:at] if re.search(HANDS_ON[language], step, re.IGNORECASE)]
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_waits_for_capacitors_proves_the_dc_side_dead_afterwards(language: str) -> None:
    """How long is the handbook's to say; five minutes where it is silent: common practice, no source."""
    works = {n: " ".join(s) for n, s in technicians_steps(language).items()}
    words = {"en": r"wait for capacitors", "es": r"manual.*se descarguen los condensadores"}[language]
    after = {"en": r"handbook says.*DC side", "es": r"lado CC"}[language]
    waiting = {name: text for name, text in works.items() if re.search(words, text)}
    assert len(waiting) >= 3
    assert [name for name, text in waiting.items() if not re.search(f"{words}.*{after}", text)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_valves_are_closed_before_the_pressure_is_let_out_and_air_before_the_pump_starts(language: str) -> None:
    """Below the pool's level the gauge never falls to zero with valves open: hydrostatics; the rest common practice."""
    pressure = {"en": r"pressure out.{0,8}close the valves", "es": r"descargue la presión.{0,6}cierre las válvulas"}[
        language
    ]
    air = {"en": (r"switch on the pump", r"let the air out"), "es": (r"encienda la bomba", r"deje salir el aire")}[
        language
    ]
    for repair in models(language).knowledge.repairs.values():
        text = " ".join(repair.steps.customer)
        assert not re.search(pressure, text, re.IGNORECASE), repair.id
        assert not re.search(f"{air[0]}.*{air[1]}", text, re.IGNORECASE), repair.id


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_pump_is_run_against_a_shut_pipe_to_see_what_the_unit_does(language: str) -> None:
    """A centrifugal pump against a shut pipe boils its water; seconds are enough for a look: common practice."""
    last = models(language).knowledge.repairs["set_valves"].steps.technician[-1]
    words = {
        "en": r"[Bb]ypass open first.*10 s at most.*unit off",
        "es": r"[Aa]brir antes la derivación.*10 s.*apagado",
    }
    assert re.search(words[language], last)


def test_a_shorted_cell_takes_a_fuse_along_and_it_goes_in_last() -> None:
    repair = knowledge().repairs["renew_shorted_cell"]
    assert {"cell", "pack_fuse"} <= {need.part for need in repair.parts}
    fuse, cell = (
        next(n for n, s in enumerate(repair.steps.technician) if w in s) for w in ("Fuse blown", "Match type")
    )
    assert fuse >= cell


def test_what_stays_off_is_never_called_running_nor_read_again_live() -> None:
    bent = job(
        *opened("field", "low-salt"),
        *answers(unit_salt=2600.0, tested_salt=3300.0, cell_current=30.0, cell_voltage=3.0),
        Event("made_safe", AT, about="cell_plates"),
        *answers(cell_plates="bent_or_bridged"),
    )
    for language in LANGUAGES:
        said = paper(bent, "technician", language)
        assert not re.search(r"running until|en marcha hasta", said)
        assert not re.search(r"(Read again|Leer otra vez): *1\. [^.]*(DC|CC)", said)


def test_the_first_sentence_of_work_that_needs_it_off_switches_off() -> None:
    found = job(*opened("phone", "flow-fault"), *answers(pump_running="yes", baskets="full", return_flow="weak"))
    told = paper(found, "customer")
    assert "power off and locked, then" in told[: told.index("What is wrong")]


CLOSES_UP = {
    "en": r"\b(refit|replace the|fit the|cell in|basket in|lid on)\b",
    "es": r"\b(montar|cambiar (la|el)|poner (la|el)|colocar)\b",
}
STARTS = {"en": r"(^|[.] )(Restart|Start\b(?! the thread))", "es": r"(^|[.] )Arrancar\b"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_all_is_closed_up_before_the_last_step_which_alone_starts(language: str) -> None:
    """What is so before power comes back stands before the last step: OSHA 29 CFR 1910.147(e), from memory."""
    wrong = []
    for name, steps in technicians_steps(language).items():
        sentences = re.split(r"(?<=[.]) ", steps[-1])
        closes = [s for s in sentences if re.search(CLOSES_UP[language], s, re.IGNORECASE)]
        # A part that did not help comes out again behind an isolation of its own.
        wrong += [(name, s) for s in closes if not re.search(ISOLATES[language], s, re.IGNORECASE)]
        wrong += [(name, step) for step in steps[:-1] if re.search(STARTS[language], step)]
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_starts_a_pump_that_was_opened_stands_clear_first(language: str) -> None:
    """Trapped air blows lids off at the start: common practice, no source."""
    starts = {
        "en": r"switch on the pump|switch the pump on|, pump on;",
        "es": r"encienda (primero )?la bomba|ponga en marcha la bomba",
    }
    clear = {"en": r"stand(ing)? clear|step away", "es": r"apárte|aparte|aléje|a distancia"}
    told = [
        (repair.id, " ".join(repair.steps.customer[max(0, n - 1) : n + 1]))
        for repair in models(language).knowledge.repairs.values()
        if "opens_pressure" in repair.work.acts.owner
        for n, step in enumerate(repair.steps.customer)
        if re.search(starts[language], step, re.IGNORECASE)
    ]
    assert len(told) >= 10
    assert [name for name, text in told if not re.search(clear[language], text, re.IGNORECASE)] == []


def test_the_unit_rests_while_the_water_work_beside_a_cell_is_still_to_do() -> None:
    """No cell runs before added salt is mixed in: common practice, no source."""
    both = called("cell in a bucket and a bottle of pool water", "field")
    told = paper(both, "technician")
    assert "Acid-clean the cell" in told
    assert re.search(r"The unit stays off until job \d is done too", told)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_dose_is_told_for_water_that_stands_until_others_come(language: str) -> None:
    """A dose poured into still water stays where it was poured: common practice, no source."""
    cracked = job(
        *opened("phone", "cell-leak"),
        *answers(danger_now="none", leak_place="union", union_nut_look="cracked_or_crooked"),
    )
    still = {"en": "hand dose does not spread|chlorine does not spread", "es": "no se reparte"}[language]
    for reader in ("customer", "technician"):
        said = paper(cracked, reader, language)
        assert re.search(still, said)
        assert not re.search(r"12 %", said)
