"""A free line as what it states: facts, and what may be meant."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from engine.foundation.texts import language_in_use
from engine.knowledge.model import Check, Knowledge
from engine.session.availability import asked_checks
from interview.messages import Candidate, Fact, Unclear, Understood
from interview.understanding.listening.choice import Choosing, Match
from interview.understanding.listening.clause import Clause
from interview.understanding.listening.clauses import Clauses, clauses_of
from interview.understanding.listening.guesses import guesses
from interview.understanding.listening.library import book_of
from interview.understanding.listening.phrase import NUMBER, TURNED, Found, Meaning, Phrase, find
from interview.understanding.listening.phrasebook import Phrasebook
from interview.understanding.listening.words import cut, stem
from interview.understanding.quantities_said.clock_spans import with_spans, without_times
from interview.understanding.quantities_said.counting import zero_word
from interview.understanding.quantities_said.differences import SURELY, CheckReading
from interview.understanding.quantities_said.figures import figures_in
from interview.understanding.quantities_said.readings import read_numbers
from interview.understanding.quantities_said.volumes import with_volumes

_MOST_OFFERED = 3
_ONE_OF_THEM, _BESIDE = 0.2, 0.1
"""How sure it is at least that a clause means one of the answers offered, and one beside a doubtful one: lower bounds
offered hardly more right answers, and more for small talk."""
_PAIR = 2
_ANSWERS = ("answer", "named")
_MOST_FIGURES = 30
"""So many numbers of a line are read: nobody says more, and each is weighed beside all others."""
_ROLE = "role"


def listen(
    line: str,
    knowledge: Knowledge,
    plausible: Callable[[Check], tuple[float, float]],
    asked: str = "",
    today: datetime.date | None = None,
) -> Understood:
    """What a line states about the checks, the role and the complaint.

    Args:
        line: what was typed, its letters composed.
        plausible: between which numbers a check's mostly lies, in its unit.
        asked: the check whose question stands; a bare number, and an answer of nothing named, is its.
        today: the date of the job, for what is said by dates.

    Returns:
        The facts in the order of the line, each check at most once, and what is said with doubt or may be meant.
    """
    book = book_of(knowledge)
    return _Line(line, book, knowledge, today).heard(plausible, asked)


class _Line:
    """One line, listened to."""

    def __init__(
        self,
        line: str,
        book: Phrasebook,
        knowledge: Knowledge,
        today: datetime.date | None,
    ) -> None:
        language = language_in_use()
        self._line = line
        typed = cut(line, language)
        words = with_spans(line, book.words_of(typed), language)
        figures = without_times(figures_in(line, words, language, today), words, language)
        self._figures = with_volumes(figures, words, language)[:_MOST_FIGURES]
        starts = {figure.first for figure in self._figures}
        # `last week` is a stretch of time, and words of sayings too.
        self._times = times = {figure.first for figure in self._figures if figure.is_time}
        dates = {figure.first for figure in self._figures if figure.is_date}
        # `zero`, and 0, is a number, and a word of sayings as well.
        nothings = {figure.first for figure in self._figures if figure.number == "0"}
        zero = stem(zero_word(language), language)
        words = [
            replace(word, key=word.key if at in times else zero if at in nothings else NUMBER, kind="number")
            if at in starts
            else word
            for at, word in enumerate(words)
        ]
        self._words = words
        self._book = book
        self._knowledge = knowledge
        self._clauses: Clauses = clauses_of(words, typed, dates, book.talk, book.small_in(words))

    def heard(self, plausible: Callable[[Check], tuple[float, float]], asked: str) -> Understood:
        said = self._sayings()
        said += self._bare({asked} | {meaning.check for meaning, found in said if self._goes_on(meaning, found)})
        matches = self._stated(said)
        numbers_at = {at for figure in self._figures for at in range(figure.first, figure.last + 1)}
        kept = Choosing(self._words, self._clauses, self._book, numbers_at).chosen(matches, said)
        numbers = {check.id: check for check in asked_checks(self._knowledge) if check.is_number}
        beside = [each for each in said if each[0].kind not in ("answer", "named")]
        book = self._book
        read = read_numbers(self._figures, beside, self._clauses, numbers, book.said, book.named, plausible, asked)
        facts: dict[str, tuple[int, Fact]] = {}
        unclear: list[tuple[int, Unclear]] = []
        for match in kept:
            place = match.found.places[0]
            if match.doubtful:
                either = [value for value in (match.value, match.rival) if value is not None]
                unclear.append((place, self._unclear(match.found.places, [(match.check, value) for value in either])))
            elif match.check not in facts:
                facts[match.check] = (place, Fact(match.check, match.value, self._text(match.found.places)))
        for reading in read.sure:
            places = range(reading.first, reading.last + 1)
            state = self._state_of(places, reading.check)
            if state == "nothing":
                continue
            if state == "doubtful" or (self._clauses.only_ought(places) and not self._asks_ought(reading, said)):
                unclear.append((reading.first, self._unclear(places, [(reading.check, reading.value)])))
            else:
                facts[reading.check] = (reading.first, Fact(reading.check, _rounded(reading.value), self._text(places)))
        for figure, readings in read.unsure:
            places = range(figure.first, figure.last + 1)
            open_ones = [each for each in readings if each.check not in facts]
            if open_ones and self._state_of(places, open_ones[0].check) != "nothing":
                unclear.append((figure.first, self._unclear(places, [(each.check, each.value) for each in open_ones])))
        # A saying that came to nothing says nothing of its words.
        read_of = {*facts, *(each.check for each in kept)}
        heard_at = {at for meaning, found in beside if meaning.check in read_of for at in found.places}
        heard_at |= {at for match in kept for at in match.found.places}
        heard_at |= numbers_at
        unclear = self._guessed(heard_at, facts, unclear)
        unclear = [each for each in unclear if any(c.check not in facts for c in each[1].candidates)]
        return Understood(
            tuple(fact for _, fact in sorted(facts.values(), key=lambda each: each[0])),
            tuple(item for _, item in sorted(unclear, key=lambda each: each[0])),
        )

    def _is_left_out(self, places: Sequence[int]) -> bool:
        """Whether `no` is no number where the verb of before is left out: `added no salt, no stabiliser neither`."""
        clause = self._clauses.clauses[self._clauses.of[places[0]]]
        inside = {word.text for word in self._words[clause.start : clause.end]}
        return not inside.isdisjoint(self._book.talk.words["left_out"])

    def _asks_ought(self, reading: CheckReading, said: Sequence[tuple[Meaning, Found]]) -> bool:
        """Whether a reading is what should be, or a difference to it: `104 V, meant to be 120`."""
        ought = self._clauses.clauses[self._clauses.of[reading.first]].ought
        by_name = any(meaning.check == reading.check and found.words & ought for meaning, found in said)
        return by_name or reading.weight >= SURELY

    def _guessed(
        self, heard_at: Collection[int], facts: Mapping[str, tuple[int, Fact]], unclear: Sequence[tuple[int, Unclear]]
    ) -> list[tuple[int, Unclear]]:
        """What is unclear, with its rivals beside it, and what the clauses may mean of which words are left over."""
        found, known = list(unclear), facts.keys()
        given = [(place, (fact.check, fact.value)) for place, fact in facts.values()]
        for clause in self._clauses.clauses:
            places = range(clause.start, clause.end)
            if clause.asked or clause.ahead or clause.past:
                continue
            offered = [(c.check, c.value) for _, item in found for c in item.candidates]
            open_ones = [k for k, (at, item) in enumerate(found) if at in places and self._is_of_answers(item)]
            left = {at - clause.start for at in places if open_ones or at not in heard_at}
            told = [answer for place, answer in given if place in places]
            likely = guesses(self._words[clause.start : clause.end], left, self._book, known, told, clause.doubtful)
            likely = [each for each in likely if each.answer not in offered and self._may_be(clause, each.answer[0])]
            if open_ones:
                at, item = found[open_ones[0]]
                beside = [Candidate(*each.answer) for each in likely if each.sure >= _BESIDE]
                found[open_ones[0]] = at, replace(item, candidates=(*item.candidates, *beside)[:_MOST_OFFERED])
            elif sum(each.sure for each in likely[:_MOST_OFFERED]) >= _ONE_OF_THEM:
                meant = tuple(Candidate(*each.answer) for each in likely[:_MOST_OFFERED])
                words = [at for at in places if self._words[at].kind != "mark"]
                found.append((words[0], Unclear(self._text(words), meant)))
        return found

    def _may_be(self, clause: Clause, check: str) -> bool:
        """Whether a clause may tell of what a check asks for: of another thing only where it asks for those."""
        said = self._book.said.get(check)
        return not clause.elsewhere or (said is not None and said.of_others)

    def _is_of_answers(self, item: Unclear) -> bool:
        return all(isinstance(each.value, str) for each in item.candidates)

    def _sayings(self) -> list[tuple[Meaning, Found]]:
        between = self._book.between(self._words)
        found = []
        for phrase, meaning in self._book.sayings_for(self._words):
            where = find(phrase, self._words, between)
            if where is None or (meaning.kind == "never" and self._ends_by_number(where.places)):
                continue
            if phrase.denies and self._is_only_wished(phrase, where):
                where = replace(where, weak=True)
            if meaning.kind == "never" and self._times & where.words:
                # What was so last month rules out nothing of today; the clause itself is told as past.
                continue
            found.append((meaning, where))
        return found

    def _is_only_wished(self, phrase: Phrase, found: Found) -> bool:
        """Whether a denial tells what somebody would not do, and the saying what was not done: `wouldn't touch`."""
        moods = {self._words[at].text for at in found.places} & self._book.talk.words["moods"]
        return bool(moods) and moods.isdisjoint(phrase.says.replace("'", "").replace("/", " ").split())

    def _ends_by_number(self, places: Sequence[int]) -> bool:
        """Whether a comma behind a number parts a saying: of `test 4100, plates white` none is of so many plates."""
        return any(
            self._words[at].kind == "number" and any(word.kind == "mark" for word in self._words[at + 1 : after])
            for at, after in pairwise(places)
        )

    def _bare(self, checks: Collection[str]) -> list[tuple[Meaning, Found]]:
        """Answers in their own words, of the check that is asked and of those of which the line says how they were."""
        between = self._book.between(self._words)
        pairs = [pair for check in checks for pair in self._book.bare.get(check, ())]
        found = ((meaning, find(phrase, self._words, between)) for phrase, meaning in pairs)
        return [(meaning, where) for meaning, where in found if where is not None and not self._is_of_a_thing(where)]

    def _is_of_a_thing(self, found: Found) -> bool:
        """Whether what is named right behind an answer of one word is what it is of: `clear plates`."""
        behind = self._words[found.places[-1] + 1 : found.places[-1] + 2]
        return len(found.places) == 1 and bool(behind) and behind[0].key in self._book.things

    def _goes_on(self, meaning: Meaning, found: Found) -> bool:
        """Whether what stands there is how it was, or is taken back: then the answer that follows may stand alone."""
        was = any(clause.past for clause in self._clauses.touching(found.places))
        return was or (meaning.kind in _ANSWERS and self._clauses.before_correction(found.places))

    def _stated(self, said: Sequence[tuple[Meaning, Found]]) -> list[Match]:
        """The answers that the line states, or may state; what is denied of two is the other."""
        matches = []
        for meaning, found in said:
            if meaning.kind not in _ANSWERS:
                continue
            state = self._state_of(found.places, meaning.check)
            if state == "nothing":
                continue
            if meaning.kind == "named" and self._denies_more(found.places[-1]):
                continue
            value = meaning.what
            if not found.denies and self._clauses.denied(found.places):
                other = self._other(meaning)
                if other is None:
                    continue
                value = other
            weight = found if meaning.kind == "answer" else replace(found, weight=found.weight - 0.6)
            doubtful = state == "doubtful" or found.weak or _is_loose(found)
            doubtful |= self._clauses.on_condition(found.places)
            doubtful |= self._clauses.only_ought(found.places)
            doubtful |= found.denies and self._clauses.denied_again(found.places)
            denies = found.denies or value != meaning.what or self._denies(found)
            doubtful |= denies and self._clauses.only_left(found.places)
            doubtful |= isinstance(value, float) and self._is_left_out(found.places)
            said_of = self._book.said.get(meaning.check)
            doubtful |= said_of is not None and said_of.alone and self._clauses.in_list(found.places)
            matches.append(Match(meaning.check, value, weight, doubtful, plain=state == "stated"))
        return matches

    def _denies(self, found: Found) -> bool:
        return any(self._words[at].text in self._book.talk.denies for at in found.places)

    def _denies_more(self, at: int) -> bool:
        """Whether a denial that ends what was found denies what follows: `screen says no flow`, and no `screen: no`."""
        follows = self._words[at + 1 : at + 2]
        return self._words[at].text in self._book.talk.denies and bool(follows) and follows[0].kind != "mark"

    def _other(self, meaning: Meaning) -> str | None:
        """What is meant where an answer is denied: the other one of two; None where there are more."""
        check = self._knowledge.checks.get(meaning.check)
        if check is None or check.is_number or len(check.answers) != 2:
            return None
        return next(answer.id for answer in check.answers if answer.id != meaning.what)

    def _state_of(self, places: Collection[int], check: str) -> str:
        """Whether what stands there is stated, doubtful, or nothing of this pool as it is now."""
        said = self._book.said.get(check)
        clauses = self._clauses.touching(places)
        of_others = check == _ROLE or (said is not None and said.of_others)
        if any(clause.is_silent(places, of_others) for clause in clauses):
            return "nothing"
        past = [clause.past for clause in clauses]
        if any(past) and not (said is not None and said.past):
            return "nothing"
        if any(past) != all(past) or any(clause.doubtful for clause in clauses):
            return "doubtful"
        return "doubtful" if self._clauses.is_doubted_after(clauses[-1]) else "stated"

    def _text(self, places: Collection[int]) -> str:
        return self._line[self._words[min(places)].start : self._words[max(places)].end]

    def _unclear(self, places: Collection[int], meant: Sequence[tuple[str, str | float]]) -> Unclear:
        candidates = tuple(Candidate(check, _rounded(value)) for check, value in meant[:_MOST_OFFERED])
        return Unclear(self._text(places), candidates)


def _is_loose(found: Found) -> bool:
    """Whether two words stand apart: of such sayings two in five were taken wrongly, in lines not seen before."""
    low, high = found.places[0], found.places[-1]
    return len(found.places) == _PAIR and found.weight < _PAIR and high - low > 1 and found.weight != _PAIR - TURNED


def _rounded(value: str | float) -> str | float:
    return float(f"{value:.6g}") if isinstance(value, float) else value
