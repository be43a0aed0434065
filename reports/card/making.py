"""A card in the making: lines of checks, each with its exits to what mends the fault, and one way on to the next check.

A card cannot weigh a belief. So what does not decide at once goes on along its line, whatever was seen; only what many
calls show, and what changes the belief much, begins a line of its own. Not knowing always goes on along the line.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from engine.inference.belief import Array
from engine.knowledge.model import DANGER_CHECK, Knowledge, Repair, Tree
from engine.session.acts import Act
from reports.card.boxes import Kind
from reports.card.branches import HELPED, NOT_HELPED, NOT_KNOWN, Events, Followed, Following, Upshot, distance
from reports.card.choosing import DECISIVE, LIKELY

GIVEN_UP = "other_trade"
"""The decision where no cause was found."""
FEW = 0.2
"""What fewer calls in 1 show is told briefly: no questions to make sure where one repair mostly helps."""
SIDE, APART = 0.04, 0.35
"""A line of its own begins at so many calls in 1, where the belief lies so far from that of the line (total variation):
judgement."""
AGAINST = 0.12
"""An answer speaks against a repair where each cause that it cures shows it this much more seldom than usual."""
SEEN = 0.35
"""What is seen broken in itself is mended if that leaves nothing wrong at least so often: judgement."""
FOR = 8.0
"""And for one where one of them shows it so many times as often as usual."""

Facts = tuple[tuple[str, Mapping[str, float]], ...]
"""What may have been answered on the way to a box, check by check, each answer with its share."""


@dataclass(eq=False)
class Place:
    """A box in the making; `ways` are its answers with the share of each and the box that they lead to."""

    kind: Kind
    followed: Followed
    probability: float = 0.0
    belief: Array | float = 0.0
    cautions: tuple[str, ...] = ()
    ways: list[tuple[tuple[str, ...], float, Place]] = field(default_factory=list)

    def come(self, followed: Followed, probability: float) -> Place:
        """Note that so many calls in 1 come here, with what they believe; its cautions are those of all its ways."""
        self.probability += probability
        self.belief = self.belief + probability * followed.belief
        self.cautions = tuple(dict.fromkeys((*self.cautions, *followed.cautions)))
        return self

    def lead(self, answers: tuple[str, ...], share: float, goal: Place) -> None:
        """Note a way out."""
        self.ways.append((answers, share, goal))


@dataclass(frozen=True)
class _Step:
    """A check on a line: its box, the answers with which the line goes on, those that begin a line of their own, and
    those that leave for a repair or an end."""

    place: Place
    on: tuple[Upshot, ...]
    sides: tuple[Upshot, ...]
    exits: tuple[Upshot, ...]

    @property
    def share(self) -> float:
        """How many of those who come here go on along the line."""
        return sum(result.probability for result in self.on)

    def standing(self) -> Followed:
        """The job that stands for all who go on: that of the answer after which most nearly is believed what they
        believe on the whole."""
        believed = sum(result.probability * result.followed.belief for result in self.on) / self.share
        asking = [result for result in self.on if kind_of(result.followed.act) == "check"]
        nearest = min(asking or self.on, key=lambda result: float(np.abs(result.followed.belief - believed).sum()))
        return nearest.followed


class Making:
    """Makes the lines of a card one after another, the first from where the card begins."""

    def __init__(
        self,
        following: Following,
        tree: Tree,
        start: Events,
        questions: int,
        lines: int,
        rare: float,
        told: Callable[[int, int], None] | None,
    ) -> None:
        """Args: the tree, where the card begins, how many checks it may have and in how many lines; of a line to which
        fewer calls in 1 than `rare` come the rest is not told; whom to tell how far it is.
        """
        self._following, self._tree, self._start = following, tree, start
        self._rare, self._told = rare, told
        self._questions, self._lines_left = questions, lines - 1
        self._asked = 0
        self._made: list[Place] = []
        self._ends: dict[tuple[Kind, str, str | None], Place] = {}
        self._sides: list[tuple[float, Place, Upshot, Facts]] = []

    def places(self) -> list[Place]:
        """All boxes; the first is where the card begins."""
        self._line(self._following.next(self._start), 1.0, ())
        while self._sides:
            self._sides.sort(key=lambda side: side[0])
            probability, source, result, facts = self._sides.pop()
            source.lead((result.answer,), result.probability, self._line(result.followed, probability, facts))
        return [*self._made, *self._ends.values()]

    def _line(self, followed: Followed, probability: float, facts: Facts) -> Place:
        """A line from here to its end; the box that it begins with. Args: `facts`, what was answered on the way."""
        steps: list[_Step] = []
        while probability >= self._rare and (step := self._next_step(followed, probability, facts)) is not None:
            if step.place.kind == "check" and not (step.exits or step.sides) and step.on:
                # Whatever it shows, the line goes on: on paper it is not asked.
                followed = self._following.passed_by(followed)
                continue
            if self._asked >= self._questions:
                break
            self._keep(step, followed, probability, facts)
            steps.append(step)
            if not step.on:
                break
            if step.place.kind == "check":
                facts = (*facts, (followed.act.about, {result.answer: result.probability for result in step.on}))
            followed, probability = step.standing(), probability * step.share
        return self._joined(steps, None if steps and not steps[-1].on else followed, probability, facts)

    def _next_step(self, followed: Followed, probability: float, facts: Facts) -> _Step | None:
        """A check, or a repair after which the line goes on where it does not help; None where the line ends."""
        kind = kind_of(followed.act)
        if kind == "check":
            return self._step(followed, probability, facts)
        if kind != "repair" or followed.helps < DECISIVE or self._contradicted(followed, facts):
            return None
        helped, vain = sorted(self._following.results(followed), key=lambda result: result.answer)
        return _Step(Place("repair", followed), (vain,), (), (helped,))

    def _keep(self, step: _Step, followed: Followed, probability: float, facts: Facts) -> None:
        """A check becomes a box; the lines that begin at it wait for their turn."""
        self._asked += step.place.kind == "check"
        self._made.append(step.place.come(followed, probability))
        about = followed.act.about
        self._sides += [
            (result.probability * probability, step.place, result, (*facts, (about, {result.answer: 1.0})))
            for result in step.sides
        ]
        self._lines_left -= len(step.sides)
        if self._told is not None:
            self._told(self._asked, self._questions)

    def _step(self, followed: Followed, probability: float, facts: Facts) -> _Step:
        """A check with its results sorted by where they lead."""
        results = [
            Upshot(result.answer, result.probability, self._settled(followed, result, result.probability * probability))
            for result in self._following.results(followed)
        ]
        on = [result for result in results if self._goes_on(followed, result, facts)]
        exits = tuple(result for result in results if result not in on)
        sides = self._apart(on, probability)
        going_on = tuple(result for result in on if result not in sides)
        return _Step(Place("check", followed), going_on, tuple(sides), exits)

    def _goes_on(self, before: Followed, result: Upshot, facts: Facts) -> bool:
        """Whether an answer goes on along the line: a question follows, or nothing that would mostly help."""
        followed, kind = result.followed, kind_of(result.followed.act)
        if kind == "check" or result.answer == NOT_KNOWN:
            return True
        if kind not in ("repair", "hand_on") or followed.kept_off != before.kept_off:
            return False
        # What is seen in itself, such as scale on the plates, is mended whatever was read before.
        shown = self._shown_by(followed, before.act.about, result.answer)
        repair = self._following.models.knowledge.repairs.get(followed.act.repair or "")
        if shown and repair is not None:
            # But by its own test: nothing is dosed of which the water has enough.
            facts = tuple(fact for fact in facts if fact[0] in repair.amount_from)
        return followed.helps < (SEEN if shown else LIKELY) or self._contradicted(followed, facts)

    def _shown_by(self, followed: Followed, check: str, answer: str) -> bool:
        known = self._following.models.knowledge
        repair = known.repairs.get(followed.act.repair or "")
        return repair is not None and shows(known, self._tree, repair, check, answer)

    def _contradicted(self, followed: Followed, facts: Facts) -> bool:
        """Whether what was answered on the way mostly speaks against what is mended here.

        What keeps the plant off is mended all the same.
        """
        known = self._following.models.knowledge
        repair = known.repairs.get(followed.act.repair or "")
        if repair is None or followed.kept_off:
            return False
        return any(
            sum(share for answer, share in answers.items() if self._speaks_against(repair, check, answer))
            > sum(answers.values()) / 2
            for check, answers in facts
        )

    def _speaks_against(self, repair: Repair, check: str, answer: str) -> bool:
        return speaks_against(self._following.models.knowledge, self._tree, repair, check, answer)

    def _settled(self, before: Followed, result: Upshot, probability: float) -> Followed:
        """What follows on a result: what mends at once what must stay off, or what is rare and mostly sure."""
        followed = result.followed
        asked_first = before.act.about == DANGER_CHECK
        if kind_of(followed.act) != "check" or result.answer == NOT_KNOWN or asked_first:
            return followed
        at_once = self._following.at_once(followed.unswitched)
        if followed.kept_off != before.kept_off or (probability < FEW and at_once.helps >= DECISIVE):
            return at_once
        return self._shown_there(before.act.about, result) or followed

    def _shown_there(self, check: str, result: Upshot) -> Followed | None:
        """The repair that an answer calls for by itself, as dirt does for cleaning, if it helps often enough."""
        known = self._following.models.knowledge
        repairs = [
            repair for repair in known.repairs.values() if shows(known, self._tree, repair, check, result.answer)
        ]
        wanted = (self._following.mending(result.followed.unswitched, repair.id) for repair in repairs)
        found = [followed for followed in wanted if followed is not None and followed.helps >= SEEN]
        return max(found, key=lambda followed: followed.helps, default=None)

    def _apart(self, on: Sequence[Upshot], probability: float) -> list[Upshot]:
        """Of the answers that go on, those that begin a line of their own, as long as there may be more lines."""
        main = max(on, key=lambda result: result.probability, default=None)
        far = [
            result
            for result in on
            if main is not None
            and result is not main
            and kind_of(result.followed.act) == "check"
            and result.answer != NOT_KNOWN
            and result.probability * probability >= SIDE
            and distance(result.followed, main.followed) >= APART
        ]
        return far[: max(self._lines_left, 0)]

    def _joined(self, steps: Sequence[_Step], last: Followed | None, probability: float, facts: Facts) -> Place:
        """The steps led to one another and to what is last, their exits to repairs and ends.

        Where a repair does not help, it goes on behind the last step that led to it, so that none comes twice.
        """
        repairs: dict[str, list[tuple[int, Upshot]]] = {}
        for nth, step in enumerate(steps):
            for result in step.exits:
                come = step.place.probability * result.probability
                if kind_of(result.followed.act) == "repair":
                    repairs.setdefault(result.followed.act.about, []).append((nth, result))
                else:
                    step.place.lead((result.answer,), result.probability, self._end(result.followed, come))
        places = [step.place for step in steps]
        if last is not None:
            places.append(self._last(last, probability, repairs, facts))
        for nth, step in enumerate(steps):
            if step.on:
                step.place.lead(tuple(result.answer for result in step.on), step.share, places[nth + 1])
        for exits in repairs.values():
            behind = places[exits[-1][0] + 1] if exits[-1][0] + 1 < len(places) else None
            self._repair([(steps[nth].place, result) for nth, result in exits], behind)
        return places[0]

    def _last(self, followed: Followed, probability: float, tried: Collection[str], facts: Facts) -> Place:
        """How a line ends: with what is done at once if that helps often enough, else it is handed on."""
        if kind_of(followed.act) not in ("check", "repair") and not self._contradicted(followed, facts):
            return self._end(followed, probability)
        short = kind_of(followed.act) == "check"
        at_once = self._following.at_once(followed.unswitched)
        if at_once.helps < DECISIVE or at_once.act.about in tried or self._contradicted(at_once, facts):
            return self._given_up("help" if short else "hand_on", followed, probability)
        if kind_of(at_once.act) != "repair":
            return self._end(at_once, probability)
        place = Place("repair", at_once).come(at_once, probability)
        self._lead_repair(place, None)
        return place

    def _repair(self, exits: Sequence[tuple[Place, Upshot]], behind: Place | None) -> None:
        """One box for a repair to which answers of several checks lead."""
        likeliest = max(exits, key=lambda each: each[0].probability * each[1].probability)[1]
        place = Place("repair", likeliest.followed)
        for source, result in exits:
            place.come(result.followed, source.probability * result.probability)
            source.lead((result.answer,), result.probability, place)
        self._lead_repair(place, behind)

    def _lead_repair(self, place: Place, behind: Place | None) -> None:
        self._made.append(place)
        helped, vain = self._following.results(place.followed)
        if helped.answer != HELPED:
            helped, vain = vain, helped
        come = place.probability * vain.probability
        if behind is None:
            behind = self._given_up("hand_on", vain.followed, come)
        place.lead((HELPED,), helped.probability, self._end(helped.followed, place.probability * helped.probability))
        place.lead((NOT_HELPED,), vain.probability, behind)

    def _given_up(self, kind: Kind, followed: Followed, probability: float) -> Place:
        """Handed on with no remedy: the cause was not found, or the card has no more room (`help`)."""
        key = (kind, GIVEN_UP, None)
        if key not in self._ends:
            self._ends[key] = Place(kind, replace(followed, act=Act("conclude", GIVEN_UP), before="", cautions=()))
        place = self._ends[key]
        place.probability += probability
        place.belief = place.belief + probability * followed.belief
        return place

    def _end(self, followed: Followed, probability: float) -> Place:
        """An end, which all ways to it share."""
        kind, act = kind_of(followed.act), followed.act
        if kind == "hand_on" and act.repair is None:
            return self._given_up(kind, followed, probability)
        key = (kind, act.about, act.repair) if kind == "hand_on" else (kind, "", None)
        if key not in self._ends:
            self._ends[key] = Place(kind, followed)
        return self._ends[key].come(followed, probability)


def speaks_against(known: Knowledge, tree: Tree, repair: Repair, check: str, answer: str) -> bool:
    """Whether an answer speaks against a repair: each cause behind this complaint that it cures shows it far more
    seldom than usual."""
    shown = _shown(known, tree, repair, check, answer)
    return bool(shown) and all(times is not None and times < AGAINST for times in shown)


def shows(known: Knowledge, tree: Tree, repair: Repair, check: str, answer: str) -> bool:
    """Whether an answer speaks for a repair: a cause behind this complaint that it cures shows it far oftener than
    usual."""
    return any(times is not None and times >= FOR for times in _shown(known, tree, repair, check, answer))


def _shown(known: Knowledge, tree: Tree, repair: Repair, check: str, answer: str) -> list[float | None]:
    """How many times as often as usual each cause that a repair cures shows an answer; None where it shows nothing."""
    if check not in known.checks:
        return []
    usual = max(known.checks[check].usual.get(answer, 0.0), 1e-9)
    tables = (
        {**known.causes[name].shows, **tree.here.get(name, {})}.get(check)
        for name in repair.cures
        if name in tree.singles and name in known.causes
    )
    return [None if table is None else table.get(answer, 0.0) / usual for table in tables]


def kind_of(act: Act) -> Kind:
    """The kind of box for an act."""
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
