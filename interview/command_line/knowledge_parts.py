"""Parts of a faults folder for whoever needs no more of it: its cautions, and its limits of doses.

A mistake in a tree must not stand between a person and a dose, so only the file that is needed is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import cast

from engine.chlorinator.dose_limits import DoseLimits
from engine.foundation.bounded_read import read_at_most
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import language_in_use
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.build import limits_of
from engine.knowledge.cautions import told_for
from engine.knowledge.loader import read_folder
from engine.knowledge.properties import Occasion
from engine.knowledge.rules.limits import every_limit_is_set, limits_are_within_reason
from engine.knowledge.schema import CautionForm
from engine.knowledge.translation import overlay_of

_CAUTIONS, _LIMITS = "cautions.yaml", "limits.yaml"


def cautions_in(faults: Traversable | Path) -> Mapping[str, CautionForm]:
    """The cautions of a folder in the language in use; none where their file cannot be read."""
    folder, _ = read_folder("faults", _content(faults, _CAUTIONS))
    code = language_in_use()
    if code != ENGLISH:
        folder = overlay_of(folder, code, _content(faults.joinpath(LANGUAGES, code), _CAUTIONS)).folder
    return {name: placed.form for name, placed in folder.cautions.items()}


def caution_ids(cautions: Mapping[str, CautionForm], occasions: tuple[str, ...]) -> tuple[str, ...]:
    """The ids of the cautions told for occasions; an occasion that has none stands for itself."""
    named = cast("tuple[Occasion, ...]", occasions)
    found = [told_for(cautions, occasion) or (occasion,) for occasion in named]
    return tuple(dict.fromkeys(name for names in found for name in names))


def limits_in(faults: Traversable | Path) -> DoseLimits | None:
    """The limits of doses of a folder; None where it does not set each of them within reason."""
    folder, _ = read_folder("faults", _content(faults, _LIMITS))
    wrong = (*every_limit_is_set(folder), *limits_are_within_reason(folder))
    return limits_of(folder) if folder.is_whole("limit") and not wrong else None


def _content(folder: Traversable | Path, file: str) -> Mapping[str, bytes]:
    """One file of a folder by its name; nothing where it cannot be read."""
    try:
        return {file: read_at_most(folder.joinpath(file), MOST_BYTES + 1)}
    except OSError:
        return {}
