"""What entries of the second form say of themselves, which code knew by their ids in the first."""

from __future__ import annotations

from collections.abc import Mapping

ADDED: Mapping[tuple[str, str], Mapping[str, str | list[str]]] = {
    ("cause", "indicator_bleached"): {"bleaches_test": "yes"},
    ("caution", "acid_never_with_chlorine"): {"told_for": ["gas", "acid", "spent_acid"]},
    ("caution", "isolate_and_prove_dead"): {"told_for": ["isolating"]},
    ("caution", "licensed_electrician"): {"told_for": ["mains"]},
    ("caution", "tingle_keep_out"): {"told_for": ["danger"]},
    ("caution", "acid_into_water"): {"told_for": ["acid"]},
    ("caution", "splash_protection"): {"told_for": ["acid", "spent_acid", "splashing"]},
    ("caution", "never_bypass_flow_sensor"): {"told_for": ["making_gas"]},
    ("caution", "gas_in_cell"): {"told_for": ["venting"]},
    ("caution", "residual_current_protection"): {"told_for": ["switching_on"]},
    ("caution", "fuse_as_marked"): {"told_for": ["fusing"]},
    ("caution", "release_pressure"): {"told_for": ["opening"]},
    ("caution", "store_apart"): {"told_for": ["storing"]},
    ("caution", "swimmers_out"): {"told_for": ["dosing"]},
    ("caution", "bleached_test"): {"told_for": ["low_test"]},
    ("caution", "spent_acid"): {"told_for": ["spent_acid"]},
    ("caution", "no_scraping"): {"told_for": ["cleaning"]},
    ("caution", "not_on_undissolved_salt"): {"told_for": ["salting"]},
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
