"""Rules for causes: what they show, what makes them likelier, and their place among repairs and trees."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from engine.foundation.problems import Problem
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed, answers_of, observables
from engine.knowledge.model import SOMETHING_ELSE
from engine.knowledge.rules.references import answer_is_known, entries_are_there, entry_is_there
from engine.knowledge.schema import CauseForm, TreeForm

Said = tuple[Placed[CauseForm] | Placed[TreeForm], Path, str, Mapping[str, float]]
"""Where a cause speaks of a check: the entry, the way to it there, the check's id, and its numbers by answer."""


def _shown(folder: Folder) -> Iterator[Said]:
    """Everything that causes show, in the catalogue and behind one complaint only."""
    for cause in folder.causes.values():
        for check, answers in cause.form.shows.items():
            yield cause, ("shows", check), check, answers
    for tree in folder.trees.values():
        for name, shows in tree.form.here.items():
            for check, answers in shows.items():
                yield tree, ("here", name, check), check, answers


def _context(folder: Folder) -> Iterator[Said]:
    for cause in folder.causes.values():
        for check, answers in cause.form.likelier.items():
            yield cause, ("likelier", check), check, answers


def answers_are_known(folder: Folder) -> Iterator[Problem]:
    """`shows`, `likelier` and `here` name checks or derived findings and their own answers.

    Right: `shows: {cell_plates: {white_scale: usually}}`.
    Wrong: `shows: {cell_plates: {white_scales: usually}}`.
    """
    for placed, path, check, answers in (*_shown(folder), *_context(folder)):
        if folder.lacks("check", check) and folder.lacks("finding", check):
            what = say("mistakes_rules.no_such.check_or_finding", id=check)
            yield placed.problem(path, what, folder.advice(check, "check", "finding"), True)
        known = answers_of(folder, check)
        for answer in answers:
            yield from answer_is_known(placed, (*path, answer), check, answer, known)


def shares_fit(folder: Folder) -> Iterator[Problem]:
    """What a cause shows of one check adds up to 100 % at most, and to just that where no answer is left for the rest.

    Right: `union_leak: {drips: nearly always}`, which leaves 5 % to `dry`.
    Wrong: `union_leak: {drips: nearly always, dry: seldom}`, which is 105 %.
    """
    for placed, path, check, answers in _shown(folder):
        total = math.fsum(answers.values())
        if total > 1 + 1e-6:
            saying = told("mistakes_rules.causes.over_100", check=check, total=f"{total * 100:g}")
            yield placed.problem(path, *saying, at_key=True)
        observable = observables(folder).get(check)
        usual: Mapping[str, float] = {} if observable is None else observable.form.usual
        unsaid = sum(share for answer, share in usual.items() if answer not in answers)
        if usual and not unsaid and total < 1 - 1e-6:
            saying = told("mistakes_rules.causes.under_100", check=check, total=f"{total * 100:g}")
            yield placed.problem(path, *saying, at_key=True)


def context_is_no_symptom(folder: Folder) -> Iterator[Problem]:
    """For one cause a check is something that it shows or something that makes it likelier, never both.

    Right: `likelier: {months_since_clean: {overdue: 3 times}}` and no `months_since_clean` under `shows`.
    Wrong: `shows: {hardness: {hard: usually}}` with `likelier: {hardness: {hard: twice}}`.
    """
    for entry_id, placed in folder.causes.items():
        for check in placed.form.likelier:
            if check in placed.form.shows:
                what = say("mistakes_rules.causes.shown_already", check=check, cause=entry_id)
                yield placed.problem(("likelier", check), what, say("mistakes_rules.causes.before_or_after"), True)
    for tree in folder.trees.values():
        for cause, shows in tree.form.here.items():
            for check in shows:
                if cause in folder.causes and check in folder.causes[cause].form.likelier:
                    what = say("mistakes_rules.causes.context_already", check=check, cause=cause)
                    advice = say("mistakes_rules.causes.before_or_after")
                    yield tree.problem(("here", cause, check), what, advice, True)


def not_with_names_causes(folder: Folder) -> Iterator[Problem]:
    """`not_with` names other causes.

    Right: `cause: salt_low` with `not_with: [salt_high]`.
    Wrong: `cause: salt_low` with `not_with: [salt_low]`.
    """
    for entry_id, placed in folder.causes.items():
        for index, other in enumerate(placed.form.not_with):
            if other == entry_id:
                saying = told("mistakes_rules.causes.names_itself", cause=entry_id)
                yield placed.problem(("not_with", index), *saying)
            else:
                yield from entry_is_there(folder, placed, ("not_with", index), "cause", other)


def distrusts_names_checks(folder: Folder) -> Iterator[Problem]:
    """`distrusts` names checks.

    Right: `cause: salt_undissolved` with `distrusts: [tested_salt]`.
    Wrong: `cause: salt_undissolved` with `distrusts: [tested_slat]`.
    """
    for placed in folder.causes.values():
        yield from entries_are_there(folder, placed, "distrusts", "check", placed.form.distrusts)


def repairs_cure(folder: Folder) -> Iterator[Problem]:
    """Each repair of a cause is there and cures that cause.

    Right: `cause: cell_scaled` with `repairs: [acid_clean]`, and `acid_clean` has `cures: {cell_scaled: usually}`.
    Wrong: `cause: cell_scaled` with `repairs: [acid_clean]`, and `acid_clean` has `cures: {cell_worn: usually}`.
    """
    for entry_id, placed in folder.causes.items():
        for index, repair in enumerate(placed.form.repairs):
            yield from entry_is_there(folder, placed, ("repairs", index), "repair", repair)
            if repair in folder.repairs and entry_id not in folder.repairs[repair].form.cures:
                saying = told("mistakes_rules.causes.not_cured", repair=repair, cause=entry_id)
                yield placed.problem(("repairs", index), *saying)


def causes_stand_in_trees(folder: Folder) -> Iterator[Problem]:
    """Every cause stands in the numbers of at least one tree, or it would never be found.

    Right: `cause: cell_scaled`, and `of_100_calls: {cell_scaled: 24, ...}` in some tree.
    Wrong: `cause: cell_scaled`, and no tree names it.
    """
    named = {cause for tree in folder.trees.values() for cause in tree.form.of_100_calls}
    for entry_id, placed in folder.causes.items():
        if entry_id == SOMETHING_ELSE:
            yield placed.problem(("cause",), *told("mistakes_rules.causes.stands_for_others", cause=SOMETHING_ELSE))
        elif entry_id not in named and folder.is_whole("tree"):
            yield placed.problem(("cause",), *told("mistakes_rules.causes.not_counted", cause=entry_id))
