"""The strategy of a tree unrolled for paper: which act follows which answer, most probable ways first."""

from __future__ import annotations

import functools
import heapq
import itertools
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from engine.knowledge.model import RoleId
from engine.knowledge.required import DEFAULT_UNIT
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.models import Models
from reports.card.branches import HELPED, NOT_HELPED, Before, Branch, Events, Followed, Following, opened

MOST_BOXES = 25
LEAST_BOXES = 6
FEWEST = 0.03
"""A branch that fewer calls than this come to is handed on: more than a card can hold, rare enough to ask for help."""

Kind = Literal["check", "repair", "last", "hand_on", "safe", "done", "help"]
_OPEN = ("check", "repair")
_ALWAYS = ("safe", "done", "help")


@dataclass(frozen=True)
class Way:
    """A way out of a box: the answers (or outcomes) that take it, the box it leads to, and how many in 1 go it."""

    answers: tuple[str, ...]
    goal: int
    probability: float


@dataclass(frozen=True)
class Box:
    """One box of a card.

    `about` is the check, repair or decision. A `last` box is the repair that pays most where the card asks no further.
    `repair` is the remedy of a decision. `before` is the switching that must come first; `cautions` hold for all of
    it. `events` is the job as it stands when the box is reached, the first time where there are several, and
    `probability` how many calls in 1 come here.
    """

    number: int
    kind: Kind
    about: str
    repair: str | None
    before: Before
    cautions: tuple[str, ...]
    ways: tuple[Way, ...]
    events: tuple[Event, ...]
    probability: float


@dataclass(frozen=True)
class Card:
    """A whole card; box 1 is where it begins, and every way ends in a box without ways."""

    tree: str
    unit: str
    boxes: tuple[Box, ...]


def unroll(
    models: Models,
    tree: str,
    role: RoleId = "field",
    unit: str = DEFAULT_UNIT,
    most: int = MOST_BOXES,
    told: Callable[[int, int], None] | None = None,
) -> Card:
    """The card of a tree: the session's next act for each answer, the most probable ways first, up to `most` boxes.

    Where the boxes are used up, a way ends in what would be done with no further question. Where fewer than 3 % of the
    calls come, it ends in asking for help.

    Args:
        models: the knowledge.
        tree: the complaint.
        role: whose strategy it is.
        unit: the unit profile, whose limits the bands of readings take.
        most: boxes of the card, at least 6.
        told: called with the boxes made so far and `most`, as it may take some seconds.

    Raises: KeyError for an unknown tree, role or unit profile.
    """
    known = models.knowledge
    # What a job names and the knowledge lacks is passed by; here it is a mistake.
    _ = known.trees[tree], known.roles[role], known.units[unit]
    most = max(most, LEAST_BOXES)
    known = models.knowledge
    if unknown := {tree} - set(known.trees) | {role} - set(known.roles) | {unit} - set(known.units):
        raise KeyError(*unknown)
    following, start = Following(models), opened(tree, role, unit)
    # How many ends the ways need is known only once they are cut; so with fewer open boxes each time.
    for questions in range(most - len(_ALWAYS), 0, -1):
        boxes = _without_idle(functools.partial(_made, following, start, questions, told))
        if len(boxes) <= most:
            return Card(tree, unit, _numbered(boxes))
    raise AssertionError("a card of one question and its ends does not fit")


def _made(
    following: Following,
    start: Events,
    questions: int,
    told: Callable[[int, int], None] | None,
    idle: Collection[Events],
) -> list[Box]:
    return _Unrolling(following, start, questions, idle, told).boxes()


def _without_idle(made: Callable[[Collection[Events]], list[Box]]) -> list[Box]:
    """The boxes without checks that lead to one and the same end whatever they show: there the question is not asked,
    and what pays most at that point is done at once."""
    idle: set[Events] = set()
    while True:
        boxes = made(idle)
        found = {
            box.events
            for box in boxes[1:]
            if box.kind == "check" and len(box.ways) == 1 and boxes[box.ways[0].goal].kind not in _OPEN
        }
        if not found - idle:
            return boxes
        idle |= found


class _Unrolling:
    """The card in the making: boxes that have their act, and ways that wait for theirs, most probable first."""

    def __init__(
        self,
        following: Following,
        start: tuple[Event, ...],
        questions: int,
        idle: Collection[Events],
        told: Callable[[int, int], None] | None,
    ) -> None:
        self._following, self._start, self._questions, self._told = following, start, questions, told
        self._idle = idle
        self._boxes: list[Box] = []
        self._ends: dict[tuple[str, str, str | None], int] = {}
        self._waiting: list[tuple[float, int, int, Branch]] = []
        self._order = itertools.count()

    def boxes(self) -> list[Box]:
        """Take up the most probable way again and again, until there is none left."""
        self._open(self._following.next(self._start), 1.0)
        while self._waiting:
            _, _, source, branch = heapq.heappop(self._waiting)
            goal = self._goal(branch, self._boxes[source].probability * branch.probability)
            self._lead(source, Way(branch.answers, goal, branch.probability))
        return self._boxes

    def _goal(self, branch: Branch, probability: float) -> int:
        """The index of the box that a branch leads to: an end it shares with others, a new box, or a cut."""
        followed = branch.followed
        if followed is None:
            return self._end("help", probability)
        kind = _kind(followed.act)
        if kind not in _OPEN:
            return self._end(kind, probability, followed)
        if probability < FEWEST:
            return self._end("help", probability)
        if self._asked < self._questions and followed.events not in self._idle:
            return self._open(followed, probability)
        return self._cut(branch, probability)

    @property
    def _asked(self) -> int:
        return sum(box.kind in _OPEN for box in self._boxes)

    def _open(self, followed: Followed, probability: float) -> int:
        """A new check or repair; the ways out of it wait for their turn."""
        place = self._add(_kind(followed.act), followed, probability)
        for branch in self._following.branches(followed, probability):
            heapq.heappush(self._waiting, (-branch.probability * probability, next(self._order), place, branch))
        if self._told is not None:
            self._told(self._asked, self._questions)
        return place

    def _cut(self, branch: Branch, probability: float) -> int:
        """What is done with no further question: one box for each such repair or decision, whoever comes to it."""
        assert branch.followed is not None
        # The switching was for the check that is not made now: what is done instead needs its own.
        followed, helps = self._following.at_once(branch.followed.unswitched)
        if followed.act.kind != "perform":
            return self._end(_kind(followed.act), probability, followed)
        place = self._end("last", probability, followed)
        share = probability / self._boxes[place].probability
        before = next((way.probability for way in self._boxes[place].ways if HELPED in way.answers), 0.0)
        helped = before * (1.0 - share) + helps * share
        done, help_at = self._end("done", probability * helps), self._end("help", probability * (1.0 - helps))
        ways = (Way((HELPED,), done, helped), Way((NOT_HELPED,), help_at, 1.0 - helped))
        self._boxes[place] = replace(self._boxes[place], ways=ways)
        return place

    def _end(self, kind: Kind, probability: float, followed: Followed | None = None) -> int:
        """An end, which all ways to it share; `followed` is what led there, None where nothing more is to be said."""
        key: tuple[Kind, str, str | None] = (kind, "", None)
        if followed is not None and kind in ("hand_on", "last"):
            key = (kind, followed.act.about, followed.act.repair)
        if key not in self._ends:
            self._ends[key] = self._add(kind, followed, probability)
            return self._ends[key]
        place = self._ends[key]
        box = self._boxes[place]
        self._boxes[place] = replace(box, probability=box.probability + probability)
        if followed is not None:
            cautions = tuple(dict.fromkeys((*box.cautions, *followed.cautions)))
            # Who comes with the supply on must switch off; who comes with it off has done so.
            self._boxes[place] = replace(self._boxes[place], cautions=cautions, before=box.before or followed.before)
        return place

    def _add(self, kind: Kind, followed: Followed | None, probability: float) -> int:
        events = followed.events if followed is not None else ()
        box = Box(0, kind, "", None, "", (), (), events, probability)
        if followed is not None and kind != "done":
            repair = followed.act.repair if kind == "hand_on" else None
            before, cautions = followed.before, followed.cautions
            box = replace(box, about=followed.act.about, repair=repair, before=before, cautions=cautions)
        self._boxes.append(box)
        return len(self._boxes) - 1

    def _lead(self, source: int, way: Way) -> None:
        box = self._boxes[source]
        self._boxes[source] = replace(box, ways=_joined((*box.ways, way)))


def _kind(act: Act) -> Kind:
    match act.kind:
        case "ask":
            return "check"
        case "perform":
            return "repair"
        case "make_safe":
            return "safe"
        case "conclude":
            return "done" if act.why == "solved" else "hand_on"
        case _:
            raise AssertionError(f"a card has no box for {act.kind}")


def _joined(ways: Sequence[Way]) -> tuple[Way, ...]:
    """The ways, those to one box as one."""
    found: dict[int, Way] = {}
    for way in ways:
        before = found.get(way.goal, Way((), way.goal, 0.0))
        found[way.goal] = Way((*before.answers, *way.answers), way.goal, before.probability + way.probability)
    return tuple(found.values())


def _numbered(boxes: Sequence[Box]) -> tuple[Box, ...]:
    """The boxes that are reached, in reading order: each with its side ways first, then the most probable one; and
    the ends, which many ways share, last."""
    order: list[int] = []
    stack = [0]
    while stack:
        place = stack.pop()
        if place not in order:
            order.append(place)
            stack += [way.goal for way in sorted(boxes[place].ways, key=lambda way: -way.probability)]
    order.sort(key=lambda place: (boxes[place].kind not in _OPEN, boxes[place].kind in _ALWAYS))
    number = {place: nth for nth, place in enumerate(order, start=1)}
    return tuple(replace(boxes[place], number=number[place], ways=_led(boxes[place].ways, number)) for place in order)


def _led(ways: Collection[Way], number: Mapping[int, int]) -> tuple[Way, ...]:
    return tuple(replace(way, goal=number[way.goal]) for way in sorted(ways, key=lambda way: -way.probability))
