"""Rules for what the program counts on: entries that serve its own sentences."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.knowledge.catalogue import Folder
from engine.knowledge.model import REPORT_CHECK
from engine.knowledge.properties import PartUse
from engine.knowledge.schema import NumberCheckForm


def a_check_asks_for_the_report(folder: Folder) -> Iterator[Problem]:
    """There is the check `unit_report`, for whose answers each unit profile has its words.

    Right: `check: unit_report` in a file of checks/.
    Wrong: the same check under another id.
    """
    if folder.lacks("check", REPORT_CHECK):
        yield Problem(f"{folder.name}/checks", 1, 1, *told("mistakes_rules.required.no_report", check=REPORT_CHECK))


def parts_serve_what_is_told(folder: Folder) -> Iterator[Problem]:
    """There is a part that `is: hand_chlorine`, and where a cell is brought in, one that `is: spool`.

    Right: `part: chlorine_for_hand_dosing` with `is: hand_chlorine`.
    Wrong: no part with `is: hand_chlorine`, while sheets tell to dose chlorine by hand.
    """
    if not folder.is_whole("part"):
        return
    served = {placed.form.is_ for placed in folder.parts.values()}
    decisions = {decision for placed in folder.repairs.values() for _, decision in placed.form.decision}
    uses: tuple[PartUse, ...] = ("hand_chlorine", "spool") if "bring_cell" in decisions else ("hand_chlorine",)
    for use in uses:
        if use not in served:
            yield Problem(f"{folder.name}/parts.yaml", 1, 1, *told("mistakes_rules.required.no_part", use=use))


def an_acid_mix_takes_acid(folder: Folder) -> Iterator[Problem]:
    """A repair that works out `acid_mix` takes a part that `is: cleaning_acid`.

    Right: `works_out: [acid_mix]` with `parts: {cleaning_acid: 0.2 L}`.
    Wrong: `works_out: [acid_mix]` without parts.
    """
    if not folder.is_whole("part"):
        return
    acids = {name for name, placed in folder.parts.items() if placed.form.is_ == "cleaning_acid"}
    for placed in folder.repairs.values():
        if "acid_mix" in placed.form.works_out and acids.isdisjoint(placed.form.parts):
            yield placed.problem(("works_out",), *told("mistakes_rules.required.no_acid"), at_key=True)


def numbers_say_what_is_right(folder: Folder) -> Iterator[Problem]:
    """`should_be` names a band of its own check, and a check that tells the free chlorine has it.

    Right: `tells: free_chlorine` with `bands: {low: under 1, fine: the rest}` and `should_be: fine`.
    Wrong: the same with `should_be: good`, or without it.
    """
    for placed in folder.checks.values():
        form = placed.form
        if not isinstance(form, NumberCheckForm):
            continue
        if form.should_be is not None and form.should_be not in form.bands:
            what = say("mistakes_rules.no_such.band", id=form.should_be)
            yield placed.problem(("should_be",), what, advice_for(form.should_be, form.bands))
        if form.tells == "free_chlorine" and form.should_be is None:
            yield placed.problem(("tells",), *told("mistakes_rules.required.no_range"), at_key=True)
