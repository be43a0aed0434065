"""The laws of a card, over all trees: every path ends, none guesses, none energises what was found burnt or wet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

import pytest

from engine.knowledge.hazards import told_for
from engine.knowledge.model import DANGER_CHECK, Check, Repair, reader_of
from reports.card.boxes import OPEN, Box
from reports.card.branches import HELPED, NOT_HELPED, NOT_KNOWN
from reports.card.unroll import MOST_BOXES, OF_NOTE, unroll
from tests.reports.card.cards import TREES, card
from tests.shipped import knowledge, models

ROOM = 0.10
"""So many of a card's arrows may end in a hand-on for want of room."""


@dataclass(frozen=True)
class Path:
    """A way through a card: its boxes, what was answered at each, the supply when it comes there, what was found
    that keeps it off."""

    boxes: tuple[Box, ...] = ()
    answers: tuple[tuple[str, str], ...] = ()
    plants: tuple[str, ...] = ("running",)
    found: frozenset[str] = field(default_factory=frozenset)


@cache
def paths(tree: str) -> tuple[Path, ...]:
    """Every way through a card; of answers that go the same way one, and all that a reading of salt or what keeps the
    plant off may show."""
    return tuple(walked(tree, 1, Path()))


def walked(tree: str, number: int, path: Path) -> Iterator[Path]:
    box = card(tree).boxes[number - 1]
    switched = {"isolate": "isolated", "switch_on": "running"}.get(box.before, path.plants[-1])
    here = Path((*path.boxes, box), path.answers, (*path.plants[:-1], switched), path.found)
    if not box.ways:
        yield here
    for way in box.ways:
        for nth, answer in enumerate(way.answers):
            check = knowledge().checks[box.about] if box.kind == "check" else None
            keeps_off = check is not None and check.keeps_off(answer)
            if nth and not keeps_off and box.about not in ("tested_salt", "unit_salt"):
                continue
            plant = "running" if check is None else switched
            found = frozenset() if check is None else here.found | ({box.about} if keeps_off else set())
            further = Path(here.boxes, (*here.answers, (box.about, answer)), (*here.plants, plant), found)
            yield from walked(tree, way.goal, further)


def work_of(box: Box) -> Check | Repair | None:
    """The check or the repair that is made at a box."""
    return knowledge().checks[box.about] if box.kind == "check" else knowledge().repairs.get(box.mends_by or "")


UNLOOKED = {answer.id for answer in knowledge().checks[DANGER_CHECK].answers if answer.means == "not_looked_for"}
"""Whoever holds a card can look: that nobody has looked is no answer on it."""


@pytest.mark.parametrize("tree", TREES)
def test_every_box_is_reached_and_every_path_ends_in_a_box_without_ways(tree: str) -> None:
    boxes = card(tree).boxes
    assert len(boxes) <= MOST_BOXES
    assert [box.number for box in boxes] == list(range(1, len(boxes) + 1))
    assert {box.number for path in paths(tree) for box in path.boxes} == {box.number for box in boxes}
    for path in paths(tree):
        assert len({box.number for box in path.boxes}) == len(path.boxes)
        assert path.boxes[-1].kind not in OPEN


@pytest.mark.parametrize("tree", TREES)
def test_each_cause_of_note_is_mended_on_some_path_or_named_where_it_is_handed_on(tree: str) -> None:
    boxes = card(tree).boxes
    mended = {cause for box in boxes if box.mends_by for cause in knowledge().repairs[box.mends_by].cures}
    named = {cause for box in boxes for cause in box.causes}
    of_note = {cause for cause, share in knowledge().trees[tree].singles.items() if share >= OF_NOTE}
    assert of_note <= mended | named
    assert all(not box.ways and box.repair is None for box in boxes if box.causes)


@pytest.mark.parametrize("tree", TREES)
def test_at_most_one_arrow_in_ten_ends_in_a_hand_on_for_want_of_room(tree: str) -> None:
    boxes = card(tree).boxes
    arrows = [boxes[way.goal - 1].kind for box in boxes for way in box.ways]
    assert arrows.count("help") <= ROOM * len(arrows)


@pytest.mark.parametrize("tree", TREES)
def test_after_not_known_nothing_is_repaired_that_would_not_help_nearly_half_of_those_who_come(tree: str) -> None:
    """Not knowing goes on to a question, hands on, or leads to what helps so often that answers made no difference."""
    boxes = card(tree).boxes
    for box in boxes:
        for goal in (boxes[way.goal - 1] for way in box.ways if NOT_KNOWN in way.answers):
            assert goal.kind != "repair" or goal.helps >= 0.45, (box.number, goal.number, goal.helps)


@pytest.mark.parametrize("tree", TREES)
def test_what_is_done_finds_the_supply_as_it_needs_it(tree: str) -> None:
    for path in paths(tree):
        for box, plant in zip(path.boxes, path.plants, strict=True):
            work = work_of(box) if box.kind in OPEN else None
            assert work is None or work.plant in ("any", plant), (box.number, box.about)


@pytest.mark.parametrize("tree", TREES)
def test_nothing_is_energised_that_was_found_burnt_or_wet(tree: str) -> None:
    """Behind an answer that keeps the plant off, until something was mended: no check of a running plant, no switching
    on, no work in which something is switched on but what mends it."""
    for path in paths(tree):
        found = False
        for nth, box in enumerate(path.boxes):
            if found:
                work = work_of(box)
                assert box.before != "switch_on"
                assert work is None or box.kind not in OPEN or work.plant != "running", (box.number, box.about)
            if nth < len(path.answers) and box.kind == "check":
                found = found or knowledge().checks[box.about].keeps_off(path.answers[nth][1])
            elif box.kind == "repair":
                found = False


@pytest.mark.parametrize("tree", TREES)
def test_no_path_adds_salt_where_every_reading_of_it_is_in_range(tree: str) -> None:
    for path in paths(tree):
        for nth, box in enumerate(path.boxes):
            if box.kind == "repair" and box.about == "add_salt":
                read = [a for about, a in path.answers[:nth] if about in ("tested_salt", "unit_salt")]
                read = [answer for answer in read if answer != NOT_KNOWN]
                assert not read or not set(read) <= {"right", "high"}, path.answers[:nth]


@pytest.mark.parametrize("tree", TREES)
def test_what_a_repair_waits_for_was_asked_on_the_way_or_stands_in_its_box(tree: str) -> None:
    """A fuse waits for lead and plates. What is seen on a running plant is not looked at behind what keeps it off."""
    for path in paths(tree):
        told: set[str] = set()
        off = False
        for nth, box in enumerate(path.boxes):
            told |= {box.about, *box.first}
            if box.kind == "repair":
                waited = (knowledge().checks[name] for name in knowledge().repairs[box.about].waits_for)
                due = {check.id for check in waited if not (off and check.plant == "running")}
                assert due <= told, (box.number, box.about)
                off = False
            elif nth < len(path.answers):
                off = off or knowledge().checks[box.about].keeps_off(path.answers[nth][1])


@pytest.mark.parametrize("tree", TREES)
def test_each_hazard_s_caution_stands_in_the_box_of_its_act(tree: str) -> None:
    """What the interview shows before a check, a repair and a switching, the card shows in the box that has them."""
    for box in card(tree).boxes:
        work = work_of(box)
        if work is not None and box.kind in OPEN:
            assert set(work.work.cautions.for_role("field")) <= set(box.cautions), box.about
        if box.before:
            occasion = "isolating" if box.before == "isolate" else "switching_on"
            told = told_for(knowledge().acts, reader_of("field"), occasion)  # type: ignore[arg-type]
            assert set(told) <= set(box.cautions)


@pytest.mark.parametrize("tree", TREES)
def test_the_ways_out_of_a_box_add_up_to_all_calls(tree: str) -> None:
    boxes = card(tree).boxes
    for box in boxes:
        if box.ways:
            assert math.isclose(sum(way.probability for way in box.ways), 1.0, abs_tol=1e-9)
    assert math.isclose(sum(box.probability for box in boxes if not box.ways), 1.0, abs_tol=1e-6)


@pytest.mark.parametrize("tree", TREES)
def test_every_answer_of_a_check_stands_at_its_box_once_and_parts_something(tree: str) -> None:
    for box in card(tree).boxes:
        said = [answer for way in box.ways for answer in way.answers]
        assert len(said) == len(set(said))
        if box.kind == "check":
            # The complaint leaves some answers open; a number that completes a derived finding may show any.
            every = {answer.id for answer in knowledge().checks[box.about].answers}
            given = set(knowledge().trees[tree].given.get(box.about, every)) - UNLOOKED
            assert given <= set(said) <= every | {NOT_KNOWN}
            assert len(box.ways) > 1
        elif box.ways:
            assert set(said) == {HELPED, NOT_HELPED}


@pytest.mark.parametrize("tree", TREES)
def test_it_begins_with_the_danger_and_a_danger_always_means_to_make_safe(tree: str) -> None:
    first = card(tree).boxes[0]
    assert first.about == DANGER_CHECK
    led = {answer: card(tree).boxes[way.goal - 1] for way in first.ways for answer in way.answers}
    reports = {answer.id for answer in knowledge().checks[DANGER_CHECK].answers if answer.reports}
    assert reports < led.keys()
    assert {box.kind for answer, box in led.items() if answer in reports} == {"safe"}
    assert led.keys() == {"none", *reports}, "that nobody has looked is no answer to go on with"
    assert led["none"].kind == "check"


@pytest.mark.parametrize("most", [6, 12])
def test_a_smaller_card_fits_its_size(most: int) -> None:
    boxes = card("low-salt", most).boxes
    assert len(boxes) <= most
    kinds = {box.kind for box in boxes}
    assert "safe" in kinds
    # Where the card ends: more than it holds, or handed on.
    assert kinds & {"help", "hand_on"}


def test_the_same_knowledge_gives_the_same_card_and_tells_how_far_it_is() -> None:
    told: list[tuple[int, int]] = []
    assert unroll(models(), "cold-water", told=lambda done, most: told.append((done, most))) == card("cold-water")
    assert told
    assert all(0 < done <= most for done, most in told)


def test_an_unknown_tree_is_no_card() -> None:
    with pytest.raises(LookupError):
        unroll(models(), "no-such-tree")
