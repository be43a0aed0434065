"""The shipped knowledge holds what the trade's vocabulary promises."""

from __future__ import annotations

import pytest

from engine.inference.compiling import compile_tree
from tests.shipped import knowledge
from tests.spoken.hearing import hear

KNOWLEDGE = knowledge()

# The ids that worked calls written by other people use; more may be added, none renamed or dropped.
CAUSES = """salt_low salt_high salt_undissolved demand_high stabiliser_low stabiliser_high output_short unit_undersized
indicator_bleached test_kit_bad water_cold cell_scaled cell_worn cell_debris cell_shorted cell_reversed cell_lead_bad
polarity_fixed pump_stopped timer_mismatch strainer_blocked filter_dirty air_leak valve_wrong pump_speed_low
flow_sensor_fouled flow_sensor_failed flow_sensor_lead_bad salt_sensing_off temp_sensor_off breaker_tripped
earth_leakage supply_dead supply_voltage_low fuse_blown power_pack_failed pack_wet union_oring_worn nothing_wrong
setting_too_high dosed_beside superchlorination_left_on demand_fell controller_off_true ph_high alkalinity_high
hardness_high water_corrosive flakes_shed filtration_short metals_in_water new_plaster_cures"""
PARTS = """cell union_oring union_nut flow_sensor flow_sensor_lead cell_lead power_pack pack_fuse temperature_sensor
cleaning_stand cleaning_acid dummy_spool salt stabiliser test_reagents bicarbonate chlorine_for_hand_dosing
skimmer_basket pump_basket pump_lid_oring filter_media terminal_grease"""
CAUTIONS = {
    "DANGER": "acid_never_with_chlorine isolate_and_prove_dead licensed_electrician tingle_keep_out",
    "WARNING": "acid_into_water splash_protection never_bypass_flow_sensor gas_in_cell residual_current_protection "
    "fuse_as_marked release_pressure store_apart",
    "CAUTION": "swimmers_out bleached_test spent_acid",
    "NOTICE": "no_scraping not_on_undissolved_salt not_below_its_limits",
}
CHECKS = {
    "danger_now": "none tingle burning_smell chlorine_smell water_on_electrics gas_in_cell_popping "
    "flow_sensor_bridged none_known",
    "unit_power": "lit dark flickers",
    "unit_report": "normal low_salt_running low_salt_stopped high_salt no_flow cold_water cell_service nothing",
    "pump_running": "running stopped",
    "timer_match": "together apart",
    "return_flow": "strong weak none",
    "skimmer_level": "mid_skimmer below_skimmer",
    "baskets": "clear torn blocked",
    "filter_pressure_rise": "kPa",
    "air_in_cell": "none some_bubbles large_pocket",
    "valves": "as_usual moved_or_part_closed",
    "pump_speed": "single_speed normal_speed low_speed",
    "union_leak": "dry drips",
    "water_lost": "yes_much little",
    "salt_added": "not_lately some_days_ago within_a_day",
    "within_hours": "inside outside",
    "fill_water": "old_water fresh_fill new_plaster",
    "owner_test": "ppm",
    "pack_heat": "cool_and_quiet warm_hum hot_or_smells",
    "water_look": "clear cloudy green",
    "bather_load": "usual heavy_or_storm",
    "output_setting": "%",
    "run_hours": "h",
    "pool_volume": "m³",
    "rated_output": "g/h",
    "months_since_clean": "months",
    "cell_age_years": "years",
    "unit_salt": "ppm",
    "unit_temp": "°C",
    "test_kit": "fresh expired_or_sun_stored",
    "tested_salt": "ppm",
    "water_temp": "°C",
    "free_chlorine": "ppm",
    "combined_chlorine": "ppm",
    "ph": "pH",
    "stabiliser": "ppm",
    "alkalinity": "ppm",
    "hardness": "ppm",
    "dilution_test": "still_low reads_higher",
    "cell_plates": "clean white_scale white_every_second debris coating_worn bent_or_bridged",
    "cell_direction": "with_flow against_flow",
    "cell_lead": "sound loose_or_corroded burnt",
    "flow_sensor_look": "clean scaled_or_dirty damaged",
    "flow_sensor_lead": "sound loose_or_corroded bridged",
    "pack_inside": "dry wet_or_insects burnt",
    "swap_cell": "fault_clears fault_stays",
    "cell_bubbles": "milky_stream faint none",
    "cell_voltage": "V",
    "cell_current": "A",
    "polarity_change": "reverses never_reverses",
    "flow_sensor_contact": "follows_flow stays_open stays_closed",
    "breaker": "not_tripped tripped_holds_after_reset trips_again",
    "trip_device": "overcurrent_breaker residual_current_device",
    "nominal_voltage": "V",
    "trip_pattern": "only_with_cell_connected cell_disconnected_too",
    "other_load": "works dead",
    "supply_voltage": "V",
    "cover": "off_or_none on_at_times closed_for_days",
    "unit_fuse": "intact blown blows_again",
}


def test_every_cause_and_part_of_the_vocabulary_is_there() -> None:
    assert set(CAUSES.split()) <= set(KNOWLEDGE.causes)
    assert set(PARTS.split()) <= set(KNOWLEDGE.parts)


@pytest.mark.parametrize("signal", CAUTIONS)
def test_every_caution_has_its_signal_word(signal: str) -> None:
    """Signal words by ANSI Z535 (from memory)."""
    assert {name: KNOWLEDGE.cautions[name].signal for name in CAUTIONS[signal].split()} == dict.fromkeys(
        CAUTIONS[signal].split(), signal
    )


@pytest.mark.parametrize("name", CHECKS)
def test_every_check_has_its_answers_or_its_unit(name: str) -> None:
    check = KNOWLEDGE.checks[name]
    if check.is_number:
        assert check.unit == CHECKS[name]
    else:
        # One that was split later stands for its parts.
        assert all(check.meant(answer) for answer in CHECKS[name].split())


def test_every_cause_can_be_told_from_the_usual_by_some_check() -> None:
    """A cause that shows nothing and is likelier nowhere could never be named."""
    silent = [c.id for c in KNOWLEDGE.causes.values() if not c.shows and not c.likelier]
    assert silent == []


def test_acid_and_mains_never_go_without_their_cautions() -> None:
    for repair in KNOWLEDGE.repairs.values():
        if any(need.part == "cleaning_acid" for need in repair.parts):
            for who in {"owner", "technician"} & set(repair.who):
                told = repair.work.cautions.owner if who == "owner" else repair.work.cautions.technician
                assert {"acid_into_water", "acid_never_with_chlorine", "splash_protection"} <= set(told)
        if repair.who == ("electrician",):
            assert "licensed_electrician" in repair.work.cautions.technician


def test_the_units_own_limits_follow_common_practice() -> None:
    """Common practice, no source: 2400 stops, 2800 warns, 3600 is ideal, 4500 is high; stops below 11 degC."""
    values = KNOWLEDGE.units["default"].values
    assert [values[f"salt.{name}"] for name in ("stop", "low", "ideal", "high")] == [2400, 2800, 3600, 4500]
    assert values["lockout"] == 11


@pytest.mark.parametrize("cause", ["cell_scaled", "cell_worn", "cell_lead_bad"])
def test_a_unit_that_asks_for_cell_service_speaks_for_the_cell_behind_low_salt_too(cause: str) -> None:
    """Common practice, no source: a unit asks for it when the cell draws too little; short of salt it asks for salt."""
    model = compile_tree(KNOWLEDGE, KNOWLEDGE.trees["low-salt"])
    asks = [answer.id for answer in KNOWLEDGE.checks["unit_report"].answers].index("cell_service")
    row = dict(zip(model.hypotheses, model.tables["unit_report"][asks], strict=True))
    assert row[cause,] > 10 * row["salt_low",]


def test_a_unit_that_calls_the_water_cold_speaks_for_cold_water_behind_low_salt_too() -> None:
    model = compile_tree(KNOWLEDGE, KNOWLEDGE.trees["low-salt"])
    says = [answer.id for answer in KNOWLEDGE.checks["unit_report"].answers].index("cold_water")
    row = dict(zip(model.hypotheses, model.tables["unit_report"][says], strict=True))
    assert row["water_cold",] == max(row[h] for h in model.hypotheses if len(h) == 1)


SAID: dict[str, tuple[str, str | float]] = {
    **dict.fromkeys(
        ("plates thick with white crust", "plates crusted white", "plates scaled up", "cell thick with scale"),
        ("cell_plates", "white_scale"),
    ),
    **dict.fromkeys(("pump 8 hours a day", "pump runs 8 hours", "pump on 8 h a day"), ("run_hours", 8.0)),
    **dict.fromkeys(("pump runs", "pump on", "pump running"), ("pump_running", "running")),
    "pump off": ("pump_running", "stopped"),
    **dict.fromkeys(("check cell", "unit asks for cell service", "inspect cell"), ("unit_report", "cell_service")),
}


@pytest.mark.parametrize("line", SAID)
def test_what_people_say_is_understood_as_they_mean_it(line: str) -> None:
    """Heard from people who tried the program; common practice, no source."""
    found = hear(line, KNOWLEDGE)
    facts = {fact.check: fact.value for fact in found.facts}
    check, value = SAID[line]
    assert facts[check] == value
    # A pump that is on for eight hours runs; who asks for its cell has the trouble of no output.
    assert facts.keys() <= {check, "pump_running", "complaint"}
