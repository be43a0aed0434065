"""Rules for repairs: what they cure, what they take and who may do them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.knowledge.catalogue import Folder
from engine.knowledge.rules.references import entries_are_there, entry_is_there

_HANDS: Mapping[str, str] = {"call_electrician": "electrician", "other_trade": "other_trade"}
"""The decisions that hand a repair on, and whose work it then is."""


def cured_causes_list_the_repair(folder: Folder) -> Iterator[Problem]:
    """What a repair cures is a cause, and that cause lists the repair.

    Right: `repair: acid_clean` with `cures: {cell_scaled: usually}`, and `cell_scaled` has `repairs: [acid_clean]`.
    Wrong: `repair: acid_clean` with `cures: {cell_scaled: usually}`, and `cell_scaled` has `repairs: [new_cell]`.
    """
    for entry_id, placed in folder.repairs.items():
        for cause in placed.form.cures:
            yield from entry_is_there(folder, placed, ("cures", cause), "cause", cause, at_key=True)
            if cause in folder.causes and entry_id not in folder.causes[cause].form.repairs:
                saying = told("mistakes_rules.repairs.not_listed", cause=cause, repair=entry_id)
                yield placed.problem(("cures", cause), *saying, at_key=True)


def parts_are_known(folder: Folder) -> Iterator[Problem]:
    """The parts that a repair takes stand in parts.yaml.

    Right: `parts: {cell: 1}`.
    Wrong: `parts: {cel: 1}`.
    """
    for placed in folder.repairs.values():
        for part in placed.form.parts:
            yield from entry_is_there(folder, placed, ("parts", part), "part", part, at_key=True)


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
            yield placed.problem(("swap_back",), *told("mistakes_rules.repairs.no_swap", repair=form.repair))


def asked_again_are_checks(folder: Folder) -> Iterator[Problem]:
    """`ask_again` and `amount_from` name checks.

    Right: `ask_again: [unit_salt]`.
    Wrong: `ask_again: [salt_gap]`, which is computed and not asked.
    """
    for placed in folder.repairs.values():
        yield from entries_are_there(folder, placed, "ask_again", "check", placed.form.ask_again)
        yield from entries_are_there(folder, placed, "amount_from", "check", placed.form.amount_from)


def mains_work_is_an_electricians(folder: Folder) -> Iterator[Problem]:
    """A repair that needs mains work is an electrician's alone.

    Right: `needs: mains` with `who: [electrician]`.
    Wrong: `needs: mains` with `who: [technician, electrician]`.
    """
    for placed in folder.repairs.values():
        if placed.form.needs == "mains":
            for index, who in enumerate(placed.form.who):
                if who != "electrician":
                    yield placed.problem(("who", index), *told("mistakes_rules.repairs.not_on_mains", who=who))


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
                saying = told("mistakes_rules.repairs.not_theirs", decision=decision, who=who)
                yield placed.problem(("decision", role), *saying)
            for other_decision, other in _HANDS.items():
                if form.who == [other] and decision != other_decision:
                    saying = told(
                        "mistakes_rules.repairs.theirs_alone", decision=decision, who=other, other=other_decision
                    )
                    yield placed.problem(("decision", role), *saying)
