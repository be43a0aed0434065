"""What people say, of one knowledge in one language, made ready to be found in a line."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

from rapidfuzz.distance import OSA
from rapidfuzz.process import extract

from engine.foundation.plain_text import without_accents
from engine.knowledge.model import Check, Knowledge
from engine.knowledge.said import Said, SaidOf
from engine.session.availability import asked_checks
from interview.understanding.listening.likelihood import Likelihood
from interview.understanding.listening.phrase import NUMBER, Meaning, Phrase, SayingWord
from interview.understanding.listening.words import Talk, Word, cut, stem

_SHORT, _LONG = 5, 8
"""Letters of a word in which one slip, and two, are allowed for; two letters may change places in any."""

_NEEDED = "!"
"""Behind a word of little weight: the saying is not found without it, as `when! pump on`."""


_MARKS = str.maketrans(",();:?", "      ")


@dataclass(frozen=True)
class Phrasebook:
    """The sayings by a word each of them needs, and the words that they and the texts are made of.

    `named` are the words of weight that say of which check a number is. `bare` are the answers of a check in its own
    words, which say it where the check is spoken of; `alike` are ways of saying one word by their first key, the
    longest first.
    """

    language: str
    talk: Talk
    said: Mapping[str, SaidOf]
    by_key: Mapping[str, Sequence[tuple[Phrase, Meaning]]]
    by_beginning: Sequence[tuple[Phrase, Meaning]]
    by_each: Mapping[str, Sequence[tuple[Phrase, Meaning]]]
    bare: Mapping[str, Sequence[tuple[Phrase, Meaning]]]
    rarity: Mapping[str, float]
    alike: Mapping[str, Sequence[tuple[tuple[str, ...], str]]]
    vocabulary: frozenset[str]
    stems: frozenset[str]
    named: Mapping[str, frozenset[str]]
    things: frozenset[str]
    by_length: Mapping[int, tuple[str, ...]]

    @cached_property
    def likelihood(self) -> Likelihood:
        """The answers weighed by words, counted when they are first guessed at."""
        return Likelihood(self.by_each)

    def words_of(self, typed: Sequence[Word]) -> list[Word]:
        """The words of a line, slips in them mended, and each that has another way of saying it under that one."""
        return self._same([self._mended(word) for word in typed])

    def small_in(self, words: Sequence[Word]) -> frozenset[int]:
        """The places of the words of little weight."""
        return frozenset(at for at, word in enumerate(words) if word.text in self.talk.small)

    def between(self, words: Sequence[Word]) -> list[float]:
        """What each word counts for between two words of a saying."""
        apart = self.talk.parting | self.talk.words["ends"]
        return [
            0.0
            if word.kind == "mark" or word.text in self.talk.small
            else 3.0
            if word.text in apart
            else 2.0
            if word.key in self.things
            else 0.5
            if word.kind == "number"
            else 1.0
            for word in words
        ]

    def sayings_for(self, words: Iterable[Word]) -> Iterator[tuple[Phrase, Meaning]]:
        """The sayings that may stand in a line."""
        keys = [NUMBER if word.kind == "number" else word.key for word in words]
        for key in dict.fromkeys([*keys, *(word.key for word in words)]):
            yield from self.by_key.get(key, ())
        yield from self.by_beginning

    def agreeing(self, keys: Collection[str], meaning: tuple[str, str | float]) -> tuple[int, int]:
        """How many sayings with all these words say an answer, and how many there are."""
        lists = [self.by_each.get(key, ()) for key in keys]
        with_all = [
            said for phrase, said in min(lists, key=len, default=()) if all(phrase.mentions(key) for key in keys)
        ]
        return sum((said.check, said.what) == meaning for said in with_all), len(with_all)

    def _mended(self, word: Word) -> Word:
        if word.kind != "word" or len(word.text) < _SHORT - 1 or word.text in self.vocabulary or word.key in self.stems:
            return word
        size = len(word.text)
        most = 2 if size >= _LONG else 1
        near = [other for length in range(size - most, size + most + 1) for other in self.by_length.get(length, ())]
        found = extract(word.text, near, scorer=OSA.distance, score_cutoff=most, limit=6)
        slips = [each for each in found if _is_slip(word.text, each[0], most)]
        if not slips:
            return word
        meant = min(slips, key=lambda each: (each[1], each[0][0] != word.text[0], each[0]))[0]
        return replace(word, text=meant, key=stem(meant, self.language))

    def _same(self, words: Sequence[Word]) -> list[Word]:
        """The words, each way of saying another word as that one."""
        found: list[Word] = []
        at = 0
        while at < len(words):
            ways = self.alike.get(words[at].key, ())
            way = next(((way, word) for way, word in ways if _stands(way, words, at)), None)
            if way is None:
                found.append(words[at])
                at += 1
                continue
            parts, word = way
            first, last = words[at], words[at + len(parts) - 1]
            found.append(Word(word, stem(word, self.language), first.start, last.end))
            at += len(parts)
        return found


def _is_slip(typed: str, meant: str, most: int) -> bool:
    """Whether a word may be a slip in another: in a short one only two letters that changed places."""
    if sorted(typed) == sorted(meant):
        return True
    return len(typed) >= _SHORT and len(meant) >= _SHORT and typed[0] == meant[0] and most > 0


def _stands(way: Sequence[str], words: Sequence[Word], at: int) -> bool:
    return len(way) <= len(words) - at and all(
        words[at + place].kind == "word" and words[at + place].key == key for place, key in enumerate(way)
    )


def phrasebook(knowledge: Knowledge, said: Said, talk: Talk, language: str, texts: Collection[str]) -> Phrasebook:
    """The sayings of a knowledge, ready to be found.

    Args:
        said: how people say its checks.
        texts: other words of the language that are no slips, such as those of all texts.
    """
    making = _Making(language, talk, said.alike)
    for check, ways in said.checks.items():
        if check in knowledge.checks or check in ("role", "complaint"):
            making.add_said(check, ways)
    sayings = said.checks.get("complaint")
    for tree in knowledge.trees.values():
        # A complaint of which nobody wrote how people say it goes by its names; one of a single word stands alone only.
        if sayings is None or tree.id not in sayings.answers:
            making.add_trouble(tree.id, [name for name in tree.names if " " in name.strip()])
    for named in asked_checks(knowledge):
        by_saying = said.checks.get(named.id)
        making.add_names(named, "over" if by_saying is not None and by_saying.base else "number")
    return making.book(said.checks, texts)


class _Making:
    """Gathers sayings."""

    def __init__(self, language: str, talk: Talk, alike: Mapping[str, Sequence[str]]) -> None:
        self._language = language
        self._talk = talk
        self._words: set[str] = set()
        self._answers: dict[str, list[tuple[Phrase, Meaning]]] = {}
        self._cuts: dict[str, list[Word]] = {}
        self._made: dict[str, tuple[SayingWord, frozenset[str]]] = {}
        self._found: dict[tuple[tuple[SayingWord, ...], Meaning], Phrase] = {}
        self._alike: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        self._small = frozenset(stem(word, language) for word in talk.small)
        self._ordered = self._small | talk.words["fixed"]
        self._close = frozenset(stem(word, language) for word in talk.words["fixed"])
        own = talk.small - talk.words["own"]
        nothing: frozenset[str] = frozenset()
        # Beside a number it counts whose it is, and of two numbers the one that it went `from` is the lower one.
        numbers = {"number": own, "never": own, "base": nothing, "over": nothing, "under": nothing}
        self._counted = {"answer": talk.small, "named": talk.small, **numbers}
        self._ordinary = frozenset(stem(word, language) for word in talk.ordinary) | {NUMBER}
        for word, others in alike.items():
            plain = without_accents(word)
            self._words.add(plain)
            for way in others:
                keys = tuple(each.key for each in self._cut(way) if each.kind == "word")
                if keys and keys != (stem(plain, language),):
                    self._alike.setdefault(keys[0], []).append((keys, plain))
        for listed in self._alike.values():
            listed.sort(key=lambda each: -len(each[0]))
        every = [each for listed in self._alike.values() for each in listed]
        self._single = {keys[0]: stem(word, language) for keys, word in every if len(keys) == 1}
        self._put_under = self._alike.keys() | self._single.keys()

    def add_said(self, check: str, said: SaidOf) -> None:
        for answer, phrases in said.answers.items():
            for phrase in phrases:
                self._add(phrase, Meaning(check, answer))
        for kind in ("number", "never", "base", "over", "under"):
            for phrase in getattr(said, kind):
                self._add(phrase, Meaning(check, kind, kind))

    def add_trouble(self, tree: str, names: Iterable[str]) -> None:
        for name in names:
            self._add(name, Meaning("complaint", tree))

    def add_names(self, check: Check, number: str) -> None:
        """A check's name with an answer's means this answer; by a number's name a number is its."""
        names = dict.fromkeys((*check.names, check.id.replace("_", " "), check.wording.technician))
        if check.is_number:
            for name in names:
                self._add(name, Meaning(check.id, number, number))
            return
        for answer in check.answers:
            for way in dict.fromkeys((*answer.names, answer.id.replace("_", " "), answer.wording.technician)):
                parts = self._parts(_tokens(way), skipped=self._talk.small)
                if parts:
                    phrase = Phrase(tuple(parts), any(part.denies for part in parts), False, True, False, (), way)
                    self._answers.setdefault(check.id, []).append((phrase, Meaning(check.id, answer.id)))
                kept = frozenset(word.text for word in self._cut(way))
                for name in names:
                    if " " not in name and way in self._talk.denies:
                        # `screen no` begins much else: `the screen no longer matches`.
                        continue
                    self._add(f"{name} {way}", Meaning(check.id, answer.id, "named"), kept)

    def book(self, said: Mapping[str, SaidOf], texts: Collection[str]) -> Phrasebook:
        keyed = [
            (parts, phrase, meaning, frozenset().union(*(part.keys for part in parts)))
            for (parts, meaning), phrase in self._found.items()
        ]
        counts = Counter(chain.from_iterable(keys for _, _, _, keys in keyed))
        by_key: dict[str, list[tuple[Phrase, Meaning]]] = {}
        by_each: dict[str, list[tuple[Phrase, Meaning]]] = {}
        by_beginning = []
        commonness = {part: sum(counts[key] for key in part.keys) for parts, *_ in keyed for part in parts}
        for parts, phrase, meaning, keys in keyed:
            pair = (phrase, meaning)
            if meaning.kind == "answer":
                for key in keys:
                    by_each.setdefault(key, []).append(pair)
            whole = [part for part in parts if not part.begins]
            if not whole:
                by_beginning.append(pair)
                continue
            for key in min(whole, key=commonness.__getitem__).keys:
                by_key.setdefault(key, []).append(pair)
        named: dict[str, frozenset[str]] = {}
        ordinary = self._ordinary - {stem(word, self._language) for word in self._talk.words["own"]}
        for _, _, meaning, keys in keyed:
            if meaning.kind == "number":
                named[meaning.check] = named.get(meaning.check, frozenset()) | (keys - ordinary)
        talk = self._talk
        words = self._words.union(texts, *talk.words.values())
        words |= {word for phrases in (*talk.sayings.values(), *talk.things.values()) for word in phrases.words}
        by_length: dict[int, list[str]] = {}
        for word in sorted(self._words):
            by_length.setdefault(len(word), []).append(word)
        return Phrasebook(
            self._language,
            talk,
            said,
            by_key,
            by_beginning,
            by_each,
            self._answers,
            {key: math.log(len(self._found) / count) for key, count in counts.items()},
            self._alike,
            frozenset(words),
            frozenset(stem(word, self._language) for word in words),
            named,
            frozenset(stem(word, self._language) for listed in self._alike.values() for _, word in listed),
            {length: tuple(words) for length, words in by_length.items()},
        )

    def _cut(self, phrase: str) -> list[Word]:
        if phrase not in self._cuts:
            self._cuts[phrase] = cut(without_accents(phrase), self._language)
            self._words.update(word.text for word in self._cuts[phrase] if word.kind == "word")
        return self._cuts[phrase]

    def _add(self, phrase: str, meaning: Meaning, kept: frozenset[str] = frozenset()) -> None:
        """Make a saying; of its small words those that are `kept` count: `pack fuse ok` is no `pack fuse`."""
        tokens = _tokens(phrase)
        counted = self._counted[meaning.kind]
        parts = self._parts(tokens, skipped=counted if kept & counted != kept else counted - kept)
        if len(parts) < 2 < len(tokens) + 1:
            # Of `at the pool` more has to be found than the pool.
            parts = self._parts(tokens, skipped=frozenset())
        key = (tuple(parts), meaning)
        numbered = sum(NUMBER in part.keys for part in parts)
        if numbered == len(parts) or key in self._found:
            return
        denies = any(part.denies for part in parts)
        turns = not denies and not numbered and len(parts) <= 4
        turns = turns and all(part.keys.isdisjoint(self._ordered) for part in parts)
        weak = meaning.kind == "answer" and len(parts) <= 2 and not any(self._tells(part) for part in parts)
        close = tuple(at for at, part in enumerate(parts) if part.keys and part.keys <= self._close)
        self._found[key] = Phrase(tuple(parts), denies, turns, meaning.kind == "named", weak, close, phrase)

    def _tells(self, part: SayingWord) -> bool:
        """Whether a part says anything of this trade."""
        return bool(part.begins) or not part.keys <= self._ordinary

    def _parts(self, tokens: Sequence[str], skipped: frozenset[str]) -> list[SayingWord]:
        found = []
        for token in tokens:
            part, texts = self._made.get(token) or self._part(token.removesuffix(_NEEDED))
            if part.begins or not texts <= skipped or token.endswith(_NEEDED):
                found.append(part)
        return self._same(found)

    def _part(self, token: str) -> tuple[SayingWord, frozenset[str]]:
        """A word of a saying, and the ways of writing it."""
        if token not in self._made:
            if token == NUMBER:
                self._made[token] = SayingWord(frozenset({NUMBER})), frozenset({NUMBER})
                return self._made[token]
            ways = token.split("/")
            begins = tuple(without_accents(way[:-1]) for way in ways if way.endswith("*"))
            whole = [word for way in ways if not way.endswith("*") for word in self._cut(way.replace("_", " "))]
            whole = [word for word in whole if word.kind == "word"]
            denies = any(word.text in self._talk.denies for word in whole)
            part = SayingWord(frozenset(word.key for word in whole), begins, denies)
            self._made[token] = part, frozenset(word.text for word in whole)
        return self._made[token]

    def _same(self, parts: list[SayingWord]) -> list[SayingWord]:
        """The parts, ways of saying another word put under that one, as in a line."""
        if all(part.keys.isdisjoint(self._put_under) for part in parts):
            return parts
        found: list[SayingWord] = []
        at = 0
        while at < len(parts):
            taken, part = 1, parts[at]
            if len(part.keys) == 1 and not part.begins:
                (key,) = part.keys
                for way, word in self._alike.get(key, ()):
                    if len(way) <= len(parts) - at and all(
                        len(parts[at + k].keys) == 1 and way[k] in parts[at + k].keys for k in range(1, len(way))
                    ):
                        taken, part = len(way), SayingWord(frozenset({stem(word, self._language)}))
                        break
            elif not part.keys.isdisjoint(self._single):
                part = replace(part, keys=frozenset(self._single.get(key, key) for key in part.keys))
            found.append(part)
            at += taken
        return found


def _tokens(phrase: str) -> list[str]:
    return phrase.translate(_MARKS).split()
