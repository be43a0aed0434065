"""A card is the session's own strategy: every box what it would do next, every way accounted for, every path ending."""

from __future__ import annotations

import math

import pytest

from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event
from engine.session.session import Session
from reports.card.branches import AT, HELPED, NOT_HELPED, NOT_KNOWN
from reports.card.unroll import FEWEST, Box, unroll
from tests.reports.card.cards import TREES, card
from tests.shipped import knowledge, models

QUICK = [tree for tree in TREES if tree != "no-output"]
OPEN = ("check", "repair")


def plants(box: Box) -> str:
    return Session(models(), box.events).job.plant


@pytest.mark.parametrize("tree", TREES)
def test_it_has_25_boxes_at_most_and_all_are_reached(tree: str) -> None:
    boxes = card(tree).boxes
    assert len(boxes) <= 25
    assert [box.number for box in boxes] == list(range(1, len(boxes) + 1))
    reached, waiting = set(), [1]
    while waiting:
        number = waiting.pop()
        if number not in reached:
            reached.add(number)
            waiting += [way.goal for way in boxes[number - 1].ways]
    assert reached == {box.number for box in boxes}


@pytest.mark.parametrize("tree", TREES)
def test_every_path_ends(tree: str) -> None:
    """Nobody goes round in a circle, and whatever has no way on is an end."""
    boxes = card(tree).boxes

    def longest(number: int, seen: tuple[int, ...]) -> int:
        assert number not in seen
        return 1 + max((longest(way.goal, (*seen, number)) for way in boxes[number - 1].ways), default=0)

    assert longest(1, ()) <= len(boxes)
    assert {box.kind for box in boxes if not box.ways} <= {"hand_on", "safe", "done", "help"}


@pytest.mark.parametrize("tree", TREES)
def test_the_ways_out_of_a_box_add_up_to_all_calls(tree: str) -> None:
    for box in card(tree).boxes:
        if box.ways:
            assert math.isclose(sum(way.probability for way in box.ways), 1.0, abs_tol=1e-9)
    ends = sum(box.probability for box in card(tree).boxes if not box.ways)
    assert math.isclose(ends, 1.0, abs_tol=1e-6)


@pytest.mark.parametrize("tree", TREES)
def test_every_answer_of_a_check_stands_at_its_box_once(tree: str) -> None:
    for box in card(tree).boxes:
        said = [answer for way in box.ways for answer in way.answers]
        assert len(said) == len(set(said))
        if box.kind == "check":
            # The complaint leaves some answers open; a number that completes a derived finding may show any.
            every = {answer.id for answer in knowledge().checks[box.about].answers}
            given = set(knowledge().trees[tree].given.get(box.about, every))
            assert given <= set(said) <= every | {NOT_KNOWN}
        elif box.ways:
            assert set(said) == {HELPED, NOT_HELPED}


@pytest.mark.parametrize("tree", TREES)
def test_it_begins_with_the_danger_and_a_danger_always_means_to_make_safe(tree: str) -> None:
    first = card(tree).boxes[0]
    assert first.about == DANGER_CHECK
    led = {answer: card(tree).boxes[way.goal - 1] for way in first.ways for answer in way.answers}
    reports = {answer.id for answer in models().knowledge.checks[DANGER_CHECK].answers if answer.reports}
    assert reports < led.keys()
    assert {box.kind for answer, box in led.items() if answer in reports} == {"safe"}
    assert led["none"].kind == led["none_known"].kind == "check"


@pytest.mark.parametrize("tree", QUICK)
def test_a_box_is_what_the_session_would_do_next(tree: str) -> None:
    """For every answer of every check box that is not cut: the same answers in a new interview give the same act."""
    boxes = card(tree).boxes
    for box in boxes:
        if box.kind != "check":
            continue
        for way in box.ways:
            goal = boxes[way.goal - 1]
            if goal.kind in OPEN:
                act = Session(models(), unswitched(goal)).next()
                assert (act.about if act.kind not in ("isolate", "switch_on") else switched(goal)) == goal.about
                assert Session(models(), goal.events).next().about == goal.about


def unswitched(box: Box) -> tuple[Event, ...]:
    return box.events[:-1] if box.before else box.events


def switched(box: Box) -> str:
    """After the switching that the session calls for, what it does next."""
    act = Session(models(), unswitched(box)).next()
    assert act.kind == {"isolate": "isolate", "switch_on": "switch_on"}[box.before]
    done = "made_safe" if act.kind == "isolate" else "switched_on"
    return Session(models(), (*unswitched(box), Event(done, AT, about=act.about))).next().about  # type: ignore[arg-type]


@pytest.mark.parametrize("tree", TREES)
def test_the_supply_is_off_for_all_that_needs_it_off(tree: str) -> None:
    """At a check or repair that wants the supply off it is off on the card too, by this box or one before it; and
    where this box switches it off, the caution to prove it dead stands in it."""
    for box in card(tree).boxes:
        known = knowledge().checks if box.kind == "check" else knowledge().repairs
        if box.kind in ("check", "repair", "last") and known[box.about].plant == "isolated":
            assert plants(box) == "isolated"
            assert "isolate_and_prove_dead" in box.cautions or not box.before
        if box.before == "isolate":
            assert "isolate_and_prove_dead" in box.cautions
            # To a box that many ways share some come with the supply on, and some with it off.
            assert box.kind == "last" or Session(models(), box.events[:-1]).job.plant == "running"


@pytest.mark.parametrize("tree", TREES)
def test_all_cautions_of_all_work_are_in_its_box(tree: str) -> None:
    for box in card(tree).boxes:
        if box.kind == "check":
            assert set(knowledge().checks[box.about].work.cautions.technician) <= set(box.cautions)
        repair = box.about if box.kind in ("repair", "last") else box.repair
        if repair:
            assert set(knowledge().repairs[repair].work.cautions.technician) <= set(box.cautions)


@pytest.mark.parametrize("tree", QUICK)
def test_only_rare_ways_are_given_up_and_no_check_is_made_for_nothing(tree: str) -> None:
    boxes = card(tree).boxes
    for box in boxes:
        assert box.kind not in OPEN or box.probability >= FEWEST
        goals = {boxes[way.goal - 1].kind for way in box.ways}
        assert box.kind != "check" or len(box.ways) > 1 or goals <= set(OPEN)


@pytest.mark.parametrize("most", [6, 8, 12, 18])
def test_a_smaller_card_fits_its_size(most: int) -> None:
    boxes = card("low-salt", most).boxes
    assert len(boxes) <= most
    kinds = {box.kind for box in boxes}
    assert "safe" in kinds
    # Where the card ends: more than it holds, or handed on.
    assert kinds & {"help", "hand_on"}


def test_the_same_knowledge_gives_the_same_card() -> None:
    assert unroll(models(), "cold-water") == unroll(models(), "cold-water")


def test_how_far_it_is_is_told_while_it_is_made() -> None:
    told: list[tuple[int, int]] = []
    unroll(models(), "cold-water", told=lambda done, most: told.append((done, most)))
    assert told
    assert all(0 < done <= most <= 25 for done, most in told)


@pytest.mark.parametrize("tree", ["no-such-tree"])
def test_an_unknown_tree_is_no_card(tree: str) -> None:
    with pytest.raises(LookupError):
        unroll(models(), tree)
