"""Which cautions belong on which paper: rules of the trade as tables, written without the code that decides.

They are common practice and judgement, no source; none of them is read from the hazards file.
"""

from __future__ import annotations

from collections.abc import Mapping

# `name` must stand as a box, `name~` must be told, in a box or in a line, `name?` may stand and need not.
_OPEN_CELL = "release_pressure gas_in_cell closed_rooms~"
# The lone ways in which two kinds meet at a dose by hand: the skimmer with its tablets, a second product.
DOSE = "splash_protection swimmers_out acid_never_with_chlorine~ never_mix_chlorines~ store_apart?"
_BENCH_ACID = (
    "acid_never_with_chlorine acid_into_water splash_protection spent_acid~ store_apart~ closed_rooms~ no_scraping~"
)
# Whoever has too much chlorine opens the cover, and nobody bathes; whoever doses acid into a pool does as at the bench.
EXCESS = "swimmers_out bleached_test?"
_COVER = f"{EXCESS} cover_wide_open"
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
    "raise_output": f"{DOSE} bleached_test~",
    "larger_unit": DOSE,
    "dilute_and_retest": "bleached_test swimmers_out~",
    "new_reagents": "bleached_test~",
    "wait_for_warmth": f"{DOSE} not_below_its_limits~",
    "see_to_heater": f"{DOSE} not_below_its_limits~",
    "wait_for_plaster": DOSE,
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
    "use_up_neutraliser": f"{DOSE} bleached_test~",
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
    "mend_controller": EXCESS,
    "mend_output": f"{EXCESS} switch_off_and_lock?",
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

ISOLATED = "isolate_and_prove_dead"
_FOR_PACK = f"{ISOLATED} licensed_electrician"
_ELECTRICIANS = f"{_FOR_PACK} {_BOARD}"
_LIVE = "low_voltage_high_current"
_TECHNICIAN: Mapping[str, str] = {
    **{
        name: boxes.replace("switch_off_and_lock?", "").replace("switch_off_and_lock", ISOLATED)
        for name, boxes in OWNER.items()
    },
    "larger_unit": f"{_FOR_PACK} residual_current_protection~ never_bypass_flow_sensor~ {_OPEN_CELL}",
    "new_union_nut": f"{ISOLATED} {_OPEN_CELL}",
    "realign_pipes": f"{ISOLATED} {_OPEN_CELL}",
    "renew_cracked_cell": f"{ISOLATED} {_OPEN_CELL} never_bypass_flow_sensor",
    "trace_drip": "release_pressure",
    # A technician brings the pH down before the strong dose; for an owner that is a work of its own.
    "superchlorinate": f"{OWNER['superchlorinate']} never_mix_chlorines~ acid_into_water~",
    "fit_right_cell": f"{ISOLATED} {_OPEN_CELL} never_bypass_flow_sensor~ no_scraping~ not_below_its_limits?",
    "renew_shorted_cell": f"{_LIVE} {_FOR_PACK} fuse_as_marked {_REFITTED} no_scraping~ not_below_its_limits?",
    "renew_cell_lead": f"{_LIVE} {ISOLATED} hot_parts~ fuse_as_marked~",
    "renew_power_pack": f"{_LIVE} {_FOR_PACK} fuse_as_marked~ residual_current_protection~ never_bypass_flow_sensor?",
    "dry_power_pack": f"{_LIVE} {_FOR_PACK} fuse_as_marked? residual_current_protection tingle_keep_out~",
    "new_pack_fuse": f"{_LIVE} {_FOR_PACK} fuse_as_marked",
    "find_insulation_fault": _ELECTRICIANS,
    "restore_supply": _ELECTRICIANS,
    "correct_supply": _ELECTRICIANS,
    "restore_pump": f"{ISOLATED} release_pressure stand_clear_at_start hot_parts~",
    "repair_pump": f"{_FOR_PACK} release_pressure stand_clear_at_start hot_parts~",
    "new_pump": f"{_FOR_PACK} release_pressure stand_clear_at_start hot_parts~",
    "clear_restriction": f"{ISOLATED} {_OPEN_CELL} keep_suction_open stand_clear_at_start",
    "cool_pack": f"{_FOR_PACK} hot_parts~",
    "renew_pack_and_clean": f"{_FOR_PACK} fuse_as_marked {_OPEN_CELL} {_BENCH_ACID} residual_current_protection~ "
    "never_bypass_flow_sensor?",
    "new_flow_sensor": f"{ISOLATED} never_bypass_flow_sensor {_OPEN_CELL}",
    "new_flow_sensor_lead": f"{ISOLATED} never_bypass_flow_sensor",
    "mend_output": f"{_LIVE} {_FOR_PACK} residual_current_protection never_bypass_flow_sensor",
    "recalibrate_salt": "not_below_its_limits?",
    # Hours are set, or a sensor is fitted that may share the flow sensor's body: the last safeguard is named.
    "new_temperature_sensor": f"{ISOLATED} {_OPEN_CELL} not_below_its_limits? never_bypass_flow_sensor~",
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
    "cell_plates": f"{ISOLATED} {_OPEN_CELL} no_scraping~",
    "union_ring": f"{ISOLATED} {_OPEN_CELL}",
    "cell_lead": f"{ISOLATED} hot_parts~",
    "flow_sensor_look": f"{ISOLATED} {_OPEN_CELL}",
    "flow_sensor_lead": f"{ISOLATED} never_bypass_flow_sensor",
    "pack_inside": f"{ISOLATED} licensed_electrician",
    "swap_cell": f"{ISOLATED} {_OPEN_CELL} residual_current_protection?",
    "unit_fuse": f"{ISOLATED} licensed_electrician fuse_as_marked",
    "cell_voltage": "low_voltage_high_current",
    "cell_current": "low_voltage_high_current",
    "polarity_change": "low_voltage_high_current",
    "flow_sensor_contact": "never_bypass_flow_sensor",
    "breaker": _BOARD,
    "trip_pattern": f"{ISOLATED} licensed_electrician residual_current_protection",
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
