"""Rules for safety: work that can hurt carries its cautions."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.knowledge.catalogue import Folder, work_of
from engine.knowledge.cautions import told_for
from engine.knowledge.properties import Occasion
from engine.knowledge.schema import CheckForm, RepairForm


def isolated_work_says_so(folder: Folder) -> Iterator[Problem]:
    """A check or repair for which the plant is isolated carries the cautions told for `isolating`.

    Right: `plant: isolated` with `cautions: [isolate_and_prove_dead]`.
    Wrong: `plant: isolated` with `cautions: [release_pressure]`.
    """
    for placed in work_of(folder):
        if placed.form.plant == "isolated" and (missing := _not_carried(folder, placed.form, "isolating")):
            yield placed.problem(("plant",), *told("mistakes_rules.safety.not_isolated", cautions=missing))


def acid_carries_its_cautions(folder: Folder) -> Iterator[Problem]:
    """A repair that takes a part that `is: cleaning_acid` carries the cautions told for `acid`.

    Right: `parts: {cleaning_acid: 0.2 L}` with
    `cautions: [acid_into_water, acid_never_with_chlorine, splash_protection]`.
    Wrong: `parts: {cleaning_acid: 0.2 L}` with `cautions: [splash_protection]`.
    """
    acids = {name for name, placed in folder.parts.items() if placed.form.is_ == "cleaning_acid"}
    for placed in folder.repairs.values():
        taken = [part for part in placed.form.parts if part in acids]
        if taken and (missing := _not_carried(folder, placed.form, "acid")):
            yield placed.problem(
                ("parts", taken[0]), *told("mistakes_rules.safety.acid", cautions=missing), at_key=True
            )


def mains_checks_name_the_electrician(folder: Folder) -> Iterator[Problem]:
    """A check or repair that needs mains work carries the cautions told for `mains`.

    Right: `needs: mains` with `cautions: [licensed_electrician]`.
    Wrong: `needs: mains` without cautions.
    """
    for placed in work_of(folder):
        if placed.form.needs == "mains" and (missing := _not_carried(folder, placed.form, "mains")):
            yield placed.problem(("needs",), *told("mistakes_rules.safety.mains", cautions=missing))


def _not_carried(folder: Folder, form: CheckForm | RepairForm, occasion: Occasion) -> str:
    """The cautions told for an occasion that work does not carry, as a message names them; empty where none lacks."""
    forms = {name: placed.form for name, placed in folder.cautions.items()}
    return ", ".join(f"`{name}`" for name in told_for(forms, occasion) if name not in form.cautions)
