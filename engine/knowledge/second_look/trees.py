"""Doubts about trees: numbers that hardly go together, and words that two complaints share."""

from __future__ import annotations

from collections.abc import Iterator

from engine.knowledge.build import ANY_PAIR, pair_of
from engine.knowledge.catalogue import Folder
from engine.knowledge.model import SOMETHING_ELSE
from engine.knowledge.second_look.doubt import Doubt, to_tell

MOST_OF_ONE = 80
"""So many of 100 calls have one cause at most: judgement; a complaint with more is no question."""
UNKNOWN = (1, 20)
"""So many of 100 calls have a cause that nobody listed: judgement."""
MOST_PAIRS = 30
"""So many of 100 calls have two faults at most: judgement."""


def no_cause_is_nearly_all(folder: Folder) -> Iterator[Doubt]:
    """No cause has more than 80 of the 100 calls of a tree.

    Right: `of_100_calls: {water_cold: 68, salt_low: 29, something_else: 3}`.
    Wrong: `of_100_calls: {water_cold: 96, salt_low: 1, something_else: 3}`.
    """
    for placed in folder.trees.values():
        for cause, share in placed.form.of_100_calls.items():
            if share > MOST_OF_ONE and cause != SOMETHING_ELSE:
                saying = to_tell("second_look.trees.nearly_all", cause=cause, share=f"{share:g}")
                yield Doubt(placed, ("of_100_calls", cause), saying, cause)


def something_else_stays_possible(folder: Folder) -> Iterator[Doubt]:
    """Of 100 calls 1 to 20 have a cause that is not listed.

    Right: `of_100_calls: {salt_low: 96, something_else: 4}`.
    Wrong: `of_100_calls: {salt_low: 60, something_else: 40}`.
    """
    low, high = UNKNOWN
    for placed in folder.trees.values():
        share = placed.form.of_100_calls.get(SOMETHING_ELSE, low)
        if not low <= share <= high:
            saying = to_tell("second_look.trees.something_else", share=f"{share:g}", low=low, high=high)
            yield Doubt(placed, ("of_100_calls", SOMETHING_ELSE), saying)


def two_faults_are_rarer_than_one(folder: Folder) -> Iterator[Doubt]:
    """A pair of faults is no commoner than its commoner cause alone, and all pairs together are 30 of 100 at most.

    Right: `of_100_calls: {salt_low: 60, ...}` with `two_faults: {salt_low + cell_scaled: 3}`.
    Wrong: `of_100_calls: {salt_low: 2, cell_scaled: 1, ...}` with `two_faults: {salt_low + cell_scaled: 5}`.
    """
    for placed in folder.trees.values():
        alone = placed.form.of_100_calls
        for line, share in placed.form.two_faults.items():
            pair = pair_of(line)
            if (
                line != ANY_PAIR
                and pair is not None
                and share > (most := max(alone.get(cause, 100.0) for cause in pair))
            ):
                saying = to_tell("second_look.trees.common_pair", line=line, share=f"{share:g}", most=f"{most:g}")
                yield Doubt(placed, ("two_faults", line), saying, line)
        total = sum(placed.form.two_faults.values())
        if total > MOST_PAIRS:
            saying = to_tell("second_look.trees.many_pairs", total=f"{total:g}", most=MOST_PAIRS)
            yield Doubt(placed, ("two_faults",), saying, at_key=True)


def complaints_share_no_word(folder: Folder) -> Iterator[Doubt]:
    """A word under `names` opens one tree alone.

    Right: `names: [no chlorine]` in one tree, `names: [too much chlorine]` in another.
    Wrong: `names: [no chlorine]` in both.
    """
    owners: dict[str, str] = {}
    for tree, placed in folder.trees.items():
        for index, name in enumerate(placed.form.names):
            owner = owners.setdefault(" ".join(name.lower().split()), tree)
            if owner != tree:
                yield Doubt(
                    placed, ("names", index), to_tell("second_look.trees.shared_word", name=name, tree=owner), name
                )


def complaints_are_100_jobs(folder: Folder) -> Iterator[Doubt]:
    """The numbers of `of_100_jobs` add up to 100 at most.

    Right: three trees with `of_100_jobs: 30` each.
    Wrong: two trees with `of_100_jobs: 90` each.
    """
    counted = [placed for placed in folder.trees.values() if placed.form.of_100_jobs]
    total = sum(placed.form.of_100_jobs for placed in counted)
    if total > 100 + 1e-6:
        most = max(counted, key=lambda placed: placed.form.of_100_jobs)
        yield Doubt(most, ("of_100_jobs",), to_tell("second_look.trees.many_jobs", total=f"{total:g}"))


def causes_can_bring_the_complaint(folder: Folder) -> Iterator[Doubt]:
    """A cause that a tree counts shows what the complaint gives, in 1 of 100 such pools at least.

    Right: `given: {unit_report: [low_salt]}` and a cause with `shows: {unit_report: {low_salt: often}}`.
    Wrong: the same with `shows: {unit_report: {normal: 0.995}}`.
    """
    for placed in folder.trees.values():
        for check, answers in placed.form.given.items():
            for cause in placed.form.of_100_calls:
                if cause not in folder.causes:
                    continue
                said = placed.form.here.get(cause, {}).get(check) or folder.causes[cause].form.shows.get(check)
                left = 1 - sum(share for answer, share in (said or {}).items() if answer not in answers)
                unsaid = sum(said.get(answer, 0) for answer in answers) if said else 1
                if said and left < 0.01 and unsaid < 0.01:
                    saying = to_tell("second_look.trees.cannot_bring", cause=cause, check=check)
                    yield Doubt(placed, ("of_100_calls", cause), saying, f"{cause} {check}", at_key=True)
