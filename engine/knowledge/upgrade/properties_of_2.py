"""What entries of the second form say of themselves, which code knew by their ids in the first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

ADDED: Mapping[tuple[str, str], Mapping[str, str | list[str]]] = {
    ("cause", "indicator_bleached"): {"bleaches_test": "yes"},
    ("check", "owner_test"): {"tells": "owners_free_chlorine", "should_be": "fine"},
    ("check", "months_since_clean"): {"tells": "months_since_clean"},
    ("check", "tested_salt"): {"should_be": "right"},
    ("check", "free_chlorine"): {"tells": "free_chlorine", "should_be": "fine"},
    ("check", "combined_chlorine"): {"tells": "combined_chlorine"},
    ("check", "stabiliser"): {"should_be": "right"},
    ("part", "dummy_spool"): {"is": "spool"},
    ("part", "cleaning_acid"): {"is": "cleaning_acid"},
    ("part", "chlorine_for_hand_dosing"): {"is": "hand_chlorine"},
    ("repair", "replace_water"): {"works_out": ["water_to_swap"]},
    ("repair", "raise_output"): {"works_out": ["setting"]},
    ("repair", "larger_unit"): {"works_out": ["unit_size"]},
    ("repair", "dilute_and_retest"): {"stops_dosing": "yes"},
    ("repair", "new_reagents"): {"tests_anew": "yes"},
    ("repair", "acid_clean"): {"works_out": ["acid_mix", "acid_for_ph"], "renews": "cleaning"},
    ("repair", "new_cell"): {"renews": "cell"},
    ("tree", "supply-fault"): {"mains": "yes"},
}
"""Fields by the kind and id of the entry that gets them."""
MEANINGS: Mapping[str, Mapping[str, str]] = {
    "breaker": {"trips_again": "current_may_leak"},
    "pump_running": {"stopped": "water_stands"},
    "return_flow": {"none": "water_stands"},
    "bather_load": {"heavy_or_storm": "heavy_use"},
}
"""What answers mean, by their check and their id."""
REPORTS: Mapping[str, Mapping[str, str]] = {
    "danger_now": {danger: danger for danger in ("chlorine_smell", "water_on_electrics", "burning_smell", "tingle")},
}
"""The dangers that answers report, by their check and their id."""
COMPUTED: Mapping[str, str] = {
    "salt": "salt_dose",
    "stabiliser": "stabiliser_dose",
    "chlorine_for_hand_dosing": "hand_chlorine",
    "bicarbonate": "acid_neutraliser",
}
"""What `as computed` was worked out by, for each part."""
STRONG: Mapping[tuple[str, str], str] = {("superchlorinate", "chlorine_for_hand_dosing"): "strong_chlorine"}
"""The same where a repair has its own way."""
LET_GO: Mapping[tuple[str, str], Sequence[str]] = {
    ("check", "danger_now"): ["tingle_keep_out"],
    ("repair", "add_salt"): ["swimmers_out"],
    ("repair", "replace_water"): ["swimmers_out", "not_on_undissolved_salt"],
    ("repair", "circulate_and_retest"): ["swimmers_out"],
    ("repair", "add_stabiliser"): ["acid_never_with_chlorine", "store_apart"],
    ("repair", "new_cell"): ["never_bypass_flow_sensor"],
    ("repair", "renew_cell_lead"): ["licensed_electrician"],
    ("repair", "restore_pump"): ["licensed_electrician", "tingle_keep_out", "residual_current_protection"],
    ("repair", "set_timers"): ["licensed_electrician", "never_bypass_flow_sensor"],
    ("repair", "seal_suction"): ["gas_in_cell"],
    ("repair", "set_valves"): ["isolate_and_prove_dead", "never_bypass_flow_sensor", "release_pressure"],
}
"""Cautions that a shipped entry listed in the first form, and that none of its acts carries."""
