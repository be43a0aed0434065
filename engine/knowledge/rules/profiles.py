"""Rules for unit profiles and roles: complete, and in order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from engine.foundation.problems import Problem
from engine.foundation.texts import told
from engine.knowledge.catalogue import Folder, answers_of
from engine.knowledge.model import REPORT_CHECK, ROLES
from engine.knowledge.required import DEFAULT_UNIT
from engine.knowledge.rules.references import answer_is_known, entry_is_there
from engine.knowledge.schema import NumberCheckForm


def salt_limits_rise(folder: Folder) -> Iterator[Problem]:
    """The salt limits of a unit rise: stop, low, ideal, high.

    Right: `salt: {stop: 2400, low: 2800, ideal: 3600, high: 4500}`.
    Wrong: `salt: {stop: 2800, low: 2400, ideal: 3600, high: 4500}`.
    """
    for placed in folder.units.values():
        for (lower, below), (upper, above) in pairwise(placed.form.salt):
            if above <= below:
                saying = told(
                    "mistakes_rules.profiles.salt", upper=upper, above=f"{above:g}", lower=lower, below=f"{below:g}"
                )
                yield placed.problem(("salt", upper), *saying)


def there_is_a_default_profile(folder: Folder) -> Iterator[Problem]:
    """There is a unit profile called `default`, for those who do not know their unit.

    Right: a file in units/ with `unit: default`.
    Wrong: only files with other names after `unit:`.
    """
    if folder.lacks("unit", DEFAULT_UNIT):
        yield Problem(f"{folder.name}/units", 1, 1, *told("mistakes_rules.profiles.no_default", unit=DEFAULT_UNIT))


def reports_tell_every_answer(folder: Folder) -> Iterator[Problem]:
    """`reports` has a sentence for each answer of the check `unit_report`, and for nothing else.

    Right: `reports: {normal: It says that all is well., nothing: It stays dark.}`, where these are all the answers.
    Wrong: `reports: {normal: It says that all is well.}`, where there are two.
    """
    known = answers_of(folder, REPORT_CHECK)
    for placed in folder.units.values():
        for answer in placed.form.reports:
            yield from answer_is_known(placed, ("reports", answer), REPORT_CHECK, answer, known)
        for answer in known or ():
            if answer not in placed.form.reports:
                saying = told("mistakes_rules.profiles.report_missing", answer=answer)
                yield placed.problem(("reports",), *saying, at_key=True)


def shown_numbers_are_checks(folder: Folder) -> Iterator[Problem]:
    """`shows_numbers` names number checks.

    Right: `shows_numbers: [unit_salt]`.
    Wrong: `shows_numbers: [unit_power]`, whose answers are words.
    """
    for placed in folder.units.values():
        for index, check in enumerate(placed.form.shows_numbers):
            yield from entry_is_there(folder, placed, ("shows_numbers", index), "check", check)
            if check in folder.checks and not isinstance(folder.checks[check].form, NumberCheckForm):
                saying = told("mistakes_rules.profiles.not_a_number", check=check)
                yield placed.problem(("shows_numbers", index), *saying)


def every_role_is_there(folder: Folder) -> Iterator[Problem]:
    """roles.yaml describes each of the roles counter, phone and field.

    Right: entries with `role: counter`, `role: phone` and `role: field`.
    Wrong: entries with `role: counter` and `role: field` only.
    """
    for role in ROLES:
        if folder.lacks("role", role):
            yield Problem(f"{folder.name}/roles.yaml", 1, 1, *told("mistakes_rules.profiles.no_role", role=role))
