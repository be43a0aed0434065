"""What the shipped knowledge must say of hazards, by facts of the trade as data, in each language that is shipped.

The facts are held against what people are told; sources stand beside them, others are common practice, no source.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from engine.knowledge.properties import READERS, Reader
from tests.paper_rules import Belongs
from tests.paper_tables import CHECKS, OWNER, TECHNICIAN

FAULTS = Path(__file__).parents[2] / "faults"
LANGUAGES = ("en", "es")

STEPS: list[tuple[str, str, str, str, str]] = [
    # FEMA IS-5.a on plumes: crosswind; chlorine is heavier than air.
    (
        "dangers",
        "chlorine_smell",
        "customer",
        r"across the wind and uphill.*pit",
        r"viento de lado y cuesta arriba.*foso",
    ),
    ("dangers", "chlorine_smell", "technician", r"crosswind and uphill", r"viento de lado y cuesta arriba"),
    (
        "dangers",
        "chlorine_smell",
        "customer",
        r"Nobody goes back.*(Pour nothing|not pour anything) on it",
        r"nadie vuelva.*No eche nada sobre el producto",
    ),
    ("dangers", "chlorine_smell", "customer", r"Rinse sore eyes.*15 minutes", r"Enjuague ojos.*15 minutos"),
    ("dangers", "chlorine_smell", "customer", r"emergency number", r"número de emergencias"),
    # US consumer product safety publication 519: not by a metal ladder; rescuers who jumped in died.
    # What reaches somebody without conducting, and resuscitation: lifesaving practice, from memory.
    (
        "dangers",
        "tingle",
        "customer",
        r"out of the water, (but )?not by a metal ladder",
        r"no por una escal\w+ de metal",
    ),
    ("dangers", "tingle", "customer", r"Nobody goes in, puts a hand in", r"nadie entre, meta la mano"),
    ("dangers", "gas_in_cell_popping", "customer", r"No flame, no spark", r"llama"),
    ("dangers", "burning_smell", "customer", r"Do not touch or open the box", r"No toque ni abra la caja"),
    (
        "dangers",
        "chlorine_smell",
        "technician",
        r"No going back, nothing poured on it",
        r"No volver, no echar nada sobre el producto",
    ),
    ("dangers", "chlorine_smell", "technician", r"Eyes and skin: plain water, at least 15 minutes", r"15 minutos"),
    ("dangers", "chlorine_smell", "technician", r"emergency services", r"emergencias"),
    (
        "dangers",
        "tingle",
        "technician",
        r"not by a metal ladder.*nobody goes in",
        r"escal\w+ de metal.*[Nn]adie entra",
    ),
    ("dangers", "gas_in_cell_popping", "technician", r"No flame, no spark", r"llama"),
    ("repairs", "replace_water", "customer", r"heater and the underwater lights", r"las luces sumergidas"),
    ("repairs", "replace_water", "customer", r"Never (take out|drain) more than a third", r"más de un tercio"),
    # A US state pool code (Montana ARM 37.115.1308, table 6): the main drain clearly visible.
    (
        "repairs",
        "superchlorinate",
        "customer",
        r"see the floor at the deepest point",
        r"el fondo en (la parte|el punto|el lugar|lo) más (hond|profund)",
    ),
    (
        "repairs",
        "superchlorinate",
        "customer",
        r"pH.*acid first.*chlorine four hours later",
        r"pH.*primero el ácido, solo; el cloro, cuatro horas después",
    ),
    ("repairs", "acid_clean", "customer", r"ten parts water.*Then add one part acid", r"diez partes de agua.*[Ll]uego"),
    ("repairs", "acid_clean", "customer", r"with the hose running and no chlorine near", r"sin cloro"),
    ("repairs", "acid_clean", "customer", r"bicarbonate.*local rules", r"bicarbonato.*normas locales"),
    # Common practice, no source: heavy bags, hot plugs, charged capacitors, air and gas behind a lid, a motor that
    # hums, water that may not go anywhere, and chlorine that gathers under a cover.
    ("repairs", "add_salt", "customer", r"Lift the bags with two people", r"Levante los sacos entre dos"),
    ("repairs", "first_salt", "customer", r"Lift the bags with two people", r"Levante los sacos entre dos"),
    (
        "repairs",
        "renew_cell_lead",
        "customer",
        r"not touch the plug while it is warm",
        r"No toque el conector mientras",
    ),
    ("repairs", "renew_cell_lead", "technician", r"Let a hot plug cool", r"Dejar enfriar un conector"),
    (
        "repairs",
        "repair_pump",
        "technician",
        r"capacitor holds its charge: discharge",
        r"ondensador .*carga: descargar",
    ),
    ("repairs", "renew_power_pack", "technician", r"prove dead, wait for capacitors", r"esperar .*condensadores"),
    ("repairs", "restore_pump", "customer", r"hums and does not turn, switch it off at once", r"zumba y no gira, apág"),
    (
        "repairs",
        "set_valves",
        "customer",
        r"[Gg]as.*in the cell.*stand clear",
        r"gas en la celda.*apártese",
    ),
    ("repairs", "set_valves", "customer", r"never one drain alone", r"nunca con un sumidero como única toma"),
    (
        "repairs",
        "clean_filter",
        "customer",
        r"where backwash.*[Ss]tand clear",
        r"adónde.*[Aa]pártese",
    ),
    (
        "repairs",
        "clean_filter",
        "technician",
        r"Waste water by local rules",
        r"Agua de lavado según las normas locales",
    ),
    ("repairs", "replace_water", "customer", r"Ask where you may drain", r"Pregunte dónde se puede vaciar"),
    (
        "repairs",
        "replace_water",
        "technician",
        r"Drain where local rules",
        r"Vaciar donde lo permitan las normas locales",
    ),
    ("repairs", "superchlorinate", "customer", r"Cover off", r"Sin cobertor"),
    ("repairs", "superchlorinate", "technician", r"Acid for the pH first, chlorine four hours later", r"cuatro horas"),
    (
        "repairs",
        "see_to_heater",
        "customer",
        r"Leave gas and cooling parts to a licensed specialist",
        r"profesional autorizado",
    ),
    ("repairs", "clear_restriction", "technician", r"gas heater is for a licensed gas fitter", r"gas autorizado"),
    ("repairs", "reset_and_watch", "customer", r"tingle\? Then reset nothing.*smells burnt, reset nothing", r"quemado"),
]
HOW: list[tuple[str, str, str, str]] = [
    # Common practice, no source.
    ("breaker", "customer", r"tingle or it smells burnt, do not touch", r"cosquilleo o huele a quemado, no lo toque"),
    ("breaker", "technician", r"No reset after a tingle or a burnt smell", r"No rearmar tras un cosquilleo o un olor"),
    ("pump_start", "customer", r"only hums, switch it off again", r"zumba.*apáguela"),
    ("cell_voltage", "technician", r"Keep out of the mains side", r"No acercarse al lado de red"),
    ("flow_sensor_contact", "customer", r"Never join the wires of the sensor", r"[Nn]unca"),
    ("flow_sensor_contact", "technician", r"Never bridge", r"[Nn]unca|[Ss]in puente"),
    ("pack_inside", "customer", r"Do not open the box", r"No abra la caja"),
    ("supply_voltage", "technician", r"only by a person permitted by the local code", r"norma local"),
    ("unit_fuse", "technician", r"fit no new one yet: check lead and plates first", r"cable y.*placas"),
]
"""How a check is made: what must be said of it, in each language."""
ONLY_RUNNING = (
    "air_in_cell breaker cell_bubbles cell_current cell_voltage display_unit filter_pressure_rise flow_sensor_contact "
    "leak_place other_load pack_heat polarity_change prime pump_running pump_start return_flow supply_voltage "
    "union_leak unit_power unit_report unit_salt unit_temp"
)
"""What shows nothing, or something else, while the supply is off: common practice, no source."""
ONLY_ISOLATED = (
    "cell_lead cell_plates flow_sensor_lead flow_sensor_look pack_inside swap_cell trip_pattern union_ring unit_fuse"
)
"""What nobody opens or unplugs while it is live: common practice, no source."""
IN_A_LINE = (
    ("superchlorinate", "release_pressure"),
    *((repair, "acid_never_with_chlorine") for repair in ("add_stabiliser", "raise_output", "larger_unit")),
    *((repair, "acid_never_with_chlorine") for repair in ("wait_for_plaster", "wait_for_warmth", "see_to_heater")),
    *((repair, "stand_clear_at_start") for repair in ("acid_clean", "new_cell", "new_union_oring")),
)
"""What is no more than a part of a work, and takes no box from what the work is: judgement."""
STAYS_OFF = {
    "breaker": {"trips_again"},
    "cell_lead": {"burnt"},
    "cell_plates": {"bent_or_bridged"},
    "leak_place": {"body"},
    "pack_inside": {"burnt", "wet_or_insects"},
    "pump_start": {"hums"},
    "trip_pattern": {"cell_disconnected_too", "only_with_cell_connected"},
    "unit_fuse": {"blows_again"},
}
"""After which findings nothing is switched on, as a trial either: common practice, no source."""
BRIDGED = {"flow_sensor_contact": {"stays_closed"}, "flow_sensor_lead": {"bridged"}}
"""A cell that may run without flow fills with gas (Faraday's law; the rate stands with the cautions)."""
NAMED = {
    "gas_in_cell_popping": (r"pops or bangs.*cracked or swollen", r"estalli.*agrietad.*hinchad"),
    "chlorine_smell": (r"smell that stings", r"pica"),
    "tingle": (r"tingle or a shock", r"cosquilleo"),
    "burning_smell": (r"burn", r"quemado"),
    "water_on_electrics": (r"[Ww]ater", r"[Aa]gua"),
    "flow_sensor_bridged": (r"bridged|bypass|trick|joined", r"puente|anul|unid"),
}
"""By what each danger is known, in the words that are asked with."""
NOWHERE = {"en": r"wind in your face|with the wind behind", "es": r"viento en la cara"}


# Acid that meets what the cell makes frees chlorine: the unit is off for it, and the wind takes the fumes away.
POOL_ACID = {
    "en": (r"chlorinator off", r"[Ww]ind at your back", r"never into the skimmer"),
    "es": (r"[Aa]pague el clorador", r"[Cc]on el viento a la espalda", r"nunca en el skimmer"),
}
HAND_IN = {
    "en": r"(empty|clear|take out|lift|seat|out of)\b[^.]*\b(baskets?|skimmer)\b",
    "es": r"(vac[ií]e|limpie|saque|levante|asi[eé]nte)\w*\b[^.]*\b(cestas?|skimmer)\b",
}
PUMP_OFF = {
    "en": r"pump off|switch(ed)? off\b|off and lock",
    "es": r"bomba parada|bomba apagada|apague|corte y bloquee|bloqueada",
}
STARTS = {"en": r"switch on the pump|pump on again", "es": r"encienda (primero )?la bomba"}


@cache
def known(language: str) -> Knowledge:
    return load_knowledge(FAULTS, language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_the_trade_knows_of_hazards_stands_in_the_steps(language: str) -> None:
    lacking = []
    for kind, entry, reader, english, spanish in STEPS:
        steps = " ".join(getattr(getattr(known(language), kind)[entry].steps, reader))
        if not re.search(english if language == "en" else spanish, steps):
            lacking.append((entry, english))
    assert lacking == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_the_trade_knows_of_hazards_stands_where_a_check_is_explained(language: str) -> None:
    lacking = []
    for check, reader, english, spanish in HOW:
        told = getattr(known(language).checks[check].how, reader)
        if not re.search(english if language == "en" else spanish, told):
            lacking.append((check, reader, told))
    assert lacking == []


def test_each_look_says_whether_the_plant_runs_or_is_isolated_for_it() -> None:
    plants = {name: check.plant for name, check in known("en").checks.items()}
    assert {name for name, plant in plants.items() if plant == "running"} >= {*ONLY_RUNNING.split()}
    assert {name for name, plant in plants.items() if plant == "isolated"} == {*ONLY_ISOLATED.split()}


@pytest.mark.parametrize("language", LANGUAGES)
def test_nobody_is_sent_into_the_gas(language: str) -> None:
    dangers = known(language).dangers.values()
    told = [step for danger in dangers for steps in (danger.steps.customer, danger.steps.technician) for step in steps]
    assert [step for step in told if re.search(NOWHERE[language], step)] == []


@pytest.mark.parametrize("reader", READERS)
def test_each_work_brings_the_cautions_that_the_trade_asks_for_and_no_others(reader: Reader) -> None:
    knowledge = known("en")
    rules = {**(OWNER if reader == "owner" else TECHNICIAN)}
    works = {name: repair.work for name, repair in knowledge.repairs.items()}
    if reader == "technician":
        rules |= CHECKS
        works |= {name: check.work for name, check in knowledge.checks.items()}
    wrong = {}
    for name, notes in rules.items():
        due = Belongs()
        due.add(notes, a_line_will_do=True)
        boxes, lines = set(works[name].cautions.to(reader)), set(works[name].in_a_line.to(reader))
        if (missing := due.missing(boxes, lines)) or (strange := due.strange(boxes, lines)):
            wrong[name] = (missing, strange if not missing else set())
    assert wrong == {}


def test_what_is_a_small_part_of_a_work_is_told_in_a_line() -> None:
    works = {name: repair.work for name, repair in known("en").repairs.items()}
    assert [
        (name, caution, reader)
        for name, caution in IN_A_LINE
        for reader in READERS
        if caution in works[name].cautions.to(reader)
    ] == []
    assert all(caution in works[name].in_a_line.to("owner") for name, caution in IN_A_LINE)


def test_what_was_found_broken_so_keeps_everything_off_and_a_bridged_sensor_is_a_danger() -> None:
    off, bridged = {}, {}
    for name, check in known("en").checks.items():
        off[name] = {answer.id for answer in check.answers if answer.keeps_off}
        bridged[name] = {answer.id for answer in check.answers if answer.reports == "flow_sensor_bridged"}
    assert {name: answers for name, answers in off.items() if answers} == STAYS_OFF
    assert bridged.items() >= BRIDGED.items()


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_danger_is_named_by_what_people_notice(language: str) -> None:
    dangers = known(language).dangers
    assert {*NAMED} == {*dangers}
    told = {name: dangers[name].wording.customer for name in NAMED}
    assert {name: text for name, text in told.items() if not re.search(NAMED[name][language == "es"], text)} == {}


def test_every_check_of_a_technician_that_brings_cautions_has_its_rule() -> None:
    assert [
        name for name, check in known("en").checks.items() if check.work.cautions.technician and name not in CHECKS
    ] == []


def test_each_danger_is_asked_for_first_and_by_its_own_answer() -> None:
    answers = known("en").checks["danger_now"].answers
    assert {answer.reports for answer in answers if answer.reports} == {*known("en").dangers}
    assert {"not_looked_for"} <= {answer.means for answer in answers}


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_pours_acid_into_the_pool_switches_the_chlorinator_off_first(language: str) -> None:
    pouring = [
        repair for repair in known(language).repairs.values() if "pool_acid" in {need.part for need in repair.parts}
    ]
    assert pouring
    wanting = []
    for repair in pouring:
        steps = repair.steps.customer
        places = [
            next((number for number, step in enumerate(steps) if re.search(words, step, re.IGNORECASE)), len(steps))
            for words in POOL_ACID[language]
        ]
        if places != sorted(places) or places[-1] == len(steps):
            wanting.append(repair.id)
    assert wanting == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_reaches_into_skimmer_or_basket_has_the_pump_off_first(language: str) -> None:
    reached, running = 0, []
    for repair in known(language).repairs.values():
        said = ""
        for step in repair.steps.customer:
            for sentence in re.split(r"(?<=[.?!:])\s+", step):
                said += f" {sentence}"
                if re.search(HAND_IN[language], sentence, re.IGNORECASE):
                    reached += 1
                    if not re.search(PUMP_OFF[language], said, re.IGNORECASE):
                        running.append((repair.id, sentence))
    assert reached > 5
    assert running == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_whoever_starts_the_pump_is_told_to_stand_clear(language: str) -> None:
    starting = [
        repair
        for repair in known(language).repairs.values()
        if any(re.search(STARTS[language], step, re.IGNORECASE) for step in repair.steps.customer)
    ]
    assert len(starting) > 10
    told = {repair.id: {*repair.work.cautions.to("owner"), *repair.work.in_a_line.to("owner")} for repair in starting}
    assert [name for name, cautions in told.items() if "stand_clear_at_start" not in cautions] == []
