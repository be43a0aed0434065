"""Rules for checks: their usual answers, their units, and the first question of every call."""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.foundation.problems import Problem, advice_for, nearest
from engine.foundation.texts import say, told
from engine.knowledge.catalogue import Folder, Placed, answers_of, observables
from engine.knowledge.model import DANGER_CHECK
from engine.knowledge.rules.references import Kind, answer_is_known, answers_are_known, entry_is_there
from engine.knowledge.schema import CheckForm, ChoiceCheckForm, NumberCheckForm, RepairForm
from engine.quantities.units import UNIT_NAMES, is_unit

NO_DANGER = "none"


def usual_names_every_answer(folder: Folder) -> Iterator[Problem]:
    """`usual` gives a number to every answer or band of its check or finding, and to nothing else.

    Right: `answers: {dry: Dry, drips: Drips}` with `usual: {dry: 97, drips: 3}`.
    Wrong: `answers: {dry: Dry, drips: Drips}` with `usual: {dry: 97, drops: 3}`.
    """
    for entry_id, placed in observables(folder).items():
        known = answers_of(folder, entry_id) or ()
        usual = placed.form.usual
        for answer in usual:
            yield from answer_is_known(placed, ("usual", answer), entry_id, answer, known)
        for answer in known:
            if answer not in usual:
                saying = told("mistakes_rules.checks.usual_leaves_out", answer=answer)
                yield placed.problem(("usual",), *saying, at_key=True)


def usual_adds_up(folder: Folder) -> Iterator[Problem]:
    """The numbers of `usual` add up to 100.

    Right: `usual: {dry: 97, drips: 3}`.
    Wrong: `usual: {dry: 97, drips: 30}`.
    """
    for placed in observables(folder).values():
        total = math.fsum(placed.form.usual.values())
        if not math.isclose(total, 100, abs_tol=1e-6):
            saying = told("mistakes_rules.checks.usual_not_100", total=f"{total:g}")
            yield placed.problem(("usual",), *saying, at_key=True)


def pointless_answers_are_known(folder: Folder) -> Iterator[Problem]:
    """`pointless_if` names checks and their own answers.

    Right: `pointless_if: {unit_power: [dark]}`.
    Wrong: `pointless_if: {unit_power: [black]}`.
    """
    entries: list[Placed[CheckForm] | Placed[RepairForm]] = [*folder.checks.values(), *folder.repairs.values()]
    for placed in entries:
        yield from answers_are_known(folder, placed, "pointless_if", placed.form.pointless_if)


def what_a_record_says_is_there(folder: Folder) -> Iterator[Problem]:
    """`from_record` names a check, or with `times` a cause.

    Right: `from_record: {earlier: tested_salt}`.
    Wrong: `from_record: {earlier: salt}`.
    """
    for placed in folder.checks.values():
        for says, about in placed.form.from_record.items():
            kind: Kind = "cause" if says == "times" else "check"
            yield from entry_is_there(folder, placed, ("from_record", says), kind, about)


def former_answers_are_split(folder: Folder) -> Iterator[Problem]:
    """A former answer under `either` is none of the present ones, and stands for several of them.

    Right: `answers: {dry: Dry, drips: Drips, runs: Runs}` with `either: {wet: [drips, runs]}`.
    Wrong: `answers: {dry: Dry, drips: Drips, runs: Runs}` with `either: {drips: [drips, runs]}`.
    """
    for check, placed in folder.checks.items():
        known = placed.form.answers if isinstance(placed.form, ChoiceCheckForm) else {}
        for former, meant in getattr(placed.form, "either", {}).items():
            if former in known:
                saying = told("mistakes_rules.checks.former_is_present", answer=former)
                yield placed.problem(("either", former), *saying, at_key=True)
            for index, answer in enumerate(meant):
                path = ("either", former, index)
                yield from answer_is_known(placed, path, check, answer, known, at_key=False)


def units_are_known(folder: Folder) -> Iterator[Problem]:
    """`answer_in` is a unit in which the program can read what people type.

    Right: `answer_in: ppm`.
    Wrong: `answer_in: parts`.
    """
    for placed in folder.checks.values():
        form = placed.form
        if isinstance(form, NumberCheckForm) and not is_unit(form.answer_in):
            what = say("mistakes_rules.checks.no_unit", unit=form.answer_in)
            is_near = nearest(form.answer_in, UNIT_NAMES) is not None
            advice = advice_for(form.answer_in, UNIT_NAMES) if is_near else say("mistakes_rules.checks.units")
            yield placed.problem(("answer_in",), what, advice)


def danger_comes_first(folder: Folder) -> Iterator[Problem]:
    """There is the check `danger_now`, with answers, and its first answer is `none`.

    Right: `check: danger_now` with `answers: {none: No danger, tingle: Someone felt a tingle}`.
    Wrong: `check: danger_now` with `answers: {tingle: Someone felt a tingle, none: No danger}`.
    """
    placed = folder.checks.get(DANGER_CHECK)
    if placed is None:
        if folder.lacks("check", DANGER_CHECK):
            saying = told("mistakes_rules.checks.no_danger", check=DANGER_CHECK)
            yield Problem(f"{folder.name}/checks", 1, 1, *saying)
    elif not isinstance(placed.form, ChoiceCheckForm) or next(iter(placed.form.answers)) != NO_DANGER:
        saying = told("mistakes_rules.checks.danger_not_first", check=DANGER_CHECK, answer=NO_DANGER)
        yield placed.problem(("answers",), *saying, at_key=True)
