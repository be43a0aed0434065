"""What several tests read is read once: a YAML file for its content, and the shipped knowledge for its language.

Both took more of the tests' time than anything else; what is found wrong in a text is told anew each time.
Imported before all else, so that every module takes its reader from here.
"""

from __future__ import annotations

from functools import cache, wraps
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import TYPE_CHECKING

from engine.foundation import yaml_reader
from engine.foundation.texts import language_in_use
from engine.foundation.yaml_reader import YamlDocument
from interview.command_line import startup

if TYPE_CHECKING:
    from engine.session.models import Models

MOST_KEPT = 2000
_PARSED = yaml_reader.compose
_KEPT: dict[tuple[object, ...], tuple[YamlDocument, ...]] = {}


@wraps(_PARSED)
def compose(file: str, content: bytes, several: bool = False) -> tuple[YamlDocument, ...]:
    """As the reader itself."""
    key = (file, content, several, yaml_reader._LOADER)
    if key in _KEPT:
        return _KEPT[key]
    documents = _PARSED(file, content, several)
    # Problems are told in the language of the moment.
    if not any(document.problems for document in documents):
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[key] = documents
    return documents


yaml_reader.compose = compose

_LOADED = startup.load


@cache
def _shipped(language: str) -> Models:
    assert language == language_in_use()
    return _LOADED(files("faults"))


@wraps(_LOADED)
def load(folder: Traversable | Path) -> Models:
    """As the program itself."""
    return _shipped(language_in_use()) if folder == files("faults") else _LOADED(folder)


startup.load = load
