"""A translation held beside the original: figures and steps that differ, and what it alone tells people to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain

from engine.foundation.problems import Grade, Problem
from engine.foundation.text_catalog import ENGLISH
from engine.foundation.texts import told
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder
from engine.knowledge.figures_told import figures_in
from engine.knowledge.second_look import id_of, quantities, spoken
from engine.knowledge.stamps import SAFETY
from engine.knowledge.translation import Overlay, Texts, flat, texts_of

SPOKEN = (
    spoken.steps_tell_their_acts,
    spoken.nobody_is_told_to,
    quantities.amounts_are_within_reason,
    quantities.mixes_are_weak_enough,
)
"""The rules on what texts tell people to do: they hold in every language."""
_UNCOUNTED = ("names", "words", "perhaps", "not_words", "steps_say", "spoken_of")
"""Words by which people call a thing are others in each language."""


def differences(folder: Folder, overlay: Overlay, language: str) -> Iterator[Problem]:
    """A translation has the numbers and units of the original, and as many steps: a wrong dose hurts whoever reads it.

    Right: `Put ten parts water.` as `Ponga diez partes de agua.`, or `7.2` as `7,2`.
    Wrong: `Put ten parts water.` as `Ponga dos partes de agua.`

    Args: the entries in English, the language laid over them, and its code.
    """
    for (kind, entry_id), (document, base) in overlay.places.items():
        grade: Grade = "mistake" if kind in SAFETY else "look again"
        english, said = (texts_of(each.of_kind(kind)[entry_id].form) for each in (folder, overlay.folder))
        for path, key, fields in chain(_steps(english, said), _figures(english, said, language)):
            problem = document.problem((*base, *path), *told(f"overlay.beside.{key}", **fields))
            yield replace(problem, grade=grade)


def dangers_said(overlay: Overlay, language: str) -> Iterator[Problem]:
    """What the texts of a language tell people to do that the work is not made of, or that nobody ever does.

    Args: the language laid over the entries, and its code.
    """
    for rule in SPOKEN:
        for doubt in rule(overlay.folder, language):
            form = doubt.placed.form
            kind = next(each for each in overlay.folder.declared if hasattr(form, each))
            found = replace(doubt, rule=id_of(rule), grade="danger")
            if (place := overlay.places.get((kind, getattr(form, kind)))) is not None and not found.is_answered():
                yield replace(found, placed=replace(doubt.placed, document=place[0], base=place[1])).problem()


_Difference = tuple[Path, str, dict[str, object]]


def _steps(english: Texts, said: Texts) -> Iterator[_Difference]:
    """Lists of steps that are not as long as the original: a step is spoken of by its number."""
    for reader, steps in english.get("steps", {}).items():
        here = said["steps"].get(reader, steps)
        if len(here) != len(steps):
            yield ("steps", reader), "steps", {"here": len(here), "there": len(steps)}


def _figures(english: Texts, said: Texts, language: str) -> Iterator[_Difference]:
    """Texts whose numbers are not those of the original, or whose units are others behind the same number."""
    there = dict(flat(english))
    for path, text in flat(said):
        if path in there and text != there[path] and not set(_UNCOUNTED) & set(path):
            ours, theirs = (
                [(figure.value, figure.unit) for figure in figures_in(each, code)]
                for each, code in ((text, language), (there[path], ENGLISH))
            )
            numbers = [Counter(value for value, _ in each) for each in (ours, theirs)]
            if numbers[0] != numbers[1]:
                yield (
                    path,
                    "numbers",
                    {"here": _listed(numbers[0] - numbers[1]), "there": _listed(numbers[1] - numbers[0])},
                )
            elif other := _other_unit(ours, theirs):
                yield path, "unit", dict(zip(("value", "here", "there"), other, strict=True))


def _other_unit(ours: list[tuple[float, str]], theirs: list[tuple[float, str]]) -> tuple[str, str, str] | None:
    """The first number that has a unit in both texts and not the same one: the number and both units."""
    for value, unit in ours:
        there = [other for number, other in theirs if number == value and other]
        if unit and there and unit not in there:
            return f"{value:g}", unit, there[0]
    return None


def _listed(numbers: Counter[float]) -> str:
    return ", ".join(f"{value:g}" for value in sorted(numbers.elements())) or "-"
