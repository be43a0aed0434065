"""Parts of a faults folder for whoever needs no more of it: its cautions, and its limits of doses.

A mistake in a tree must not stand between a person and a dose, so only the file that is needed is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import cast

from engine.chlorinator.dose_limits import DoseLimits
from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import language_in_use
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.build import limits_of
from engine.knowledge.catalogue import Folder
from engine.knowledge.hazards import told_for
from engine.knowledge.layers import laid_contents, laid_language
from engine.knowledge.loader import read_folder
from engine.knowledge.overlay_file import lies_over
from engine.knowledge.properties import Occasion
from engine.knowledge.rules.limits import every_limit_is_set, limits_are_within_reason
from engine.knowledge.translation import overlay_of

_SAFETY = ("hazards.yaml", "cautions.yaml")
_LIMITS = "limits.yaml"


def safety_in(faults: Traversable | Path) -> Folder:
    """The hazardous acts and their cautions, in the language in use; none where their files cannot be read."""
    folder, _ = read_folder("faults", _content(faults, ENGLISH, *_SAFETY))
    code = language_in_use()
    return folder if code == ENGLISH else overlay_of(folder, code, _content(faults, code, *_SAFETY)).folder


def caution_ids(folder: Folder, occasions: tuple[str, ...]) -> tuple[str, ...]:
    """The ids of the cautions of acting on something; an occasion that has none stands for itself."""
    acts = {name: placed.form for name, placed in folder.acts.items()}
    named = cast("tuple[Occasion, ...]", occasions)
    found = [told_for(acts, "technician", occasion) or (occasion,) for occasion in named]
    return tuple(dict.fromkeys(name for names in found for name in names))


def limits_in(faults: Traversable | Path) -> DoseLimits | None:
    """The limits of doses of a folder; None where it does not set each of them within reason."""
    folder, _ = read_folder("faults", _content(faults, ENGLISH, _LIMITS))
    wrong = (*every_limit_is_set(folder), *limits_are_within_reason(folder))
    return limits_of(folder) if folder.is_whole("limit") and not wrong else None


def _content(faults: Traversable | Path, language: str, *files: str) -> Mapping[str, bytes]:
    """Files of a folder in a language by their names; nothing of those that cannot be read."""
    found: dict[str, bytes] = {}
    if lies_over(faults):
        with suppress(KnowledgeError):
            laid, _ = laid_contents(faults) if language == ENGLISH else laid_language(faults, language)
            found = {file: laid[file] for file in files if file in laid}
        return found
    folder = faults if language == ENGLISH else faults.joinpath(LANGUAGES, language)
    for file in files:
        with suppress(OSError):
            found[file] = read_at_most(folder.joinpath(file), MOST_BYTES + 1)
    return found
