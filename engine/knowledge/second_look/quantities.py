"""Dangers in how much: more of a part than anybody takes at once, a mix of acid stronger than the limit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from engine.foundation.plain_text import without_accents
from engine.foundation.text_catalog import ENGLISH
from engine.foundation.texts import say_in
from engine.knowledge.catalogue import Folder
from engine.knowledge.figures_told import ToldFigure, figures_in, kilos_or_litres
from engine.knowledge.second_look.doubt import Doubt, to_tell
from engine.knowledge.second_look.work import orders

_BEHIND = 3
"""Of what an amount is stands in one of so many words behind it, as in `20 litres of strong acid`."""
_MIX = "cleaning_mix_water"
_WORD = re.compile(r"[^\W\d_]+")


def amounts_are_within_reason(folder: Folder, language: str = ENGLISH) -> Iterator[Doubt]:
    """Nobody is given, nor told to take, more of a part at once than its `most`.

    Right: `parts: {cleaning_acid: 0.2 L}` where `cleaning_acid` has `most: 2 L`.
    Wrong: `parts: {cleaning_acid: 20 L}`, or a step that says `Pour 20 L of acid`.
    """
    most = {name: part.form.most for name, part in folder.parts.items() if part.form.most is not None}
    limits = {name: kilos_or_litres(amount.value, amount.unit) or 0.0 for name, amount in most.items()}
    for placed in folder.repairs.values():
        for part, amount in placed.form.parts.items():
            taken = kilos_or_litres(amount.value, amount.unit)
            if part in limits and taken is not None and taken > limits[part]:
                saying = to_tell("second_look.quantities.much", amount=f"{amount.value:g} {amount.unit}", of=part)
                yield Doubt(placed, ("parts", part), saying, part)
    # Two parts may go by one word, such as acid for the cell and for the pool: the larger amount holds.
    spoken: dict[str, float] = {}
    for part, limit in limits.items():
        for word in map(without_accents, folder.parts[part].form.spoken_of):
            spoken[word] = max(limit, spoken.get(word, 0.0))
    for placed, path, text in orders(folder):
        for figure, word in _amounts_in(text, spoken, language):
            fields = {"amount": f"{figure.value:g} {figure.unit}", "of": word}
            yield Doubt(placed, path, to_tell("second_look.quantities.much", **fields), word)


def mixes_are_weak_enough(folder: Folder, language: str = ENGLISH) -> Iterator[Doubt]:
    """No text tells to mix acid stronger than the limit `cleaning_mix_water`.

    Right: `Put ten parts water, then one part acid.`
    Wrong: `Put two parts water, then one part acid.`
    """
    limit = folder.limits.get(_MIX)
    acid, water = _words("acid", language), _words("parts_water", language)
    for placed, path, text in orders(folder) if limit is not None else ():
        plain = without_accents(text)
        for figure in figures_in(text, language) if any(word in plain for word in acid) else ():
            is_mix = not figure.unit and plain[figure.end :].lstrip().startswith(water)
            if is_mix and limit is not None and figure.value < limit.form.is_:
                fields = {"parts": f"{figure.value:g}", "limit": f"{limit.form.is_:g}"}
                yield Doubt(placed, path, to_tell("second_look.quantities.strong", **fields))


def _words(name: str, language: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in without_accents(say_in(language, f"step_talk.{name}")).split(","))


def _amounts_in(text: str, most: Mapping[str, float], language: str) -> Iterator[tuple[ToldFigure, str]]:
    """The amounts of a text that are beyond the most of what the words behind them name, each with that word."""
    plain = without_accents(text)
    most = {word: limit for word, limit in most.items() if word in plain}
    for figure in figures_in(text, language) if most else ():
        taken = kilos_or_litres(figure.value, figure.unit)
        behind = " ".join(_WORD.findall(plain[figure.end : figure.end + 60])[:_BEHIND])
        for word, limit in most.items():
            if taken is not None and taken > limit and re.search(rf"\b{re.escape(word)}", behind):
                yield figure, word
                break
