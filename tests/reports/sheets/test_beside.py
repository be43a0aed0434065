"""A caution stands at the step where it is met: never behind the act it warns of, nor later in Spanish."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib.resources import files

import pytest

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Repair
from reports.sheets.beside import step_of, unsaid, used_at
from tests.shipped import knowledge, models_in

ACTS = {
    "switch_off_and_lock": r"\bunplug|\bundo\b|open the (pump )?lid|take the sensor out|under the lid",
    "release_pressure": r"\bundo\b|open the (pump )?lid|take the sensor out|under the lid",
    "gas_in_cell": r"\bundo\b|take the sensor out",
    "acid_never_with_chlorine": r"one part acid|at most \[1 L\] of acid",
    "acid_into_water": r"one part acid|at most \[1 L\] of acid",
    "splash_protection": r"one part acid|at most \[1 L\] of acid|chlorine dose|[Aa]dd chlorine|small dose|tablets out",
    "stand_clear_at_start": r"[Ss]witch on the pump|[Pp]ump on again|set it on|run the pump two",
}
"""By which words of the English steps the act begins that a caution warns of, read from the steps alone."""


def owners_works() -> Iterator[tuple[Repair, str]]:
    for repair in knowledge().repairs.values():
        if "owner" in repair.who:
            cautions = repair.work.cautions.for_role("counter")
            yield from ((repair, caution) for caution in cautions)


@pytest.mark.parametrize("caution", ACTS)
def test_no_caution_stands_behind_its_act(caution: str) -> None:
    words, met = said("handout.beside.cautions")[caution], 0
    for repair, told in owners_works():
        acts = [n for n, step in enumerate(repair.steps.customer, 1) if re.search(ACTS[caution], step)]
        if told == caution and acts:
            met += 1
            assert step_of(words, repair.steps.customer) <= acts[0], repair.id
    assert met


def test_no_danger_or_warning_stands_later_in_spanish() -> None:
    english = said("handout.beside.cautions")
    here = {(r.id, c): step_of(english.get(c, ""), r.steps.customer) or 1 for r, c in owners_works()}
    use_language("es")
    try:
        other, there = said("handout.beside.cautions"), load_knowledge(files("faults"), "es").repairs
    finally:
        use_language("en")
    grave = {name for name, caution in knowledge().cautions.items() if caution.signal in ("DANGER", "WARNING")}
    later = {
        (repair, caution)
        for (repair, caution), step in here.items()
        if caution in grave and (step_of(other.get(caution, ""), there[repair].steps.customer) or 1) > step
    }
    assert later == set()


@pytest.mark.parametrize(
    ("caution", "step", "left"),
    [
        (
            "Lift bags with two people; wet tiles are slippery.",
            "Lift the bags with two people.",
            "Wet tiles are slippery.",
        ),
        ("Pump off; stand clear.", "Lift the pump lid off and stand clear.", "Pump off."),
        ("Pump off, gauge at zero.", "Lift the lid off the pump. The gauge? Note it at once. Zero it.", None),
        ("No flames.", "Keep flames away.", None),
    ],
)
def test_a_caution_is_left_out_beside_a_step_only_where_that_says_it_word_for_word(
    caution: str, step: str, left: str | None
) -> None:
    assert unsaid(caution, step) == (caution if left is None else left)


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_sold_for_an_owners_work_is_used_in_a_step_of_it(language: str) -> None:
    use_language(language)
    try:
        repairs = models_in(language).knowledge.repairs.values()
        known = said("handout.beside.parts")
        works = [(repair, need.part) for repair in repairs if "owner" in repair.who for need in repair.parts]
        lost = [(repair.id, part) for repair, part in works if not used_at(part, repair.steps.customer)]
    finally:
        use_language("en")
    assert [each for each in lost if each[1] in known] == []
