"""Rules for safety: work that can hurt carries its cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.knowledge.catalogue import Folder, work_of

ISOLATE = "isolate_and_prove_dead"
ELECTRICIAN = "licensed_electrician"
ACID = "cleaning_acid"
ACID_CAUTIONS = ("acid_into_water", "acid_never_with_chlorine", "splash_protection")


def isolated_work_says_so(folder: Folder) -> Iterator[Problem]:
    """A check or repair for which the plant is isolated carries the caution `isolate_and_prove_dead`.

    Right: `plant: isolated` with `cautions: [isolate_and_prove_dead]`.
    Wrong: `plant: isolated` with `cautions: [release_pressure]`.
    """
    for placed in work_of(folder):
        if placed.form.plant == "isolated" and ISOLATE not in placed.form.cautions:
            yield placed.problem(("plant",), *told("mistakes_rules.safety.not_isolated", caution=ISOLATE))


def acid_carries_its_cautions(folder: Folder) -> Iterator[Problem]:
    """A repair that takes `cleaning_acid` carries the three cautions that go with acid.

    Right: `parts: {cleaning_acid: 0.2 L}` with
    `cautions: [acid_into_water, acid_never_with_chlorine, splash_protection]`.
    Wrong: `parts: {cleaning_acid: 0.2 L}` with `cautions: [splash_protection]`.
    """
    for placed in folder.repairs.values():
        missing = [caution for caution in ACID_CAUTIONS if caution not in placed.form.cautions]
        if ACID in placed.form.parts and missing:
            named = ", ".join(f"`{caution}`" for caution in missing)
            yield placed.problem(("parts", ACID), *told("mistakes_rules.safety.acid", cautions=named), at_key=True)


def mains_checks_name_the_electrician(folder: Folder) -> Iterator[Problem]:
    """A check or repair that needs mains work carries the caution `licensed_electrician`.

    Right: `needs: mains` with `cautions: [licensed_electrician]`.
    Wrong: `needs: mains` without cautions.
    """
    for placed in work_of(folder):
        if placed.form.needs == "mains" and ELECTRICIAN not in placed.form.cautions:
            yield placed.problem(("needs",), *told("mistakes_rules.safety.mains", caution=ELECTRICIAN))


RULES: tuple[Callable[[Folder], Iterator[Problem]], ...] = (
    isolated_work_says_so,
    acid_carries_its_cautions,
    mains_checks_name_the_electrician,
)
