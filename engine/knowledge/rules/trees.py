"""Rules for trees: their numbers, what the complaint implies, and pairs of faults."""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.knowledge.build import ANY_PAIR, pair_of
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.model import SOMETHING_ELSE
from engine.knowledge.rules.references import answers_are_known, entry_is_there
from engine.knowledge.schema import TreeForm


def calls_add_up(folder: Folder) -> Iterator[Problem]:
    """The numbers of `of_100_calls` add up to 100.

    Right: `of_100_calls: {salt_low: 60, cell_scaled: 36, something_else: 4}`.
    Wrong: `of_100_calls: {salt_low: 60, cell_scaled: 30, something_else: 4}`.
    """
    for placed in folder.trees.values():
        total = math.fsum(placed.form.of_100_calls.values())
        if not math.isclose(total, 100, abs_tol=1e-6):
            advice = say("mistakes_rules.trees.add", missing=f"{100 - total:g}")
            if total > 100:
                advice = say("mistakes_rules.trees.take_away", excess=f"{total - 100:g}")
            what = say("mistakes_rules.trees.not_100", total=f"{total:g}")
            yield placed.problem(("of_100_calls",), what, advice, True)


def tree_causes_are_known(folder: Folder) -> Iterator[Problem]:
    """A tree counts causes of the catalogue, and `something_else` for those that it does not know.

    Right: `of_100_calls: {salt_low: 96, something_else: 4}`.
    Wrong: `of_100_calls: {salt_lo: 100}`.
    """
    for placed in folder.trees.values():
        counted = placed.form.of_100_calls
        for cause in counted:
            if cause != SOMETHING_ELSE:
                yield from entry_is_there(folder, placed, ("of_100_calls", cause), "cause", cause, at_key=True)
        if SOMETHING_ELSE not in counted:
            saying = told("mistakes_rules.trees.no_something_else", cause=SOMETHING_ELSE)
            yield placed.problem(("of_100_calls",), *saying, at_key=True)


def given_is_known(folder: Folder) -> Iterator[Problem]:
    """`given` names checks and their own answers.

    Right: `given: {unit_power: [lit]}`.
    Wrong: `given: {unit_power: [lighted]}`.
    """
    for placed in folder.trees.values():
        yield from answers_are_known(folder, placed, "given", placed.form.given)


def told_by_is_known(folder: Folder) -> Iterator[Problem]:
    """`told_by` names checks and their own answers, and no answer tells two complaints.

    Right: `told_by: {unit_report: [no_flow]}` in one tree alone.
    Wrong: the same line in two trees.
    """
    tellers: dict[tuple[str, str], str] = {}
    for placed in folder.trees.values():
        yield from answers_are_known(folder, placed, "told_by", placed.form.told_by)
        for check, answers in placed.form.told_by.items():
            for index, answer in enumerate(answers):
                other = tellers.setdefault((check, answer), placed.form.tree)
                if other != placed.form.tree:
                    saying = told("mistakes_rules.trees.told_twice", answer=answer, check=check, tree=other)
                    yield placed.problem(("told_by", check, index), *saying)


def pairs_can_be(folder: Folder) -> Iterator[Problem]:
    """Each line of `two_faults` names two different causes of this tree that can occur together, or says `any`.

    Right: `two_faults: {salt_low + cell_scaled: 3, any: 6}`.
    Wrong: `two_faults: {salt_low + salt_high: 3}`, where `salt_low` has `not_with: [salt_high]`.
    """
    for placed in folder.trees.values():
        seen: set[frozenset[str]] = set()
        for line in placed.form.two_faults:
            pair = pair_of(line)
            if line == ANY_PAIR:
                continue
            if pair is None:
                saying = told("mistakes_rules.trees.no_pair", line=line)
                yield placed.problem(("two_faults", line), *saying, at_key=True)
                continue
            for what, advice in _pair_faults(folder, placed, pair, seen):
                yield placed.problem(("two_faults", line), what, advice, True)
            seen.add(frozenset(pair))


def _pair_faults(
    folder: Folder, placed: Placed[TreeForm], pair: tuple[str, str], seen: set[frozenset[str]]
) -> Iterator[tuple[str, str]]:
    first, second = pair
    causes = [cause for cause in placed.form.of_100_calls if cause != SOMETHING_ELSE]
    strangers = [cause for cause in pair if cause not in causes]
    for cause in strangers:
        yield say("mistakes_rules.no_such.cause_here", id=cause), advice_for(cause, causes)
    if first == second:
        yield told("mistakes_rules.trees.same_twice", cause=first)
    elif frozenset(pair) in seen:
        yield told("mistakes_rules.trees.pair_twice")
    elif any(
        cause in folder.causes and other in folder.causes[cause].form.not_with
        for cause, other in ((first, second), (second, first))
    ):
        yield told("mistakes_rules.trees.exclude", first=first, second=second)


def two_faults_fit(folder: Folder) -> Iterator[Problem]:
    """The numbers of `two_faults` add up to 100 at most.

    Right: `two_faults: {salt_low + cell_scaled: 3, any: 6}`.
    Wrong: `two_faults: {salt_low + cell_scaled: 60, any: 60}`.
    """
    for placed in folder.trees.values():
        total = math.fsum(placed.form.two_faults.values())
        if total > 100:
            saying = told("mistakes_rules.trees.two_over_100", total=f"{total:g}")
            yield placed.problem(("two_faults",), *saying, at_key=True)


def here_speaks_of_its_causes(folder: Folder) -> Iterator[Problem]:
    """`here` speaks of causes that this tree counts.

    Right: `of_100_calls: {water_cold: 10, ...}` with `here: {water_cold: {water_temp: {cool: usually}}}`.
    Wrong: the same `here` in a tree that does not count `water_cold`.
    """
    for placed in folder.trees.values():
        causes = [cause for cause in placed.form.of_100_calls if cause != SOMETHING_ELSE]
        for cause in placed.form.here:
            if cause not in causes:
                what = say("mistakes_rules.no_such.cause_here", id=cause)
                yield placed.problem(("here", cause), what, advice_for(cause, causes), True)
