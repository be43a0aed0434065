"""A line of text as pieces that the catalogue knows: names of checks, words of answers, numbers, and words it lacks."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from engine.foundation.texts import language_in_use, once_a_language, say
from engine.knowledge.model import Knowledge
from engine.quantities.units import ASK_WHICH, KINDS
from interview.understanding.matching import in_plain_words
from interview.understanding.normalize import without_accents
from interview.understanding.numbers import in_signs

Pair = tuple[str, str]
"""A check's id and the id of one of its answers."""

_NUMBER = re.compile(r"[+\-\u2212]?(?:[0-9]+(?:[.,'\u2019][0-9]+)*|[.,][0-9]+)")
_TOKEN = re.compile(r"[,;!()\"?]|[.](?![0-9])|(?:[^\s,;!?()\".:=]|[.,](?=[0-9]))+")
_THOUSAND = re.compile(r"[0-9]{3}(?:[.][0-9]+)?")
_WORD = re.compile(r"[^\W_]+")
_MARKS = frozenset(',;!()".')
"""What parts facts. A question mark is none of them: what is asked is not said."""
_UNIT_KEYS = frozenset(key for kind in KINDS.values() for key in kind.spellings) | frozenset(ASK_WHICH)
_LONGEST_UNIT = 40
_UNIT_TOKENS = 3
"""A unit such as `degrees Celsius` or `grams per litre` has at most this many words."""


@dataclass(frozen=True)
class Lexicon:
    """The phrases of a catalogue, as tuples of plain words: the checks they name, the answers they mean."""

    names: Mapping[tuple[str, ...], frozenset[str]]
    answers: Mapping[tuple[str, ...], frozenset[Pair]]
    longest: Mapping[str, int]
    """Words of the longest phrase by its first word."""
    called: Mapping[str, tuple[str, ...]]
    """The checks that go by a name or a wording as a whole, by its plain words."""


@dataclass(frozen=True)
class Piece:
    """One piece of a line, from `start` to before `end`.

    A number has its `number` with any unit as typed, whether a unit was typed (`has_unit`), and in `names` what that
    unit names by itself. A phrase has the checks it `names` and the `answers` it can mean. One with neither is a word
    that the catalogue lacks, or with `parts` what parts two facts.
    """

    start: int
    end: int
    number: str = ""
    has_unit: bool = False
    names: frozenset[str] = frozenset()
    answers: frozenset[Pair] = frozenset()
    parts: bool = False

    @property
    def is_unknown(self) -> bool:
        """Whether the catalogue lacks these words."""
        return not (self.number or self.names or self.answers or self.parts)


@dataclass(frozen=True)
class _Token:
    """A plain word, a number or a mark, with its place; `odd` where digits stand in it as in no number or unit."""

    word: str
    start: int
    end: int
    is_number: bool = False
    odd: bool = False


_LAST: list[tuple[Knowledge, str, Lexicon]] = []
"""The catalogue last asked about, the language and its words: a line is read in far less time than they take."""


def lexicon_of(knowledge: Knowledge) -> Lexicon:
    """The catalogue's own words: names, ids and wordings of checks and of their answers."""
    if not _LAST or _LAST[0][0] is not knowledge or _LAST[0][1] != language_in_use():
        _LAST[:] = [(knowledge, language_in_use(), _gathered(knowledge))]
    return _LAST[0][2]


def _gathered(knowledge: Knowledge) -> Lexicon:
    names: dict[tuple[str, ...], set[str]] = {}
    answers: dict[tuple[str, ...], set[Pair]] = {}
    for check in knowledge.checks.values():
        for said in (check.id, *check.names, check.wording.technician):
            for phrase in _phrases_of(said):
                names.setdefault(phrase, set()).add(check.id)
        for answer in check.answers:
            for said in (answer.id, *answer.names, answer.wording.customer, answer.wording.technician):
                for phrase in _phrases_of(said):
                    answers.setdefault(phrase, set()).add((check.id, answer.id))
    _add_names_that_answer(names, answers)
    longest: dict[str, int] = {}
    for phrase in filter(None, (*names, *answers)):
        longest[phrase[0]] = max(longest.get(phrase[0], 0), len(phrase))
    return Lexicon(
        names={phrase: frozenset(checks) for phrase, checks in names.items() if phrase},
        answers={phrase: frozenset(pairs) for phrase, pairs in answers.items() if phrase},
        longest=longest,
        called=_called(knowledge),
    )


def _called(knowledge: Knowledge) -> dict[str, tuple[str, ...]]:
    called: dict[str, tuple[str, ...]] = {}
    for check in knowledge.checks.values():
        said = (check.id, *check.names, check.wording.customer, check.wording.technician)
        for name in {in_plain_words(name) for name in said} - {""}:
            called[name] = (*called.get(name, ()), check.id)
    return called


def _add_names_that_answer(names: dict[tuple[str, ...], set[str]], answers: dict[tuple[str, ...], set[Pair]]) -> None:
    """Let a name that is a shorter name with an answer mean this answer too: `pump running`, of a check so named."""
    for phrase, checks in names.items():
        found: set[Pair] = set()
        for cut in range(1, len(phrase)):
            for name, answer in ((phrase[:cut], phrase[cut:]), (phrase[cut:], phrase[:cut])):
                named = checks & names.get(name, set())
                found |= {pair for pair in answers.get(answer, ()) if pair[0] in named}
        if found:
            answers.setdefault(phrase, set()).update(found)


def pieces_of(line: str, lexicon: Lexicon) -> list[Piece]:
    """Cut a line into pieces, the longest phrases of the whole line first.

    Args:
        line: a line without control characters.
        lexicon: the catalogue's words.
    """
    tokens = _tokens(line)
    phrases = _phrases(tokens, lexicon)
    pieces: list[Piece] = []
    at = 0
    piece: Piece | None
    while at < len(tokens):
        if tokens[at].is_number and at not in phrases:
            piece, taken = _number_at(line, tokens, at, lexicon, phrases)
        else:
            piece, taken = _phrase_at(tokens, at, lexicon, phrases.get(at, 0))
        if piece is not None:
            pieces.append(piece)
        at += taken
    return pieces


def words_of_weight(text: str) -> tuple[str, ...]:
    """A text as plain words, without those of little weight."""
    return tuple(token.word for token in _tokens(text) if token.word not in _function_words().joining | {","})


@dataclass(frozen=True)
class _FunctionWords:
    """Words of little weight in a language.

    `silent` ones change no meaning anywhere, and phrases are compared without them; `joining` ones may belong to a
    phrase, and say nothing where they belong to none; `parting` ones part one fact from the next, unless they belong
    to a phrase.
    """

    silent: frozenset[str]
    joining: frozenset[str]
    parting: frozenset[str]


@once_a_language
def _function_words() -> _FunctionWords:
    silent, joining, parting = (
        frozenset(without_accents(say(f"lexicon.{kind}")).split()) for kind in ("silent", "joining", "parting")
    )
    return _FunctionWords(silent, joining, parting | {","})


def _phrases_of(said: str) -> set[tuple[str, ...]]:
    """A text of the catalogue as plain words, with its commas and without."""
    words = [token.word for token in _tokens(said)]
    while words and words[-1] == ",":
        words.pop()
    return {tuple(words), tuple(word for word in words if word != ",")}


def _tokens(text: str) -> list[_Token]:
    tokens: list[_Token] = []
    for found in _TOKEN.finditer(text):
        run, start = found[0], found.start()
        if run in _MARKS:
            tokens.append(_Token(",", start, found.end()))
        elif number := _NUMBER.match(run):
            tokens += _number_tokens(run, number.end(), start)
        else:
            tokens += _word_tokens(run, start)
    return tokens


def _number_tokens(run: str, end: int, start: int) -> list[_Token]:
    """A run that begins as a number: the number, and with it only a unit."""
    rest = run[end:]
    number = _Token(run[:end], start, start + end, is_number=True)
    if not rest:
        return [number]
    if not _is_unit(rest) or any(unicodedata.category(char) == "No" for char in rest[:1]):
        return [_Token(run.casefold(), start, start + len(run), odd=True)]
    return [number, _Token(rest.casefold(), start + end, start + len(run))]


def _word_tokens(run: str, start: int) -> list[_Token]:
    """A run that begins as a word: its words, or a name with its number such as `pH7.4`."""
    if run.isalpha():
        word = without_accents(run)
        return [] if word in _function_words().silent else [_Token(word, start, start + len(run))]
    if _is_unit(run):
        return [_Token(unicodedata.normalize("NFKC", run).casefold(), start, start + len(run))]
    glued = re.fullmatch(r"([^\W\d_]+)(\d.*)", run)
    if glued and _NUMBER.fullmatch(glued[2]):
        split = start + len(glued[1])
        return [
            _Token(without_accents(glued[1]), start, split),
            _Token(glued[2], split, start + len(run), is_number=True),
        ]
    if any(char.isdigit() or char.isnumeric() for char in run):
        return [_Token(run.casefold(), start, start + len(run), odd=True)]
    words = [_Token(without_accents(word[0]), start + word.start(), start + word.end()) for word in _WORD.finditer(run)]
    if not words:
        return [_Token(run, start, start + len(run), odd=True)]
    return [word for word in words if word.word not in _function_words().silent]


def _is_unit(typed: str) -> bool:
    """Whether a text is a unit as people spell it."""
    return len(typed) <= _LONGEST_UNIT and (_unit_key(typed) in _UNIT_KEYS or _unit_key(in_signs(typed)) in _UNIT_KEYS)


@lru_cache(maxsize=2000)
def _unit_key(typed: str) -> str:
    """A typed unit in the form of the spelling tables."""
    text = re.sub(r"\s+(?:per|an?)\s+", "/", unicodedata.normalize("NFKC", typed).strip().lower())
    return re.sub(r"[\s.()^]+", "", text)


def _number_at(
    line: str, tokens: list[_Token], at: int, lexicon: Lexicon, phrases: Mapping[int, int]
) -> tuple[Piece, int]:
    """The number at a place, with its thousands after a space and its unit."""
    last = at
    while last + 1 < len(tokens) and re.fullmatch(
        r"[0-9]{1,3}(?: [0-9]{3})*", line[tokens[at].start : tokens[last].end]
    ):
        if not (tokens[last + 1].is_number and _THOUSAND.fullmatch(tokens[last + 1].word)):
            break
        if tokens[last + 1].start != tokens[last].end + 1:
            break
        last += 1
    start, end = tokens[at].start, tokens[last].end
    for count in range(min(_UNIT_TOKENS, len(tokens) - last - 1), 0, -1):
        unit = tokens[last + 1 : last + 1 + count]
        if any(token.is_number or token.word == "," for token in unit):
            continue
        if any(place + phrases.get(place, 0) > last + 1 + count for place in range(last + 1, last + 1 + count)):
            continue
        after = last + 1 + count
        names = lexicon.names.get(tuple(token.word for token in unit), frozenset())
        before_number = bool(names) and after < len(tokens) and tokens[after].is_number
        if _is_unit(line[end : unit[-1].end]) and not before_number:
            whole = line[start : unit[-1].end]
            return Piece(start, unit[-1].end, number=whole, has_unit=True, names=names), after - at
    return Piece(start, end, number=line[start:end]), last + 1 - at


def _phrases(tokens: list[_Token], lexicon: Lexicon) -> dict[int, int]:
    """The known phrases of a line, none over another, as place and number of tokens: longest first, then leftmost."""
    found: list[tuple[int, int]] = []
    for at, token in enumerate(tokens):
        for count in range(min(lexicon.longest.get(token.word, 0), len(tokens) - at), 0, -1):
            phrase = tuple(each.word for each in tokens[at : at + count])
            if phrase in lexicon.names or phrase in lexicon.answers:
                found.append((count, at))
    taken = [False] * len(tokens)
    phrases = {}
    for count, at in sorted(found, key=lambda each: (-each[0], each[1])):
        if not any(taken[at : at + count]):
            taken[at : at + count] = [True] * count
            phrases[at] = count
    return phrases


def _phrase_at(tokens: list[_Token], at: int, lexicon: Lexicon, count: int) -> tuple[Piece | None, int]:
    """The phrase of `count` tokens at a place, or where there is none a word; nothing for a function word."""
    token = tokens[at]
    if count:
        phrase = tuple(each.word for each in tokens[at : at + count])
        names = lexicon.names.get(phrase, frozenset())
        answers = lexicon.answers.get(phrase, frozenset())
        return Piece(token.start, tokens[at + count - 1].end, names=names, answers=answers), count
    if not token.odd and token.word in _function_words().joining:
        return None, 1
    return Piece(token.start, token.end, parts=token.word in _function_words().parting), 1
