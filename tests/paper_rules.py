"""Which cautions belong on which paper: rules of the trade as data, written without the code that decides.

A box stands where its reader does the act on this sheet, or where the danger was reported; nowhere else. Whoever doses
chlorine by hand is told of goggles, gloves and swimmers in boxes and of acid in a line; acid is spoken of only where
there is some. The tables are common practice and judgement, no source; none of them is read from the hazards file.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from engine.knowledge.model import Knowledge
from engine.session.outcome import outcome_of
from engine.session.session import Session
from reports.document import Audience
from reports.view.model import JobView

# `name` must stand as a box, `name~` must be told, in a box or in a line, `name?` may stand and need not.
_OPEN_CELL = "release_pressure gas_in_cell closed_rooms~"
# The lone ways in which two kinds meet at a dose by hand: the skimmer with its tablets, a second product.
_DOSE = "splash_protection swimmers_out acid_never_with_chlorine~ never_mix_chlorines~ store_apart?"
_BENCH_ACID = (
    "acid_never_with_chlorine acid_into_water splash_protection spent_acid~ store_apart~ closed_rooms~ no_scraping~"
)
# Whoever has too much chlorine opens the cover, and nobody bathes; whoever doses acid into a pool does as at the bench.
_EXCESS = "swimmers_out bleached_test?"
_COVER = f"{_EXCESS} cover_wide_open"
_POOL_ACID = "acid_never_with_chlorine acid_into_water splash_protection swimmers_out store_apart"
# Whoever shut the pipe again starts the pump on what it holds: air, and the gas of a cell.
_REFITTED = f"{_OPEN_CELL} stand_clear_at_start~"
_BOARD = "tingle_keep_out residual_current_protection licensed_electrician~"

OWNER: Mapping[str, str] = {
    "add_salt": "not_on_undissolved_salt~ lift_and_slip~",
    "first_salt": "not_on_undissolved_salt~ lift_and_slip~",
    # The pipes stood above the water and hold air.
    "replace_water": "lower_by_thirds stand_clear_at_start~",
    "circulate_and_retest": "not_on_undissolved_salt~",
    "retest_salt": "",
    "superchlorinate": "acid_never_with_chlorine splash_protection floor_visible swimmers_out "
    "release_pressure~ stand_clear_at_start~ bleached_test~ store_apart? never_mix_chlorines?",
    "add_stabiliser": "splash_protection swimmers_out acid_never_with_chlorine? never_mix_chlorines~ store_apart?",
    "raise_output": f"{_DOSE} bleached_test~",
    "larger_unit": _DOSE,
    "dilute_and_retest": "bleached_test swimmers_out~",
    "new_reagents": "bleached_test~",
    "wait_for_warmth": f"{_DOSE} not_below_its_limits~",
    "see_to_heater": f"{_DOSE} not_below_its_limits~",
    "wait_for_plaster": _DOSE,
    "set_unit_right": "",
    "acid_clean": f"switch_off_and_lock {_REFITTED} {_BENCH_ACID}",
    "new_cell": f"switch_off_and_lock {_REFITTED} no_scraping~ not_below_its_limits?",
    "renew_shorted_cell": f"switch_off_and_lock {_REFITTED} no_scraping~ not_below_its_limits?",
    "rinse_cell": f"switch_off_and_lock {_REFITTED} no_scraping~",
    "turn_cell": f"switch_off_and_lock {_REFITTED} never_bypass_flow_sensor?",
    "new_union_oring": f"switch_off_and_lock {_REFITTED}",
    "new_union_nut": "switch_off_and_lock",
    "realign_pipes": "switch_off_and_lock",
    "renew_cracked_cell": "switch_off_and_lock",
    "seal_sensor": f"switch_off_and_lock {_REFITTED} never_bypass_flow_sensor",
    "trace_drip": "",
    "renew_cell_lead": "switch_off_and_lock? hot_parts?",
    "renew_power_pack": "",
    "dry_power_pack": "",
    "new_pack_fuse": "fuse_as_marked~",
    "reset_and_watch": _BOARD,
    "find_insulation_fault": "residual_current_protection?",
    "restore_supply": "residual_current_protection?",
    "correct_supply": "switch_off_and_lock residual_current_protection?",
    "restore_pump": "switch_off_and_lock release_pressure stand_clear_at_start hot_parts?",
    "set_timers": "stand_clear_at_start~",
    "empty_baskets": "switch_off_and_lock release_pressure stand_clear_at_start",
    "clean_filter": "switch_off_and_lock release_pressure stand_clear_at_start",
    "seal_suction": "switch_off_and_lock release_pressure stand_clear_at_start",
    "set_valves": "keep_suction_open stand_clear_at_start",
    "new_basket": "switch_off_and_lock release_pressure stand_clear_at_start",
    "new_filter_media": "switch_off_and_lock release_pressure stand_clear_at_start",
    "prime_pump": "switch_off_and_lock release_pressure stand_clear_at_start",
    "clear_restriction": "keep_suction_open stand_clear_at_start?",
    "repair_pump": "",
    "new_pump": "",
    "set_feed": "stand_clear_at_start~",
    "cool_pack": "switch_off_and_lock residual_current_protection?",
    "renew_pack_and_clean": "",
    "reset_reminder": "",
    "see_to_cover_signal": "bleached_test? cover_wide_open",
    "set_clock": "stand_clear_at_start~",
    "fit_right_cell": "switch_off_and_lock",
    "check_controller": "bleached_test~",
    "use_up_neutraliser": f"{_DOSE} bleached_test~",
    "raise_pump_speed": "never_bypass_flow_sensor?",
    "clean_flow_sensor": f"switch_off_and_lock {_REFITTED} never_bypass_flow_sensor",
    "new_flow_sensor": "never_bypass_flow_sensor?",
    "new_flow_sensor_lead": "never_bypass_flow_sensor?",
    "recalibrate_salt": "",
    "new_temperature_sensor": "",
    "explain_operation": "",
    "turn_down": _COVER,
    "follow_demand": _COVER,
    "stop_dosing_beside": f"{_COVER} never_mix_chlorines splash_protection acid_never_with_chlorine~ "
    "stand_clear_at_start~",
    "end_boost": _COVER,
    "mend_controller": _EXCESS,
    "mend_output": f"{_EXCESS} switch_off_and_lock?",
    "air_and_swap": f"{_COVER} lower_by_thirds stand_clear_at_start~",
    **dict.fromkeys(("lower_ph", "lower_alkalinity", "settle_flakes"), _POOL_ACID),
    "live_with_hardness": f"{_POOL_ACID} lower_by_thirds",
    "raise_balance": "splash_protection swimmers_out lift_and_slip~ acid_never_with_chlorine?",
    "filter_longer": "floor_visible",
    "test_for_metals": "",
    "tend_new_plaster": f"{_POOL_ACID} not_below_its_limits~",
    "close_for_illness": "",
}
"""What is told to an owner who is given the steps of a work."""

_ISOLATED = "isolate_and_prove_dead"
_FOR_PACK = f"{_ISOLATED} licensed_electrician"
_ELECTRICIANS = f"{_FOR_PACK} {_BOARD}"
_LIVE = "low_voltage_high_current"
_TECHNICIAN: Mapping[str, str] = {
    **{
        name: boxes.replace("switch_off_and_lock?", "").replace("switch_off_and_lock", _ISOLATED)
        for name, boxes in OWNER.items()
    },
    "larger_unit": f"{_FOR_PACK} residual_current_protection~ never_bypass_flow_sensor~ {_OPEN_CELL}",
    "new_union_nut": f"{_ISOLATED} {_OPEN_CELL}",
    "realign_pipes": f"{_ISOLATED} {_OPEN_CELL}",
    "renew_cracked_cell": f"{_ISOLATED} {_OPEN_CELL} never_bypass_flow_sensor",
    "trace_drip": "release_pressure",
    # A technician brings the pH down before the strong dose; for an owner that is a work of its own.
    "superchlorinate": f"{OWNER['superchlorinate']} never_mix_chlorines~ acid_into_water~",
    "fit_right_cell": f"{_ISOLATED} {_OPEN_CELL} never_bypass_flow_sensor~ no_scraping~ not_below_its_limits?",
    "renew_shorted_cell": f"{_LIVE} {_FOR_PACK} fuse_as_marked {_REFITTED} no_scraping~ not_below_its_limits?",
    "renew_cell_lead": f"{_LIVE} {_ISOLATED} hot_parts~ fuse_as_marked~",
    "renew_power_pack": f"{_LIVE} {_FOR_PACK} fuse_as_marked~ residual_current_protection~ never_bypass_flow_sensor?",
    "dry_power_pack": f"{_LIVE} {_FOR_PACK} fuse_as_marked? residual_current_protection tingle_keep_out~",
    "new_pack_fuse": f"{_LIVE} {_FOR_PACK} fuse_as_marked",
    "find_insulation_fault": _ELECTRICIANS,
    "restore_supply": _ELECTRICIANS,
    "correct_supply": _ELECTRICIANS,
    "restore_pump": f"{_ISOLATED} release_pressure stand_clear_at_start hot_parts~",
    "repair_pump": f"{_FOR_PACK} release_pressure stand_clear_at_start hot_parts~",
    "new_pump": f"{_FOR_PACK} release_pressure stand_clear_at_start hot_parts~",
    "clear_restriction": f"{_ISOLATED} {_OPEN_CELL} keep_suction_open stand_clear_at_start",
    "cool_pack": f"{_FOR_PACK} hot_parts~",
    "renew_pack_and_clean": f"{_FOR_PACK} fuse_as_marked {_OPEN_CELL} {_BENCH_ACID} residual_current_protection~ "
    "never_bypass_flow_sensor?",
    "new_flow_sensor": f"{_ISOLATED} never_bypass_flow_sensor {_OPEN_CELL}",
    "new_flow_sensor_lead": f"{_ISOLATED} never_bypass_flow_sensor",
    "mend_output": f"{_LIVE} {_FOR_PACK} residual_current_protection never_bypass_flow_sensor",
    "recalibrate_salt": "not_below_its_limits?",
    # Hours are set, or a sensor is fitted that may share the flow sensor's body: the last safeguard is named.
    "new_temperature_sensor": f"{_ISOLATED} {_OPEN_CELL} not_below_its_limits? never_bypass_flow_sensor~",
    "set_timers": "stand_clear_at_start~ never_bypass_flow_sensor~",
    "set_feed": "stand_clear_at_start~ never_bypass_flow_sensor~",
    "set_clock": "stand_clear_at_start~ never_bypass_flow_sensor~",
}
_READ_AT_CELL = frozenset(
    {
        *("add_salt", "first_salt", "replace_water", "circulate_and_retest", "correct_supply"),
        *("larger_unit", "acid_clean", "new_cell", "rinse_cell", "renew_cracked_cell", "fit_right_cell"),
        *("cool_pack", "renew_pack_and_clean", "recalibrate_salt"),
    }
)
# Their result is read off in amps and volts at the cell: the leads carry all of the current while they run.
TECHNICIAN: Mapping[str, str] = {
    name: f"{boxes} {_LIVE}~" if name in _READ_AT_CELL and _LIVE not in boxes else boxes
    for name, boxes in _TECHNICIAN.items()
}
"""What is told to a technician who does the work."""

CHECKS: Mapping[str, str] = {
    "cell_plates": f"{_ISOLATED} {_OPEN_CELL} no_scraping~",
    "union_ring": f"{_ISOLATED} {_OPEN_CELL}",
    "cell_lead": f"{_ISOLATED} hot_parts~",
    "flow_sensor_look": f"{_ISOLATED} {_OPEN_CELL}",
    "flow_sensor_lead": f"{_ISOLATED} never_bypass_flow_sensor",
    "pack_inside": f"{_ISOLATED} licensed_electrician",
    "swap_cell": f"{_ISOLATED} {_OPEN_CELL} residual_current_protection?",
    "unit_fuse": f"{_ISOLATED} licensed_electrician fuse_as_marked",
    "cell_voltage": "low_voltage_high_current",
    "cell_current": "low_voltage_high_current",
    "polarity_change": "low_voltage_high_current",
    "flow_sensor_contact": "never_bypass_flow_sensor",
    "breaker": _BOARD,
    "trip_pattern": f"{_ISOLATED} licensed_electrician residual_current_protection",
    "other_load": "residual_current_protection",
    "supply_voltage": "licensed_electrician",
    "pump_start": "stand_clear_at_start",
    "baskets": "release_pressure",
    "dilution_test": "bleached_test",
}
"""What is told to a technician who makes a check; of a check that the sheet only names, a line is enough."""

HOME: Mapping[str, str] = {
    "bring_cell": f"switch_off_and_lock {_OPEN_CELL} no_scraping~",
    "fit_spool": "switch_off_and_lock release_pressure~ gas_in_cell? closed_rooms?",
    "bring_pack": "switch_off_and_lock licensed_electrician~",
}
"""What is told to an owner who takes something out at home, beside the steps of a repair."""

BENCH: Mapping[str, str] = {
    "acid_clean": _BENCH_ACID,
    "new_cell": "no_scraping~ not_below_its_limits?",
    "renew_shorted_cell": "licensed_electrician fuse_as_marked isolate_and_prove_dead? no_scraping~ "
    "not_below_its_limits?",
    "renew_power_pack": "licensed_electrician fuse_as_marked isolate_and_prove_dead?",
    "dry_power_pack": "licensed_electrician fuse_as_marked? isolate_and_prove_dead?",
    "cool_pack": "licensed_electrician hot_parts~ isolate_and_prove_dead?",
    "renew_pack_and_clean": f"{_BENCH_ACID} licensed_electrician fuse_as_marked isolate_and_prove_dead?",
}
"""What is told to the shop of what it does at its own bench."""

DANGERS: Mapping[str, str] = {
    "tingle": "tingle_keep_out licensed_electrician?",
    "water_on_electrics": "tingle_keep_out licensed_electrician?",
    "burning_smell": "licensed_electrician tingle_keep_out?",
    # Nobody goes back to put a store in order, and nobody is told how a cell is opened that may burst.
    "chlorine_smell": "acid_never_with_chlorine",
    "gas_in_cell_popping": "cell_stays_shut",
    "flow_sensor_bridged": "never_bypass_flow_sensor cell_stays_shut",
}
"""What is told where a danger stands: electric ones for electric dangers, gas ones for gas, and nothing else."""
SHOCK = "tingle_keep_out licensed_electrician residual_current_protection?"
"""What is told where current may reach the water by what was found."""
HAND_DOSE_SAID = re.compile(r"liquid chlorine|cloro líquido", re.IGNORECASE)
ACID_SAID = re.compile(r"\bacids?\b|ácido", re.IGNORECASE)
GAS_HEATER_SAID = re.compile(r"gas heater|gas fitter|calentador(es)? (de|a) gas|instalador de gas", re.IGNORECASE)
ELECTRICIAN_SAID = re.compile(r"electrician|electricista", re.IGNORECASE)
BRING_SAID = re.compile(r"\b(bring|brings|fetch|traiga|traer|trae)\b", re.IGNORECASE)
SWITCH_ON_SAID = re.compile(r"(?<!not )\b(switch|turn)(ed)? (it |the unit |the pump )?on\b|\bencienda\b", re.IGNORECASE)
ACID_WORK = frozenset(
    {
        "acid_clean",
        "renew_pack_and_clean",
        "superchlorinate",
        "lower_ph",
        "lower_alkalinity",
        "live_with_hardness",
        "settle_flakes",
        "tend_new_plaster",
    }
)


@dataclass
class Belongs:
    """What a paper asks for: boxes, what is told in a box or a line, and what may stand beside these."""

    boxes: set[str] = field(default_factory=set)
    told: set[str] = field(default_factory=set)
    may: set[str] = field(default_factory=set)

    def add(self, notes: str, *, a_line_will_do: bool = False) -> None:
        """Add the cautions of these notes."""
        for note in notes.split():
            if note.endswith("?"):
                self.may.add(note[:-1])
            elif note.endswith("~") or a_line_will_do:
                self.told.add(note.rstrip("~"))
            else:
                self.boxes.add(note)

    def missing(self, boxes: set[str], lines: set[str]) -> set[str]:
        """What is asked for and does not stand."""
        return (self.boxes - boxes) | (self.told - boxes - lines)

    def strange(self, boxes: set[str], lines: set[str]) -> set[str]:
        """What stands and is not asked for."""
        return (boxes | lines) - self.boxes - self.told - self.may


def boxes_of(view: JobView, reader: Audience) -> tuple[set[str], set[str]]:
    """The cautions of a paper as they stand on it: in boxes, and in the line below them."""
    of = view.home if reader == "customer" else view
    return {line.caution for line in of.cautions}, {line.caution for line in of.in_a_line}


def asked_of(view: JobView, session: Session, reader: Audience) -> Belongs:
    """What the paper of a reader asks for, by what stands on it: work, danger, doses and what was seen."""
    belongs = Belongs()
    if session.job.standing:
        for report in session.job.standing:
            belongs.add(DANGERS[report.danger])
        return belongs
    if view.keep_away:
        belongs.add(SHOCK)
    {"customer": _customers, "shop": _shops, "technician": _technicians}[reader](belongs, view, session)
    return belongs


def _customers(belongs: Belongs, view: JobView, session: Session) -> None:
    work = view.home.work
    if work in HOME:
        belongs.add(HOME[work])
    if view.home.steps:
        belongs.add(OWNER[view.actions[0].repair])
    if dose_told(view):
        belongs.add(f"{_DOSE} bleached_test?")
    if _too_much(view, session):
        belongs.add("bleached_test swimmers_out~")
    if cloudy(session) and not view.solved and not view.may_infect:
        belongs.add("floor_visible")
    if session.job.complaint == "supply-fault" and not view.solved:
        belongs.add("fuse_as_marked~")


def _shops(belongs: Belongs, view: JobView, _: Session) -> None:
    if view.decision.decision in ("bring_cell", "bring_pack") and not view.keep_away and not view.solved:
        belongs.add(BENCH[view.actions[0].repair])


def _technicians(belongs: Belongs, view: JobView, session: Session) -> None:
    for action in view.actions:
        belongs.add(TECHNICIAN[action.repair], a_line_will_do=action.when == "otherwise")
    for name in session.job.waiting:
        belongs.add(TECHNICIAN.get(name) or CHECKS.get(name, ""), a_line_will_do=True)
    for line in view.would_help:
        belongs.add(CHECKS.get(line.check, ""), a_line_will_do=True)
    if dose_told(view):
        belongs.add(f"{_DOSE} bleached_test?")
    if cloudy(session) and not view.solved and not view.may_infect:
        belongs.add("floor_visible~")
    # What is cut short or contradicts itself asks for further looks, which the page names.
    if view.cut_short or view.conflict is not None:
        for notes in CHECKS.values():
            belongs.add(as_may(notes))
    if session.job.plant != "running":
        belongs.add(_ISOLATED)


def as_may(notes: str) -> str:
    """The same cautions, none of them asked for."""
    return " ".join(note.rstrip("~?") + "?" for note in notes.split())


def dose_told(view: JobView) -> bool:
    """Whether the paper tells its reader to pour chlorine."""
    return any(HAND_DOSE_SAID.search(line) for line in view.advice.meanwhile)


def _too_much(view: JobView, session: Session) -> bool:
    first = view.actions[0] if view.actions else None
    thinned = first is not None and first.repair == "dilute_and_retest" and first.decision == view.decision.decision
    # A work against too much chlorine whose result is still awaited: nobody knows yet that it is down.
    concluded = outcome_of(session, None).conclusion
    against = {name for name, notes in OWNER.items() if notes.startswith(_EXCESS)} | {"dilute_and_retest"}
    awaits = concluded.why == "unverified" and concluded.repair in against
    return not view.solved and (thinned or awaits or session.job.complaint == "too-much-chlorine")


def cloudy(session: Session) -> bool:
    """Whether somebody saw water through which the floor is not seen."""
    said = session.job.readings.get("water_look")
    return said is not None and said.value in ("cloudy", "green")


def words_out_of_place(view: JobView, reader: Audience) -> Iterator[str]:
    """Sentences on acid where there is none, and on gas heaters where none is spoken of."""
    if reader == "customer":
        told = [line.text for line in (*view.home.cautions, *view.home.in_a_line)]
        laws: tuple[str, ...] = ()
        notes = OWNER[view.actions[0].repair] if view.home.steps else ""
    else:
        told, laws = [line.text for line in (*view.cautions, *view.in_a_line)], view.advice.local_code
        notes = " ".join(TECHNICIAN[action.repair] for action in view.actions)
    done = {line.repair for line in view.done}
    acid = bool(done & ACID_WORK) or "acid_never" in notes or dose_told(view) or bool(view.danger)
    if not acid:
        yield from (text for text in (*told, *laws) if ACID_SAID.search(text))
    yield from (text for text in laws if GAS_HEATER_SAID.search(text))


def left_out_of_danger(view: JobView, session: Session) -> Iterator[str]:
    """What a paper owes to a danger: its own steps first as long as it stands, and what was found for ever."""
    record = " ".join(view.danger_record)
    for report in session.job.reports:
        named = session.knowledge.dangers[report.danger].wording
        if not any(words in record for words in (named.customer, named.technician)):
            yield f"the record of {report.danger}"
    if session.job.standing and not view.advice.first:
        yield "first steps"
    if session.job.standing and not session.job.closed and view.decision.decision != "make_safe":
        yield "make safe as the decision"


def words_against_danger(view: JobView, session: Session) -> Iterator[str]:
    """What no paper says while a danger stands: work, parts, to bring something, that there is none, others' words."""
    kinds = {session.knowledge.dangers[report.danger].kind for report in session.job.standing}
    if not kinds:
        return
    if view.actions or view.parts or view.home.steps:
        yield "work while a danger stands"
    if any(line.check == "danger_now" and line.said.startswith(("none", "nada", "ningun")) for line in view.found):
        yield "that no danger"
    told = [*view.advice.meanwhile, *view.advice.come_back, *view.advice.hands_off, *view.advice.local_code]
    told += [*view.decision.why, view.decision.text, view.decision.shop]
    against = [BRING_SAID, SWITCH_ON_SAID]
    against += [ELECTRICIAN_SAID] if kinds == {"gas"} else [ACID_SAID] if kinds == {"electric"} else []
    yield from (text for text in told if any(words.search(text) for words in against))


def unknown_entries(knowledge: Knowledge) -> Iterable[str]:
    """Repairs that no rule speaks of, and rules that speak of no repair or check."""
    yield from sorted(set(knowledge.repairs) ^ set(OWNER))
    yield from sorted(set(knowledge.repairs) ^ set(TECHNICIAN))
    yield from sorted(set(CHECKS) - set(knowledge.checks))
    yield from sorted(set(DANGERS) ^ set(knowledge.dangers))
