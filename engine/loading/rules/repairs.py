"""Rules for repairs: what they cure, what they take and who may do them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from engine.errors import Problem
from engine.loading.entries import Folder, work_of

__all__ = ["RULES"]

_HANDS: Mapping[str, str] = {"call_electrician": "electrician", "other_trade": "other_trade"}
"""The decisions that hand a repair on, and whose work it then is."""


def cured_causes_list_the_repair(folder: Folder) -> Iterator[Problem]:
    """What a repair cures is a cause, and that cause lists the repair.

    Right: `repair: acid_clean` with `cures: {cell_scaled: usually}`, and `cell_scaled` has `repairs: [acid_clean]`.
    Wrong: `repair: acid_clean` with `cures: {cell_scaled: usually}`, and `cell_scaled` has `repairs: [new_cell]`.
    """
    for entry_id, placed in folder.repairs.items():
        for cause in placed.form.cures:
            if folder.lacks("cause", cause):
                what = f"there is no cause `{cause}`"
                yield placed.problem(("cures", cause), what, folder.advice(cause, "cause"), True)
            elif cause in folder.causes and entry_id not in folder.causes[cause].form.repairs:
                what = f"`{cause}` does not list the repair `{entry_id}`"
                advice = "add it to the `repairs` of that cause, or take the cause out here"
                yield placed.problem(("cures", cause), what, advice, True)


def parts_are_known(folder: Folder) -> Iterator[Problem]:
    """The parts that a repair takes stand in parts.yaml.

    Right: `parts: {cell: 1}`.
    Wrong: `parts: {cel: 1}`.
    """
    for placed in folder.repairs.values():
        for part in placed.form.parts:
            if folder.lacks("part", part):
                yield placed.problem(("parts", part), f"there is no part `{part}`", folder.advice(part, "part"), True)


def what_is_swapped_back_is_in_the_van(folder: Folder) -> Iterator[Problem]:
    """A part is swapped in to try it only where it is in the van and the result shows at once.

    Right: `swap_back: 10` with `parts: {cell_lead: 1}`, in the van, and `result_shows: at once`.
    Wrong: `swap_back: 10` with `parts: {cell: 1}`, which is not in the van.
    """
    for placed in folder.repairs.values():
        form = placed.form
        if form.swap_back is None:
            continue
        away = [p for p in form.parts if p in folder.parts and folder.parts[p].form.in_van == "no"]
        if away or not form.parts or form.result_shows != "at once":
            what = f"`{form.repair}` cannot be swapped in to try it"
            advice = "leave `swap_back` out where a part is not in the van, there is none, or the result shows later"
            yield placed.problem(("swap_back",), what, advice)


def cautions_are_known(folder: Folder) -> Iterator[Problem]:
    """The cautions that a check or repair carries stand in cautions.yaml.

    Right: `cautions: [release_pressure]`.
    Wrong: `cautions: [relese_pressure]`.
    """
    for placed in work_of(folder):
        for index, caution in enumerate(placed.form.cautions):
            if folder.lacks("caution", caution):
                what = f"there is no caution `{caution}`"
                yield placed.problem(("cautions", index), what, folder.advice(caution, "caution"))


def asked_again_are_checks(folder: Folder) -> Iterator[Problem]:
    """`ask_again` names checks.

    Right: `ask_again: [unit_salt]`.
    Wrong: `ask_again: [salt_gap]`, which is computed and not asked.
    """
    for placed in folder.repairs.values():
        for index, check in enumerate(placed.form.ask_again):
            if folder.lacks("check", check):
                what = f"there is no check `{check}`"
                yield placed.problem(("ask_again", index), what, folder.advice(check, "check"))


def mains_work_is_an_electricians(folder: Folder) -> Iterator[Problem]:
    """A repair that needs mains work is an electrician's alone.

    Right: `needs: mains` with `who: [electrician]`.
    Wrong: `needs: mains` with `who: [technician, electrician]`.
    """
    for placed in folder.repairs.values():
        if placed.form.needs == "mains":
            for index, who in enumerate(placed.form.who):
                if who != "electrician":
                    what = f"`{who}` may not work on the mains"
                    yield placed.problem(("who", index), what, "leave `who: [electrician]`, or mend `needs`")


def handing_on_fits_who(folder: Folder) -> Iterator[Problem]:
    """A repair is handed to an electrician or another trade where it is theirs, and always where it is theirs alone.

    Right: `who: [electrician]` with `decision: {counter: call_electrician, ...}` in every role.
    Wrong: `who: [technician]` with `decision: {field: call_electrician, ...}`.
    """
    for placed in folder.repairs.values():
        form = placed.form
        for role, decision in form.decision:
            who = _HANDS.get(decision)
            if who is not None and who not in form.who:
                what = f"`{decision}` hands on what is not the work of `{who}`"
                yield placed.problem(("decision", role), what, f"add `{who}` to `who`, or decide otherwise")
            for other_decision, other in _HANDS.items():
                if form.who == [other] and decision != other_decision:
                    what = f"`{decision}` does not fit what is the work of `{other}` alone"
                    yield placed.problem(("decision", role), what, f"write `{other_decision}`, or mend `who`")


RULES: tuple[Callable[[Folder], Iterator[Problem]], ...] = (
    cured_causes_list_the_repair,
    parts_are_known,
    what_is_swapped_back_is_in_the_van,
    cautions_are_known,
    asked_again_are_checks,
    mains_work_is_an_electricians,
    handing_on_fits_who,
)
