"""A folder's own words for the program: what the program no longer says, or fills in otherwise, is taken out."""

from __future__ import annotations

from importlib.resources import files

from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import WORDS, fields_of, flat_texts
from engine.foundation.yaml_reader import compose
from engine.knowledge.upgrade.text_edits import YamlText


def take_out_stale(text: YamlText, name: str) -> None:
    """Take those texts out that the program would refuse; its own stand in for them.

    Args:
        text: a file of words.
        name: the file's name, such as `view.yaml`; one that the program has no such file for is left to `check`.
    """
    shipped = files("faults").joinpath(WORDS, name)
    if not shipped.is_file():
        return
    wanted = flat_texts(compose(name, shipped.read_bytes())[0])
    try:
        own = flat_texts(compose(name, text.edited().encode())[0])
    except KnowledgeError:
        return
    stale = [key for key, said in own.items() if key not in wanted or fields_of(said) != fields_of(wanted[key])]
    text.take_out({tuple(key.split(".")) for key in stale})
