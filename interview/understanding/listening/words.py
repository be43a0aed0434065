"""A line as words, numbers and marks, and the words of a language by which a line is read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, Literal

from snowballstemmer import stemmer

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in
from interview.understanding.normalize import letter_by_letter

Kind = Literal["word", "number", "mark", "span"]
SPAN: Kind = "span"
"""A number that is the hours between two times of the clock."""

_NUMBER = r"[0-9]+(?:[.,'\u2019][0-9]+)*|[.,][0-9]+"
_TOKEN = re.compile(
    rf"(?P<number>{_NUMBER})|(?P<word>(?:m|ft|cm|dm)[23](?![^\W_])|(?<![^\W_/])[^\W\d_]/[^\W\d_](?![^\W_/])|[^\W\d_]+(?:['\u2019`][^\W\d_]+)*)|(?P<mark>\S)"
)
_SNOWBALL = {"en": "english", "es": "spanish"}
_ENDS = frozenset(".;!?\n")
SOFT = ","
"""The mark that a word or sign parting two clauses counts as."""


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a line: as typed in plain small letters, by what it is compared, and where it stands.

    A number's text is as typed. A mark is a comma, or one of those that end a sentence.
    """

    text: str
    key: str
    start: int
    end: int
    kind: Kind = "word"


_SINGLE = (
    "small",
    "tellers",
    "denies",
    "parting",
    "now",
    "was",
    "fixed",
    "own",
    "empty",
    "compares",
    "undone",
    "conditions",
    "ends",
    "refers",
    "joins",
    "ours",
    "beside",
    "telling",
    "left_out",
    "later",
    "rated",
    "moods",
)
_THINGS = ("others", "lent")
_NO_ORDINARY = ("tellers", "ours", "beside", "refers", "joins", "telling", "left_out", "later")
_SHORTEST_NAME = 3
_SAYINGS = (
    "hedges",
    "hedges_before",
    "past",
    "then",
    "then_says",
    "now_says",
    "since_says",
    "earlier_says",
    "ahead",
    "asks",
    "asks_first",
    "asks_not",
    "corrects",
    "excepts",
    "ought",
    "ours_alone",
)


@dataclass(frozen=True)
class KnownPhrases:
    """KnownPhrases by their first word, the longest of each first."""

    by_first: Mapping[str, Sequence[tuple[str, ...]]]

    @classmethod
    def of(cls, listed: Iterable[Sequence[str]]) -> KnownPhrases:
        """The phrases, each as its words."""
        by_first: dict[str, list[tuple[str, ...]]] = {}
        for phrase in sorted({tuple(each) for each in listed if each}, key=lambda each: (-len(each), each)):
            by_first.setdefault(phrase[0], []).append(phrase)
        return cls(by_first)

    @property
    def words(self) -> frozenset[str]:
        """All their words."""
        return frozenset(word for listed in self.by_first.values() for phrase in listed for word in phrase)


@dataclass(frozen=True)
class Talk:
    """A language's words of little weight, and those around a fact that change what it states, as its file names them.

    A saying with one of the `fixed` words is found in its own order alone; whose something is (`own`) counts beside a
    number; `empty` words alone say nothing of this trade.
    What follows one of `conditions` is when something else is so. Behind one that `compares`, long ago is no past.
    One that `ends` something never stands between the words of a saying: `light on and it stopped making`.
    A part of a line that begins by one that `refers`, or that one of `joins` joins to the one before and that names
    none of `ours`, goes on with what the part before is of. `things` are names, each word as `one_of` gives it: of
    `others`, which are not what is asked for, and of what is `lent` and measured in its stead. Behind one of `beside`
    a name tells only where, when or like what something is.
    """

    words: Mapping[str, frozenset[str]]
    sayings: Mapping[str, KnownPhrases]
    things: Mapping[str, KnownPhrases]

    @property
    def small(self) -> frozenset[str]:
        """Words of little weight."""
        return self.words["small"]

    @cached_property
    def ordinary(self) -> frozenset[str]:
        """All words of these lists, but for names of things and places: alone they say nothing of this trade."""
        return frozenset[str]().union(*(words for name, words in self.words.items() if name not in _NO_ORDINARY))

    @property
    def denies(self) -> frozenset[str]:
        """Words that deny."""
        return self.words["denies"]

    @property
    def parting(self) -> frozenset[str]:
        """Words that begin another clause."""
        return self.words["parting"]


@once_a_language
def talk_of(language: str) -> Talk:
    """The words of a language by which lines are read."""

    def plain(name: str) -> str:
        return without_accents(say_in(language, f"listening.{name}")).replace("'", "")

    def single(name: str) -> frozenset[str]:
        return frozenset(plain(name).split())

    def phrases(name: str) -> KnownPhrases:
        return KnownPhrases.of(phrase.split() for phrase in plain(name).split(","))

    words = {name: single(name) for name in _SINGLE}
    sayings = {name: phrases(name) for name in _SAYINGS}
    things = {
        name: KnownPhrases.of([one_of(word) for word in phrase.split()] for phrase in plain(name).split(","))
        for name in _THINGS
    }
    return Talk(words, sayings, things)


def one_of(word: str) -> str:
    """The name of one thing of several, and of that whose something is: `robots`."""
    return word.removesuffix("s") if len(word) > _SHORTEST_NAME else word


@cache
def _stemmer(language: str) -> Any:
    return stemmer(_SNOWBALL[language]) if language in _SNOWBALL else None


@once_a_language
def _whole(language: str) -> frozenset[str]:
    """Words that the rules of endings would make the same as others: `chlorinator` is no `chlorine`."""
    return frozenset(without_accents(say_in(language, "listening.whole")).split())


@once_a_language
def _nots(language: str) -> frozenset[str]:
    """Words that say `not`: `hasnt` and `isnt` are one in a saying."""
    return frozenset(without_accents(say_in(language, "listening.nots")).split())


@once_a_language
def stem(word: str, language: str) -> str:
    """A word without its ending, by the Snowball rules of the language; as it is where there are none."""
    if word in _nots(language):
        return "not"
    rules = _stemmer(language)
    if rules is None or len(word) < 3:
        return word
    singular = word.removesuffix("s")
    return singular if singular in _whole(language) else str(rules.stemWord(word))


def cut(line: str, language: str) -> list[Word]:
    """A line as its words, numbers and marks. Its letters must be composed (NFC)."""
    plain = letter_by_letter(line)
    words: list[Word] = []
    for found in _TOKEN.finditer(plain):
        start, end = found.span()
        if found["mark"] and found["mark"] in "\u00d7*":
            words.append(Word("x", "x", start, end))
        elif found["number"]:
            words.append(Word(line[start:end], "#", start, end, "number"))
        elif found["word"]:
            text = re.sub(r"['\u2019`/]", "", found["word"])
            words.append(Word(text, stem(text, language), start, end))
        elif (mark := _mark(found["mark"], plain, start)) is not None:
            words.append(Word(mark, mark, start, end, "mark"))
        elif found["mark"] == "%":
            words.append(Word("%", "%", start, end))
    return words


def _mark(sign: str, line: str, at: int) -> str | None:
    """What a sign counts as: a comma, an end of a sentence, or nothing."""
    if sign in _ENDS:
        return sign
    if sign in ",()&+/":
        return SOFT
    if sign in "-\u2013\u2014" and line[at - 1 : at].isspace() and line[at + 1 : at + 2].isspace():
        return SOFT
    return None


def ends_sentence(word: Word) -> bool:
    """Whether a mark ends a sentence."""
    return word.kind == "mark" and word.text in _ENDS


def phrase_at(texts: Sequence[str], at: int, phrases: KnownPhrases) -> int:
    """How many words the longest of the phrases takes that stands at a place; 0 where none does."""
    listed = phrases.by_first.get(texts[at], ()) if 0 <= at < len(texts) else ()
    return next((len(phrase) for phrase in listed if tuple(texts[at : at + len(phrase)]) == phrase), 0)
