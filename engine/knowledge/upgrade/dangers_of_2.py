"""The dangers of a folder of the first form, whose first steps the program knew by itself: a file of their own now."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from importlib.resources import files

from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.knowledge.model import DANGER_CHECK
from engine.knowledge.upgrade.properties_of_2 import REPORTS
from engine.knowledge.upgrade.text_edits import YamlText

DANGERS_FILE = "dangers.yaml"


def dangers_of(contents: Mapping[str, bytes], language: str) -> bytes:
    """The shipped entries of the dangers that a folder's first question asks for; empty where there are none.

    Args:
        contents: the folder's files by their names.
        language: whose texts; empty too where the program ships none in it.
    """
    shipped = files("faults")
    shipped = shipped if language == ENGLISH else shipped.joinpath(LANGUAGES, language)
    file = shipped.joinpath(DANGERS_FILE)
    asked = asked_dangers(contents)
    if DANGERS_FILE in contents or not asked or not file.is_file():
        return b""
    entries = re.split(r"(?m)^(?=- danger: )", file.read_text(encoding="utf-8"))[1:]
    named = [(entry.splitlines()[0].removeprefix("- danger: ").strip(), entry.strip()) for entry in entries]
    return "".join(f"{entry}\n\n" for name, entry in named if name in asked).rstrip("\n").encode() + b"\n"


def asked_dangers(contents: Mapping[str, bytes]) -> frozenset[str]:
    """The dangers that a folder's first question asks for.

    Args:
        contents: the folder's files by their names.
    """
    return frozenset(_asked(contents))


def _asked(contents: Mapping[str, bytes]) -> Iterator[str]:
    for name, content in contents.items():
        if not name.startswith("checks/"):
            continue
        text = YamlText.read(name, content)
        for check, entry in text.entries("check"):
            if check == DANGER_CHECK:
                yield from (
                    danger
                    for answer, danger in REPORTS[DANGER_CHECK].items()
                    if text.part(entry, "answers", answer) is not None
                )
