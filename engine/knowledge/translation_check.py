"""The languages of a faults folder: which there are, and what is wrong or missing in their files and in its words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, advice_for, under, why_not
from engine.foundation.text_catalog import LANGUAGES, WORDS, fields_of, flat_texts
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import MOST_BYTES, Path, YamlDocument, compose
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import inside
from engine.knowledge.held_beside import dangers_said, differences
from engine.knowledge.layers import laid_language
from engine.knowledge.overlay_file import lies_over, stack_of
from engine.knowledge.said import SAID
from engine.knowledge.said_check import said_problems
from engine.knowledge.translation import overlay_of

Words = Mapping[str, Mapping[str, str]]
"""The texts of words files: by the file's name, then by the key inside it."""


@dataclass(frozen=True)
class Looked:
    """What was found: what is wrong, and by language what is not said in it yet."""

    problems: tuple[Problem, ...]
    missing: Mapping[str, tuple[Problem, ...]]


def look_through(folder: Traversable | FilePath, entries: Folder) -> Looked:
    """Everything that is wrong or missing in the words and the languages of a faults folder without other mistakes.

    Args: the folder, and its entries.
    """
    shipped = _read_words(files("faults").joinpath(WORDS), [])
    problems: list[Problem] = []
    own = _read_words(folder.joinpath(WORDS), problems)
    compare_words(folder.joinpath(WORDS), own, _texts(shipped), problems)
    problems = under("words", problems)
    problems += under("phrases", said_problems(folder.joinpath(SAID), entries))
    english = {name: {**texts, **_texts(own).get(name, {})} for name, texts in _texts(shipped).items()}
    missing: dict[str, tuple[Problem, ...]] = {}
    alone = not lies_over(folder)
    for place in _languages(folder):
        laid, unread = laid_language(folder, place.name)
        overlay = overlay_of(entries, str(place), laid)
        wrong: list[Problem] = []
        words = _read_words(place.joinpath(WORDS), wrong)
        compare_words(place.joinpath(WORDS), words, english, wrong)
        problems += [*under("words", wrong), *unread, *under("translations", [*overlay.problems, *overlay.stale])]
        problems += under("figures-agree", differences(entries, overlay, place.name))
        problems += dangers_said(overlay, place.name)
        problems += under("phrases", said_problems(place.joinpath(SAID), entries))
        # What the program says is said by the folder below where this one only changes some of it.
        unsaid = [*overlay.missing, *(_lacking(place.joinpath(WORDS), words, english) if alone else ())]
        missing[place.name] = tuple(sorted(under("translations", unsaid)))
    return Looked(tuple(sorted(set(problems))), missing)


def _languages(folder: Traversable | FilePath) -> list[Traversable | FilePath]:
    """The folders of languages that a faults folder has or, where it lies over others, could have."""
    found = [place for layer in stack_of(folder) for place in inside(layer.folder.joinpath(LANGUAGES))]
    names = sorted({place.name for place in found if place.is_dir() and place.name[:1] not in "._"})
    return [folder.joinpath(LANGUAGES, name) for name in names]


def _read_words(
    place: Traversable | FilePath, problems: list[Problem]
) -> dict[str, tuple[YamlDocument, dict[str, str]]]:
    """The words files of a folder by name, without `.yaml`; those that cannot be read are told and left out."""
    found = {}
    for file in inside(place):
        if file.name.endswith(".yaml"):
            try:
                document = compose(str(file), read_at_most(file, MOST_BYTES + 1))[0]
                found[file.name.removesuffix(".yaml")] = (document, flat_texts(document))
            except KnowledgeError as error:
                problems += error.problems
            except OSError as error:
                why = why_not(error).lower()
                problems.append(Problem(str(file), 1, 1, *told("mistakes_files.unread_file", why=why)))
    return found


def _texts(words: Mapping[str, tuple[YamlDocument, dict[str, str]]]) -> Words:
    return {name: texts for name, (_, texts) in words.items()}


def compare_words(
    place: Traversable | FilePath,
    words: Mapping[str, tuple[YamlDocument, dict[str, str]]],
    wanted: Words,
    problems: list[Problem],
) -> None:
    """The texts of words files are those that the program asks for, with the fields that it fills in.

    Right: `more_mistakes: "and {count} more"`, where the program's own text has `{count}`.
    Wrong: `more_mistakes: "and {number} more"`.

    Args: the folder, its words by file, the wanted words, and the list that takes what is found.
    """
    for name, (document, texts) in words.items():
        if name not in wanted:
            what = say("overlay.words.unknown_file")
            problems.append(Problem(f"{place}/{name}.yaml", 1, 1, what, advice_for(name, wanted)))
            continue
        for key, text in texts.items():
            if key not in wanted[name]:
                what = say("overlay.words.unknown_key", name=key)
                problems.append(document.problem(_way(key), what, advice_for(key, wanted[name]), at_key=True))
            elif fields_of(text) != fields_of(wanted[name][key]):
                here, there = _listed(text), _listed(wanted[name][key])
                what = say("overlay.words.other_fields", here=here, wanted=there)
                problems.append(document.problem(_way(key), what, say("overlay.words.keep_fields")))


def _lacking(
    place: Traversable | FilePath, words: Mapping[str, tuple[YamlDocument, dict[str, str]]], wanted: Words
) -> list[Problem]:
    """The texts that a language's words files lack."""
    said = _texts(words)
    return [
        Problem(f"{place}/{name}.yaml", 1, 1, say("overlay.words.missing", name=key), say("overlay.words.write_it"))
        for name, texts in wanted.items()
        for key in texts
        if key not in said.get(name, {})
    ]


def _way(key: str) -> Path:
    return tuple(key.split("."))


def _listed(text: str) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(fields_of(text))) or say("overlay.words.no_fields")
