"""One line with several facts, as people say them, into what was understood and what is unclear; pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.knowledge.model import Check, Knowledge, RoleId
from engine.quantities.quantity import QuantityError
from interview.messages import Fact, Unclear, Understood
from interview.understanding.lexicon import Pair, Piece, lexicon_of, pieces_of
from interview.understanding.normalize import one_of
from interview.understanding.numbers import impossible, in_figures, read_typed

_LONGEST_LINE = 2000
_LONGEST_GROUP = 4
"""Pieces that one fact is made of at most, such as `salt`, `4100 ppm`, `unit`."""
_UNCLEAR_COST, _GROUP_COST = 100, 10
_MOST_NAMED = 4
"""Checks that a reason spells out."""


@dataclass(frozen=True)
class _Group:
    """Pieces read as one fact, or as something unclear.

    A `loose` one loses its sense beside an `unsaid` one, which is or ends with words that are unknown or say an answer
    of nothing named; a `weak` one is nothing but such words. A `bare` one answers the question that stands, and loses
    that sense beside a `half` one, which is unclear without a number: `no` of `no salt added` is no answer.
    """

    start: int
    end: int
    meant: Fact | Unclear | None
    cost: int
    loose: bool
    unsaid: bool = False
    weak: bool = False
    bare: bool = False
    half: bool = False


def understand(
    line: str, knowledge: Knowledge, role: RoleId, settled: Collection[str] = (), asked: str = ""
) -> Understood:
    """What a line says about the checks of a catalogue, by the catalogue's own words.

    Args:
        line: what was typed: facts, parted by commas or not, each a check's name with its answer or number.
        knowledge: the catalogue.
        role: who is asked back, for the words of the reasons.
        settled: ids of checks already answered; where several may be meant, they are named last.
        asked: the check whose question stands; an answer of nothing named is its.

    Returns:
        The facts in the order of the line, each check at most once, and what is unclear. Nothing is guessed: what
        could mean two things is unclear, and so is a word that the catalogue lacks with what stands beside it.
    """
    text = in_figures(cleaned("; ".join(line.splitlines())))[:_LONGEST_LINE].strip()
    reader = _Reader(text, knowledge, role, frozenset(settled), asked)
    groups = reader.joined(reader.grouped(pieces_of(text, lexicon_of(knowledge))))
    meant = [group.meant for group in groups if group.meant is not None]
    return reader.settled_once(meant)


class _Reader:
    """Reads the pieces of one line."""

    def __init__(self, text: str, knowledge: Knowledge, role: RoleId, settled: frozenset[str], asked: str) -> None:
        self._text = text
        self._checks = knowledge.checks
        self._places = {check: place for place, check in enumerate(knowledge.checks)}
        self._role = role
        self._settled = settled
        self._asked = asked

    def grouped(self, pieces: Sequence[Piece]) -> list[_Group]:
        """Group the pieces so that as little as possible is unclear, and then in as few groups as possible."""
        steps: list[tuple[int, _Group | None, int]] = [(0, None, 0)]
        for end in range(1, len(pieces) + 1):
            options = []
            for start in range(max(0, end - _LONGEST_GROUP), end):
                group = self._group(pieces[start:end])
                if group is not None:
                    options.append((steps[start][0] + group.cost, group, start))
            steps.append(min(options, key=lambda option: option[0]))
        groups: list[_Group] = []
        at = len(pieces)
        while at > 0:
            _, found, at = steps[at]
            if found is not None:
                groups.insert(0, found)
        return groups

    def joined(self, groups: Sequence[_Group]) -> list[_Group]:
        """An unknown word spoils what stands beside it: `pump not running` must not pass for `pump running`."""
        joined: list[_Group] = []
        for group in groups:
            if joined and self._belong(joined[-1], group):
                joined[-1] = self._spoilt(joined[-1], group)
            else:
                joined.append(group)
        return joined

    def settled_once(self, meant: Iterable[Fact | Unclear]) -> Understood:
        """Each check once: the same twice is one fact, two different answers are unclear."""
        facts: dict[str, list[Fact]] = {}
        unclear = []
        for item in meant:
            if isinstance(item, Fact):
                facts.setdefault(item.check, []).append(item)
            else:
                unclear.append(item)
        kept = []
        for check, said in facts.items():
            if len({fact.value for fact in said}) == 1:
                kept.append(said[0])
            else:
                texts = " / ".join(fact.text for fact in said)
                unclear.append(Unclear(texts, f"{self._named(check)}: {say('saying.twice')}", (check,)))
        return Understood(tuple(kept), tuple(unclear))

    @staticmethod
    def _belong(before: _Group, after: _Group) -> bool:
        spoils = (before.unsaid or after.unsaid) and before.loose and after.loose
        return spoils or (before.bare and after.half) or (before.half and after.bare)

    def _spoilt(self, before: _Group, after: _Group) -> _Group:
        text = self._text[before.start : after.end]
        weak = before.weak and after.weak
        telling = [group for group in (before, after) if weak or not group.weak]
        candidates = self._ordered(check for group in telling for check in self._candidates(group))
        why = say("saying.not_together" if candidates else "saying.unknown_words")
        return replace(after, start=before.start, meant=Unclear(text, why, candidates), weak=weak)

    def _candidates(self, group: _Group) -> tuple[str, ...]:
        if isinstance(group.meant, Fact):
            return (group.meant.check,)
        return group.meant.candidates if group.meant is not None else ()

    def _group(self, pieces: Sequence[Piece]) -> _Group | None:
        """The pieces as one group; None where they make none."""
        if any(piece.parts or piece.is_unknown for piece in pieces):
            return self._without_sense(pieces[0]) if len(pieces) == 1 else None
        numbers = [piece for piece in pieces if piece.number]
        if len(numbers) > 1:
            return None
        text = self._text[pieces[0].start : pieces[-1].end]
        found = self._number(text, pieces, numbers[0]) if numbers else self._choice(text, pieces)
        return None if found is None else self._with_sense(pieces, found, with_number=bool(numbers))

    def _without_sense(self, piece: Piece) -> _Group:
        """What only parts two facts, or a word that the catalogue lacks."""
        if piece.parts:
            return _Group(piece.start, piece.end, None, 0, loose=False)
        meant = Unclear(self._text[piece.start : piece.end], say("saying.unknown_word"))
        return _Group(piece.start, piece.end, meant, _UNCLEAR_COST, loose=True, unsaid=True, weak=True)

    @staticmethod
    def _with_sense(pieces: Sequence[Piece], found: Fact | Unclear, with_number: bool) -> _Group:
        unclear = isinstance(found, Unclear)
        alone = len(pieces) == 1 and not pieces[0].names and not with_number
        # Of two ways that explain as much, a name belongs to what follows it.
        late = sum(bool(piece.names) for piece in pieces[1:])
        return _Group(
            pieces[0].start,
            pieces[-1].end,
            found,
            _GROUP_COST + late + (_UNCLEAR_COST if unclear else 0),
            loose=unclear or not with_number,
            unsaid=unclear and alone,
            weak=unclear and alone,
            bare=alone and not unclear,
            half=unclear and not with_number,
        )

    def _number(self, text: str, pieces: Sequence[Piece], number: Piece) -> Fact | Unclear | None:
        """A number with the names around it."""
        naming = [piece.names for piece in pieces if piece is not number]
        if not all(naming):
            return None
        if not naming and number.names:
            naming = [number.names]
        if not naming:
            return self._unnamed(text, number)
        named = frozenset.intersection(*naming)
        if not named:
            return None
        wanted = [check for check in self._ordered(named) if self._checks[check].is_number]
        if not wanted:
            why = f"{self._list(self._ordered(named))}: {say('saying.no_number_there')}"
            return Unclear(text, why, self._ordered(named))
        fitting = [check for check in wanted if isinstance(self._read(check, number.number, text), Fact)]
        if len(fitting) > 1:
            return Unclear(text, say("saying.may_be", checks=self._list(fitting)), tuple(fitting))
        read = self._read((fitting or wanted)[0], number.number, text)
        # Where it fits none of several, the first one's reason stands for all.
        return read if isinstance(read, Fact) else replace(read, candidates=tuple(wanted))

    def _unnamed(self, text: str, number: Piece) -> Unclear:
        """A number without a name: at most its unit says what it may be of."""
        if not number.has_unit:
            return Unclear(text, say("saying.number_alone"))
        fitting = [check.id for check in self._checks.values() if check.is_number]
        fitting = [check for check in fitting if isinstance(self._read(check, number.number, text), Fact)]
        candidates = self._ordered(fitting)
        if not candidates:
            return Unclear(text, say("saying.nothing_fits"))
        return Unclear(text, say("saying.say_which", checks=self._list(candidates)), candidates)

    def _read(self, check_id: str, typed: str, text: str) -> Fact | Unclear:
        """The number as the answer to one check, or why it is none."""
        check = self._checks[check_id]
        unit, possible = check.unit or "", check.possible
        name = self._named(check_id)
        try:
            value = read_typed(typed, unit, name, possible).value
        except QuantityError as error:
            return Unclear(text, f"{name}: {error}", (check_id,))
        if possible is not None and (wrong := impossible(value, unit, possible)):
            return Unclear(text, f"{name}: {wrong}", (check_id,))
        return Fact(check_id, value, text)

    def _choice(self, text: str, pieces: Sequence[Piece]) -> Fact | Unclear | None:
        """Names and words of an answer, without a number."""
        pairs = self._pairs(pieces)
        if not pairs:
            return self._half(text, pieces[0]) if len(pieces) == 1 else None
        candidates = self._ordered(check for check, _ in pairs)
        if len(pairs) > 1:
            if len(candidates) == 1:
                return Unclear(text, f"{self._named(candidates[0])}: {say('saying.several_answers')}", candidates)
            return Unclear(text, say("saying.may_be", checks=self._list(candidates)), candidates)
        check, answer = next(iter(pairs))
        if self._checks[check].is_number:
            return Unclear(text, f"{self._named(check)}: {say('saying.say_number')}", (check,))
        return Fact(check, answer, text)

    def _pairs(self, pieces: Sequence[Piece]) -> frozenset[Pair]:
        """What one of the pieces means as the answer to what all the others name; a single one may do both."""
        pairs: set[Pair] = set()
        for place, piece in enumerate(pieces):
            others = [other.names for other in (*pieces[:place], *pieces[place + 1 :])] or [piece.names]
            named = frozenset.intersection(*others)
            pairs |= {pair for pair in piece.answers if pair[0] in named}
        return frozenset(pairs)

    def _half(self, text: str, piece: Piece) -> Fact | Unclear:
        """A name without an answer, or an answer without a name, which may be of the question that stands."""
        answers = [answer for check, answer in piece.answers if check == self._asked]
        if not piece.names and len(answers) == 1 and not self._checks[self._asked].is_number:
            return Fact(self._asked, answers[0], text)
        candidates = self._ordered([*piece.names, *(check for check, _ in piece.answers)])
        if piece.names:
            return Unclear(text, say("saying.say_answer"), candidates)
        return Unclear(text, say("saying.say_of_what", checks=self._list(candidates)), candidates)

    def _ordered(self, checks: Iterable[str]) -> tuple[str, ...]:
        """Each check once, unsettled ones first, in the order of the catalogue."""
        return tuple(sorted(set(checks), key=lambda check: (check in self._settled, self._places[check])))

    def _list(self, checks: Sequence[str]) -> str:
        return one_of([self._named(check) for check in checks], _MOST_NAMED)

    def _named(self, check_id: str) -> str:
        """A check as it is called: its first name, or in the field the trade's words."""
        check: Check = self._checks[check_id]
        return check.wording.technician if self._role == "field" or not check.names else check.names[0]
