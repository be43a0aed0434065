"""What the text of a work tells people to do, found by the words that an act lists under `steps_say`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say_in

_SENTENCES = re.compile(r"[.!?;\n]+(?=\s|$)")
_CLAUSES = re.compile(r"[,:()]|\s-\s")
_WORD = re.compile(r"[^\W_]+")
_REACH = 4
"""A denial stands at most so many words before what it denies; further off it mostly denies something else."""


class ActWords:
    """What a list of phrases says, found in texts of one language.

    A phrase is words one after another, such as `undo* the unions`, where `*` is any ending and `/` stands between
    words that mean the same; `+` joins what may stand anywhere in one sentence. What a sentence forbids it does not
    tell: `Never undo the unions` tells nothing.
    """

    def __init__(self, phrases: Sequence[str], language: str, forbidden_throughout: bool = False) -> None:
        """Args: the phrases, the code of their language, and whether a sentence that begins by forbidding forbids all.

        `Do not, whatever they say, bridge the sensor` forbids, and `No flames, undo the unions` does not.
        """
        self._denials = _listed("denials", language)
        self._forbids = _listed("forbids", language) if forbidden_throughout else frozenset()
        self._phrases = [[_part(part) for part in phrase.split("+")] for phrase in phrases]

    def letters(self) -> set[str]:
        """Letters of which each text that tells any of these has some."""
        return {letters for parts in self._phrases for letters in parts[-1].letters}

    def told_in(self, plain: str) -> str:
        """The words by which a text tells people to do it; empty where it does not. Args: a text made `plain`."""
        for parts in self._phrases:
            # Most texts lack the thing that the last part names, and a plain look for letters says so soonest.
            if all(any(letters in plain for letters in part.letters) for part in reversed(parts)):
                for sentence in _SENTENCES.split(plain):
                    matches = [match for part in parts if (match := _pattern(part.ways).search(sentence))]
                    if len(matches) == len(parts) and not self._denied(sentence, matches):
                        return " ... ".join(match[0] for match in matches)
        return ""

    def _denied(self, sentence: str, found: Sequence[re.Match[str]]) -> bool:
        """Whether it is forbidden: a word of denial stands just before it in its clause, or between its parts."""
        if not self._forbids.isdisjoint(_WORD.findall(sentence)[:2]):
            return True
        first, last = (pick(found, key=lambda match: match.start()) for pick in (min, max))
        before = _WORD.findall(_CLAUSES.split(sentence[: first.start()])[-1])
        between = _WORD.findall(sentence[first.end() : last.start()])
        return not self._denials.isdisjoint([*before[-_REACH:], *between])


@once_a_language
def _listed(name: str, language: str) -> frozenset[str]:
    return frozenset(without_accents(say_in(language, f"step_talk.{name}")).split())


def plain(text: str) -> str:
    """A text in which phrases are looked for: small letters without accents, single spaces, its lines kept apart."""
    return "\n".join(" ".join(line.split()) for line in without_accents(text).split("\n"))


@dataclass(frozen=True)
class _Part:
    """One part of a phrase: the ways to say it, and the letters that each of them begins with."""

    ways: tuple[str, ...]
    letters: tuple[str, ...]


@cache
def _part(text: str) -> _Part:
    ways = tuple(" ".join(way.split()) for way in without_accents(text).split("/"))
    return _Part(ways, tuple(way.partition("*")[0] for way in ways))


@cache
def _pattern(ways: tuple[str, ...]) -> re.Pattern[str]:
    each = "|".join(re.escape(way).replace(r"\*", r"\w*").replace(r"\ ", r"\s") for way in ways)
    return re.compile(rf"(?<!\w)(?:{each})(?![\w'])")
