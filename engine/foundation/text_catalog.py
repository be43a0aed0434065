"""The program's own words by key, in the language in use: read from the `words` folder when first asked for."""

from __future__ import annotations

import string
from collections.abc import Mapping
from contextlib import AbstractContextManager
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, why_not
from engine.foundation.texts import speak_with, speaking, told
from engine.foundation.yaml_reader import MOST_BYTES, Path, YamlDocument, compose

ENGLISH = "en"
"""The language that stands in the knowledge itself; every other one is laid over it."""
WORDS = "words"
LANGUAGES = "languages"
"""Names of folders inside a faults folder: the program's own words, and the other languages laid over it all."""

_BROKEN = "the words file that tells this mistake is broken here"
"""The one English sentence in the code: a words file that cannot be read can hold no words for its own mistake."""


def languages_of(folder: Traversable | FilePath) -> tuple[str, ...]:
    """The codes of the languages that can be used with a faults folder: English, then its own and the shipped ones."""
    places = [place.joinpath(LANGUAGES) for place in (folder, files("faults"))]
    found = {item.name for place in places if place.is_dir() for item in place.iterdir()}
    return (ENGLISH, *sorted(code for code in found if code[:1] not in "._" and code != ENGLISH))


class Phrases:
    """The words of one language, looked up by keys such as `opening.role.question`.

    The first part of a key names a file of the `words` folder, the others lead inside it. A text may hold fields such
    as `{count}`. Where a language lacks a text, English stands in.
    """

    def __init__(self, language: str = ENGLISH, folder: Traversable | FilePath | None = None) -> None:
        """Args: the language's code, such as `es`, and a faults folder (None: the shipped one) that may lack words."""
        shipped = files("faults")
        whole = [shipped] if folder is None else [folder, shipped]
        over = [place.joinpath(LANGUAGES, language) for place in whole] if language != ENGLISH else []
        self.language, self._folder = language, folder
        self._layers = [place.joinpath(WORDS) for place in (*over, *whole)]
        self._files: dict[str, dict[str, str]] = {}
        self._groups: dict[str, Mapping[str, str]] = {}
        self._half_read: set[str] = set()

    def say(self, key: str, /, **fields: object) -> str:
        """The text of a key, with its fields filled in. Raises KeyError for a key or a field that there is none of."""
        texts = self._file(key)
        if key not in texts and key.partition(".")[0] in self._half_read:
            return f"{_BROKEN} ({key})"
        text = texts[key]
        return text.format_map(fields) if "{" in text or "}" in text else text

    def said(self, key: str, /) -> Mapping[str, str]:
        """The texts directly under a key, by their own names, in the order of the English file."""
        if key in self._groups:
            return self._groups[key]
        found = {path[len(key) + 1 :]: text for path, text in self._file(key).items() if path.startswith(f"{key}.")}
        if key.partition(".")[0] in self._half_read:
            return found
        if not found:
            raise KeyError(key)
        return self._groups.setdefault(key, found)

    def other(self, language: str) -> Phrases:
        """The words of another language, out of the same folders."""
        return Phrases(language, self._folder)

    def _file(self, key: str) -> dict[str, str]:
        name = key.partition(".")[0]
        if name not in self._files:
            # What is wrong in a file of mistakes is told in the words of its layers that were read before it.
            texts = self._files[name] = {}
            self._half_read.add(name)
            try:
                for layer in reversed(self._layers):
                    _lay_over(texts, _texts(layer.joinpath(f"{name}.yaml"), name))
            except KnowledgeError:
                del self._files[name]
                raise
            finally:
                self._half_read.discard(name)
        return self._files[name]


def _lay_over(texts: dict[str, str], over: Mapping[str, str]) -> None:
    """Put texts over others; one with a field that the program does not fill in is left out, as `check` tells."""
    for key, text in over.items():
        if "{" not in text or key not in texts or fields_of(text) <= fields_of(texts[key]):
            texts[key] = text


def fields_of(text: str) -> frozenset[str]:
    """The names of the fields of a text. Raises ValueError where a brace is amiss or a field is more than a name."""
    names = set()
    for _, name, form, conversion in string.Formatter().parse(text):
        if name is None:
            continue
        if not name.isidentifier() or form or conversion:
            raise ValueError(f"`{{{name}}}` is no plain name")
        names.add(name)
    return frozenset(names)


def flat_texts(document: YamlDocument) -> dict[str, str]:
    """The texts of a words file by the way to each, joined by dots. Raises KnowledgeError for anything but text."""
    problems = list(document.problems)
    texts: dict[str, str] = {}

    def walk(data: object, path: Path) -> None:
        if isinstance(data, Mapping):
            for name, part in data.items():
                walk(part, (*path, str(name)))
        elif isinstance(data, str):
            try:
                fields_of(data)
            except ValueError:
                problems.append(document.problem(path, *told("mistakes_text.field")))
            texts[".".join(str(part) for part in path)] = data
        else:
            problems.append(document.problem(path, *told("mistakes_text.no_text")))

    walk(document.data, ())
    if problems:
        raise KnowledgeError(problems)
    return texts


def _texts(file: Traversable | FilePath, name: str) -> dict[str, str]:
    """The texts of one file, each under its whole key; none where there is no such file."""
    try:
        content = read_at_most(file, MOST_BYTES + 1)
    except FileNotFoundError:
        return {}
    except OSError as error:
        problem = Problem(str(file), 1, 1, *told("mistakes_files.unread_file", why=why_not(error).lower()))
        raise KnowledgeError([problem]) from None
    return {f"{name}.{path}": text for path, text in flat_texts(compose(str(file), content)[0]).items()}


def use_language(language: str, folder: Traversable | FilePath | None = None) -> None:
    """From now on speak this language, with the words of this faults folder before the shipped ones."""
    speak_with(Phrases(language, folder))


def in_language(language: str, folder: Traversable | FilePath | None = None) -> AbstractContextManager[None]:
    """Inside `with`, speak this language in this thread or task alone, with the words of this faults folder first.

    The words of knowledge are those of the language that it was loaded in: each language has `Models` of its own.
    """
    return speaking(Phrases(language, folder))
