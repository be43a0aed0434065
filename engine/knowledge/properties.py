"""What entries may say of themselves so that code need not know them by name; faults/README.md tells each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Occasion = Literal[
    "danger",
    "gas",
    "isolating",
    "switching_on",
    "mains",
    "fusing",
    "acid",
    "spent_acid",
    "splashing",
    "storing",
    "dosing",
    "low_test",
    "salting",
    "opening",
    "venting",
    "making_gas",
    "cleaning",
    "hand_dosing",
    "cloudy_water",
]
"""What the program by itself lets people do; the act that is this says what it demands."""
Chlorine = Literal["lacking", "too_much", "as_tested"]
"""What a complaint says of the pool's chlorine: papers and doses obey it."""
Decision = Literal[
    "repair_here",
    "order_and_return",
    "sell_and_treat",
    "check_at_home",
    "bring_cell",
    "bring_pack",
    "send_technician",
    "call_electrician",
    "other_trade",
    "wait",
    "nothing_to_repair",
    "make_safe",
    "close_pool",
    "bring_sample",
    "quote",
    "look_and_call",
]
"""What becomes of a job."""
DECISIONS: tuple[Decision, ...] = get_args(Decision)
Reader = Literal["owner", "technician"]
"""Who does a work, and so whom its cautions are for."""
HazardKind = Literal[
    "mains",
    "low_voltage_high_current",
    "stored_pressure",
    "chlorine_gas",
    "hydrogen",
    "acid",
    "strong_chlorine",
    "drowning_and_entrapment",
    "lifting_and_slips",
    "hot_parts",
    "closed_rooms",
    "spoilt_equipment",
]
"""What can hurt people, and what can spoil the equipment."""
Meaning = Literal["current_may_leak", "water_stands", "heavy_use", "cloudy_water", "water_may_infect", "not_looked_for"]
"""What an answer means beyond what causes show of it."""
DangerKind = Literal["electric", "gas"]
"""What a danger hurts people by: current and fire, or gas that chokes, burns or bursts."""
Reading = Literal["free_chlorine", "owners_free_chlorine", "combined_chlorine", "months_since_clean"]
"""What a number check tells that doses and the maintenance plan count on."""
PartUse = Literal["cleaning_acid", "hand_chlorine", "salt", "spool", "tool"]
Work = Literal["water_to_swap", "setting", "unit_size", "acid_mix", "acid_for_ph", "balance", "chlorine_out"]
"""What a repair works out beside the amounts of its parts."""
PartComputation = Literal[
    "salt_dose",
    "stabiliser_dose",
    "bicarbonate_dose",
    "calcium_dose",
    "hand_chlorine",
    "strong_chlorine",
    "acid_neutraliser",
    "acid_for_ph",
    "acid_for_alkalinity",
    "soda_ash_for_ph",
]
"""What works out how much of a part is needed; its name stands behind `computed`."""
Place = Literal[
    "water",
    "strainer",
    "pump",
    "filter",
    "pipes",
    "flow_sensor",
    "cell",
    "cell_lead",
    "power_pack",
    "supply",
    "timer",
    "test_kit",
]
"""Where in the path of the water or of the power a cause sits; drawings mark it there."""
Remembered = Literal["stays", "ages"]
"""What an answer about a pool becomes by the next visit: what it was, or older by the time between."""
RecordSays = Literal["earlier", "months_since", "times"]
"""What a pool's record says of a check or a cause: its reading before, how long ago that was, how often it was so."""
Renewed = Literal["cleaning", "cell"]
"""What a repair makes new, so that the maintenance plan counts from it."""

PART_COMPUTATIONS: tuple[PartComputation, ...] = get_args(PartComputation)
OCCASIONS: tuple[Occasion, ...] = get_args(Occasion)
READERS: tuple[Reader, ...] = get_args(Reader)
HAZARD_KINDS: tuple[HazardKind, ...] = get_args(HazardKind)


@dataclass(frozen=True)
class PartAmount:
    """How much of a part: `value` in `unit`, which is empty for pieces; or the computation that works it out."""

    value: float = 0.0
    unit: str = ""
    computed: PartComputation | None = None
