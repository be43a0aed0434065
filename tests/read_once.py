"""What several tests read is read once: a YAML file is parsed once for its content, not once for each test.

Parsing took more of the tests' time than anything else; what is found wrong in a text is told anew each time.
Imported before all else, so that every module takes its reader from here.
"""

from __future__ import annotations

from functools import wraps

from engine.foundation import yaml_reader
from engine.foundation.yaml_reader import YamlDocument

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
