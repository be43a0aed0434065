"""Rules for trees: their numbers, what the complaint implies, and pairs of faults."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from engine.errors import Problem, advice_for
from engine.loading.building import ANY_PAIR, pair_of
from engine.loading.entries import Folder, Placed, answers_of
from engine.loading.schema import TreeForm
from engine.model import SOMETHING_ELSE

__all__ = ["RULES"]


def calls_add_up(folder: Folder) -> Iterator[Problem]:
    """The numbers of `of_100_calls` add up to 100.

    Right: `of_100_calls: {salt_low: 60, cell_scaled: 36, something_else: 4}`.
    Wrong: `of_100_calls: {salt_low: 60, cell_scaled: 30, something_else: 4}`.
    """
    for placed in folder.trees.values():
        total = math.fsum(placed.form.of_100_calls.values())
        if not math.isclose(total, 100, abs_tol=1e-6):
            advice = f"add {100 - total:g}" if total < 100 else f"take {total - 100:g} away"
            yield placed.problem(("of_100_calls",), f"`of_100_calls` adds up to {total:g}, not to 100", advice, True)


def tree_causes_are_known(folder: Folder) -> Iterator[Problem]:
    """A tree counts causes of the catalogue, and `something_else` for those that it does not know.

    Right: `of_100_calls: {salt_low: 96, something_else: 4}`.
    Wrong: `of_100_calls: {salt_lo: 100}`.
    """
    for placed in folder.trees.values():
        counted = placed.form.of_100_calls
        for cause in counted:
            if cause != SOMETHING_ELSE and folder.lacks("cause", cause):
                what = f"there is no cause `{cause}`"
                yield placed.problem(("of_100_calls", cause), what, folder.advice(cause, "cause"), True)
        if SOMETHING_ELSE not in counted:
            what = f"`of_100_calls` leaves out `{SOMETHING_ELSE}`"
            yield placed.problem(("of_100_calls",), what, "say how many of the 100 have a cause not listed here", True)


def given_is_known(folder: Folder) -> Iterator[Problem]:
    """`given` names checks and their own answers.

    Right: `given: {unit_power: [lit]}`.
    Wrong: `given: {unit_power: [lighted]}`.
    """
    for placed in folder.trees.values():
        for check, answers in placed.form.given.items():
            if folder.lacks("check", check):
                what = f"there is no check `{check}`"
                yield placed.problem(("given", check), what, folder.advice(check, "check"), True)
            known = answers_of(folder, check) if check in folder.checks else None
            for index, answer in enumerate(answers):
                if known is not None and answer not in known:
                    what = f"`{answer}` is no answer of `{check}`"
                    yield placed.problem(("given", check, index), what, advice_for(answer, known))


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
                what = f"`{line}` does not name two causes"
                yield placed.problem(("two_faults", line), what, "write `one_cause + another_cause`, or `any`", True)
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
        yield f"`{cause}` is no cause of this tree", advice_for(cause, causes)
    if first == second:
        yield f"`{first}` stands twice in the pair", "name two different causes"
    elif frozenset(pair) in seen:
        yield "this pair stands here already", "keep one of the two lines"
    elif any(
        cause in folder.causes and other in folder.causes[cause].form.not_with
        for cause, other in ((first, second), (second, first))
    ):
        yield f"`{first}` and `{second}` exclude each other by `not_with`", "take out the pair, or the `not_with`"


def two_faults_fit(folder: Folder) -> Iterator[Problem]:
    """The numbers of `two_faults` add up to 100 at most.

    Right: `two_faults: {salt_low + cell_scaled: 3, any: 6}`.
    Wrong: `two_faults: {salt_low + cell_scaled: 60, any: 60}`.
    """
    for placed in folder.trees.values():
        total = math.fsum(placed.form.two_faults.values())
        if total > 100:
            yield placed.problem(("two_faults",), f"`two_faults` adds up to {total:g}", "make it 100 or less", True)


def here_speaks_of_its_causes(folder: Folder) -> Iterator[Problem]:
    """`here` speaks of causes that this tree counts.

    Right: `of_100_calls: {water_cold: 10, ...}` with `here: {water_cold: {water_temp: {cool: usually}}}`.
    Wrong: the same `here` in a tree that does not count `water_cold`.
    """
    for placed in folder.trees.values():
        causes = [cause for cause in placed.form.of_100_calls if cause != SOMETHING_ELSE]
        for cause in placed.form.here:
            if cause not in causes:
                what = f"`{cause}` is no cause of this tree"
                yield placed.problem(("here", cause), what, advice_for(cause, causes), True)


RULES: tuple[Callable[[Folder], Iterator[Problem]], ...] = (
    calls_add_up,
    tree_causes_are_known,
    given_is_known,
    pairs_can_be,
    two_faults_fit,
    here_speaks_of_its_causes,
)
