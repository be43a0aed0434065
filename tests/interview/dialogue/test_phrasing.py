"""The interview's own sentences."""

from __future__ import annotations

from dataclasses import replace

from engine.knowledge.model import Steps, Wording
from interview.dialogue.phrasing import separates, short_name, standing, steps_to_do, units_understood
from interview.understanding.keywords import shown_commands
from tests.shipped import knowledge


def test_the_standing_names_the_likely_with_their_chance_and_the_rest_without() -> None:
    line = standing(knowledge(), {"cell_scaled": 0.7, "cell_worn": 0.12, "salt_low": 0.02}, 0.03)
    scale, worn = (short_name(knowledge(), (cause,)) for cause in ("cell_scaled", "cell_worn"))
    assert line == f"So far: {scale} (likely); after that {worn}."


def test_where_nothing_stands_out_the_standing_says_so() -> None:
    assert standing(knowledge(), {"cell_scaled": 0.15, "cell_worn": 0.12}, 0.03).startswith("Still open; possibly ")


def test_a_fault_the_trees_do_not_know_is_named_too() -> None:
    assert "something else (likely)" in standing(knowledge(), {"cell_scaled": 0.2}, 0.7)


def test_a_pair_is_named_by_both() -> None:
    assert " + " in short_name(knowledge(), ("cell_scaled", "salt_low"))


def test_help_says_for_which_cause_each_answer_speaks() -> None:
    check, tree = knowledge().checks["cell_plates"], knowledge().trees["no-output"]
    lines = separates(knowledge(), tree, check, ["cell_scaled", "cell_worn"], "field")
    scale = next(a.wording.technician for a in check.answers if a.id == "white_scale")
    assert any(scale in line and short_name(knowledge(), ("cell_scaled",)) in line for line in lines)


def test_the_last_of_the_steps_to_do_says_when_it_is_done() -> None:
    repair = replace(
        knowledge().repairs["add_salt"],
        steps=Steps(("Add 3.5 kg.", "Test again."), ("Dose.",)),
        done_when=Wording("the test is in range.", ""),
    )
    assert steps_to_do(repair, "phone") == ("Add 3.5 kg.", "Test again. Done when the test is in range.")
    assert steps_to_do(repair, "field") == ("Dose.",)


def test_every_unit_of_a_check_says_what_it_is_understood_in() -> None:
    units = {check.unit for check in knowledge().checks.values() if check.unit}
    assert all(units_understood(unit) for unit in units)


def test_every_command_has_a_meaning_that_fits_a_narrow_help_screen() -> None:
    assert all(meaning and len(word) <= 12 for word, meaning in shown_commands())
