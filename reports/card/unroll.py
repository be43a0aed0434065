"""The card of a tree: its boxes as they are made, with what all the ways to a box come with."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from engine.inference.belief import causes_marginal
from engine.knowledge.hazards import told_for
from engine.knowledge.model import Check, Repair, RoleId, reader_of
from engine.knowledge.properties import Occasion
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.models import Models
from reports.card.boxes import ALWAYS, OPEN, Box, Card, Way
from reports.card.branches import Before, Following, opened
from reports.card.making import Making, Place

MOST_BOXES = 36
LEAST_BOXES = 6
OF_NOTE = 0.03
"""A cause of so many calls in 1 stands on the card: by what mends it, or by its name where the card hands on."""
SHORT = 0.1
"""So many of a card's arrows may end in a hand-on for want of room, where a smaller card has fewer."""
_MOST_NAMED = 5
_RARE = (0.006, 0.015, 0.03)
_LINES = (1, 2, 3, 4, 6)
"""Lines of checks on a card: the first, and those that begin beside it."""


def unroll(
    models: Models,
    tree: str,
    role: RoleId = "field",
    unit: str = DEFAULT_UNIT,
    most: int = MOST_BOXES,
    told: Callable[[int, int], None] | None = None,
) -> Card:
    """The card of a tree, of up to `most` boxes.

    Args:
        models: the knowledge.
        tree: the complaint.
        role: whose card it is.
        unit: the unit profile, whose limits the bands of readings take.
        most: boxes of the card, at least 6.
        told: called with the checks made so far and how many there may be, as it may take some seconds.

    Raises: KeyError for an unknown tree, role or unit profile.
    """
    known = models.knowledge
    # What a job names and the knowledge lacks is passed by; here it is a mistake.
    if unknown := {tree} - set(known.trees) | {role} - set(known.roles) | {unit} - set(known.units):
        raise KeyError(*unknown)
    most = max(most, LEAST_BOXES)
    following, start = Following(models), opened(tree, role, unit)
    # How many repairs and ends the checks need, and how far a card comes with them, is known once they are there.
    best: tuple[tuple[bool, float], list[Place]] | None = None
    for questions, lines, rare in _sizes(most):
        if questions < most and best is not None:
            break
        places = _parting(Making(following, known.trees[tree], start, questions, lines, rare, told).places())
        worth = _short_of_room(places) <= SHORT, _settled(places)
        if len(places) <= most and (best is None or worth > best[0]):
            best = worth, places
    if best is None:
        raise AssertionError("a card of one question and its ends does not fit")
    return Card(tree, unit, _boxes(models, tree, role, best[1]))


def _settled(places: Sequence[Place]) -> float:
    """How many calls in 1 end in what works again, or in a remedy that is set going."""
    shares = _shares(places[0])
    named = [p for p in places if p.kind == "done" or (p.kind == "hand_on" and p.followed.act.repair is not None)]
    return sum(shares.get(id(place), 0.0) for place in named)


def _short_of_room(places: Sequence[Place]) -> float:
    """The share of the arrows that end in a hand-on for want of room."""
    goals = [goal.kind for place in places for goal in {id(goal): goal for _, _, goal in place.ways}.values()]
    return goals.count("help") / max(len(goals), 1)


def _sizes(most: int) -> Iterator[tuple[int, int, float]]:
    """How many checks, in how many lines, told down to how many calls in 1; with fewer checks only what must be."""
    yield from ((most, lines, rare) for lines in _LINES for rare in _RARE)
    yield from ((questions, 1, _RARE[-1]) for questions in range(most // 2, 0, -1))


def _parting(places: Sequence[Place]) -> list[Place]:
    """The boxes without checks that lead to one and the same box whatever they show: there is nothing to ask."""
    kept = list(places)
    while (aimless := next((place for place in kept if _is_aimless(place)), None)) is not None:
        kept.remove(aimless)
        for place in kept:
            place.ways = [
                (answers, share, aimless.ways[0][2] if goal is aimless else goal) for answers, share, goal in place.ways
            ]
    return kept


def _is_aimless(place: Place) -> bool:
    return place.kind == "check" and len({id(goal) for _, _, goal in place.ways}) == 1


def _boxes(models: Models, tree: str, role: RoleId, places: Sequence[Place]) -> tuple[Box, ...]:
    """The boxes, numbered in reading order, each with what holds for all the ways to it."""
    order = _reading_order(places[0])
    number = {id(place): nth for nth, place in enumerate(order, start=1)}
    shares = _shares(places[0])
    switching = _switching(models, places[0])
    first = _still_to_look(models, places[0], role)
    left_over = _unmended(models, tree, order)
    boxes = []
    for place in order:
        followed, key = place.followed, id(place)
        says = place.kind not in ("done", "help")
        before = switching.get(key, "") if says else ""
        occasion: Occasion = "isolating" if before == "isolate" else "switching_on"
        switched = told_for(models.knowledge.acts, reader_of(role), occasion) if before else ()
        boxes.append(
            Box(
                number=number[key],
                kind=place.kind,
                about=followed.act.about if says else "",
                repair=followed.act.repair if place.kind == "hand_on" else None,
                before=before,
                cautions=tuple(dict.fromkeys((*switched, *place.cautions))) if says else (),
                ways=_ways(place, number),
                causes=_named(models, tree, place, left_over),
                first=first.get(key, ()),
                helps=followed.helps,
                events=followed.events,
                probability=shares[key],
            )
        )
    return tuple(boxes)


def _reading_order(start: Place) -> list[Place]:
    """All that is reached: each box with its side ways first, then the most probable one; the ends, which many ways
    share, last."""
    order: dict[int, Place] = {}
    stack = [start]
    while stack:
        place = stack.pop()
        if id(place) not in order:
            order[id(place)] = place
            stack += [goal for _, _, goal in sorted(place.ways, key=lambda way: -way[1])]
    return sorted(order.values(), key=lambda place: (place.kind not in OPEN, place.kind in ALWAYS))


def _ways(place: Place, number: Mapping[int, int]) -> tuple[Way, ...]:
    """The ways out, those to one box as one; the likeliest first."""
    ways: dict[int, Way] = {}
    for answers, share, goal in place.ways:
        before = ways.get(number[id(goal)], Way((), number[id(goal)], 0.0))
        ways[before.goal] = Way((*before.answers, *answers), before.goal, before.probability + share)
    return tuple(sorted(ways.values(), key=lambda way: -way.probability))


def _downward(start: Place) -> list[Place]:
    """All boxes, each after all from which it is reached."""
    order: list[Place] = []
    seen: set[int] = set()

    def walk(place: Place) -> None:
        seen.add(id(place))
        for _, _, goal in place.ways:
            if id(goal) not in seen:
                walk(goal)
        order.append(place)

    walk(start)
    return order[::-1]


def _shares(start: Place) -> dict[int, float]:
    """How many calls in 1 come to each box."""
    shares = {id(place): 0.0 for place in _downward(start)}
    shares[id(start)] = 1.0
    for place in _downward(start):
        for _, share, goal in place.ways:
            shares[id(goal)] += share * shares[id(place)]
    return shares


def _switching(models: Models, start: Place) -> dict[int, Before]:
    """What must be switched at each box: where a way comes to it with the supply otherwise than its work needs it.

    Who comes with it as it should be has done so. A repair ends with the supply on again.
    """
    come: dict[int, set[str]] = {id(start): {"running"}}
    before: dict[int, Before] = {}
    for place in _downward(start):
        needs = getattr(_work(models, place), "plant", "any")
        plants = come[id(place)]
        if needs != "any" and plants - {needs} and place.kind in (*OPEN, "hand_on"):
            # What is handed on is done by somebody else, who switches for himself.
            if place.kind != "hand_on":
                before[id(place)] = "isolate" if needs == "isolated" else "switch_on"
            plants = {needs}
        for _, _, goal in place.ways:
            come.setdefault(id(goal), set()).update({"running"} if place.kind == "repair" else plants)
    return before


def _still_to_look(models: Models, start: Place, role: RoleId) -> dict[int, tuple[str, ...]]:
    """For each work the checks that it waits for and that not every way to it has asked.

    What is seen on a running plant is left out where every way comes with something found that keeps it off.
    """
    checks, who = models.knowledge.checks, models.knowledge.roles[role]
    asked: dict[int, frozenset[str]] = {id(start): frozenset()}
    off: dict[int, bool] = {id(start): False}
    first: dict[int, tuple[str, ...]] = {}
    for place in _downward(start):
        key, work = id(place), _work(models, place)
        if work is not None and place.kind in OPEN:
            missing = (checks[name] for name in work.waits_for if name not in asked[key] and name in checks)
            first[key] = tuple(
                check.id
                for check in missing
                if check.needs in who.can_use and not (off[key] and check.plant == "running")
            )
        known = asked[key] | {place.followed.act.about, *first.get(key, ())}
        check = checks.get(place.followed.act.about) if place.kind == "check" else None
        for answers, _, goal in place.ways:
            asked[id(goal)] = asked.get(id(goal), known) & known
            still = check is not None and (off[key] or all(map(check.keeps_off, answers)))
            off[id(goal)] = off.get(id(goal), True) and still
    return first


def _work(models: Models, place: Place) -> Check | Repair | None:
    act = place.followed.act
    return models.knowledge.repairs.get(act.repair or "") or models.knowledge.checks.get(act.about)


def _unmended(models: Models, tree: str, places: Sequence[Place]) -> list[str]:
    """Causes of note that no box of the card mends."""
    known = models.knowledge
    repairs = {place.followed.act.repair for place in places}
    mended = {cause for name in repairs if name is not None for cause in known.repairs[name].cures}
    return [name for name, share in known.trees[tree].singles.items() if share >= OF_NOTE and name not in mended]


def _named(models: Models, tree: str, place: Place, left_over: Sequence[str]) -> tuple[str, ...]:
    """What is left where a box hands on with no remedy: the likeliest, and all of note that the card mends nowhere."""
    if place.kind not in ("help", "hand_on") or place.followed.act.repair is not None:
        return ()
    likeliest = list(causes_marginal(models.tree(tree), np.asarray(place.belief)))[:_MOST_NAMED]
    return tuple(dict.fromkeys((*likeliest, *left_over)))
