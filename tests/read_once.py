"""What several tests read is read once: a YAML file for its content, and the shipped knowledge for its language.

One knowledge is one object all over: what is made of it and kept, such as what people say, is made once too.

Both took more of the tests' time than anything else; what is found wrong in a text is told anew each time.
Imported before all else, so that every module takes its reader from here.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache, wraps
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING

from engine.foundation import yaml_reader
from engine.foundation.text_catalog import ENGLISH
from engine.foundation.texts import language_in_use
from engine.foundation.yaml_reader import Composed, YamlDocument
from engine.knowledge import loader
from interview.command_line import startup

if TYPE_CHECKING:
    from engine.knowledge.model import Knowledge
    from engine.session.models import Models

MOST_KEPT = 2000
_PARSED = yaml_reader.compose
_KEPT: dict[tuple[object, ...], tuple[YamlDocument, ...]] = {}


@wraps(_PARSED)
def compose(file: str, content: bytes, several: bool = False) -> tuple[YamlDocument, ...]:
    """As the reader itself. A copy of a folder holds the same under other names."""
    if isinstance(content, Composed):
        # Its bytes are those of a file too, and the document is another.
        return _PARSED(file, content, several)
    key = (content, several, yaml_reader._LOADER)
    if key in _KEPT:
        return tuple(replace(document, file=file) for document in _KEPT[key])
    documents = _PARSED(file, content, several)
    # Problems are told in the language of the moment.
    if not any(document.problems for document in documents):
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[key] = documents
    return documents


def _in_the_place_of(old: Callable[..., object], new: Callable[..., object]) -> None:
    """Wherever a module that was imported already has a function by its name, it has another from now on."""
    for module in tuple(sys.modules.values()):
        names = vars(module)
        if names.get(old.__name__) is old:
            names[old.__name__] = new


_in_the_place_of(_PARSED, compose)

_SHIPPED = Path(str(files("faults"))).resolve()
_READ, _LOADED = loader.load_knowledge, startup.load


@cache
def _knowledge(language: str) -> Knowledge:
    return _READ(files("faults"), language)


@cache
def _models(language: str) -> Models:
    assert language == language_in_use()
    return _LOADED(files("faults"))


def _is_shipped(folder: Traversable | Path) -> bool:
    return Path(str(folder)).resolve() == _SHIPPED


@wraps(_READ)
def load_knowledge(folder: Traversable | Path, language: str = ENGLISH) -> Knowledge:
    """As the loader itself."""
    return _knowledge(language) if _is_shipped(folder) else _READ(folder, language)


@wraps(_LOADED)
def load(folder: Traversable | Path) -> Models:
    """As the program itself."""
    return _models(language_in_use()) if _is_shipped(folder) else _LOADED(folder)


_in_the_place_of(_READ, load_knowledge)
_in_the_place_of(_LOADED, load)
