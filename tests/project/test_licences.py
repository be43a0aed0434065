"""Under what terms the program and what it needs may be used; `python -m tests.project.test_licences` lists them."""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterator
from email.message import Message
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import cast

from packaging.licenses import canonicalize_license_expression
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = ("pdf", "cluster", "postgres")
PERMISSIVE = {
    "0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "MIT", "PSF-2.0", "Zlib",
}  # fmt: skip
"""By their names in the SPDX licence list: they ask for no more than that their notices are kept."""
ON_REQUEST = {"LGPL-3.0-only": {"psycopg", "psycopg-binary"}}
"""What is only there with an extra that somebody asks for, and is used as its terms allow: linked, and unchanged."""
OLDER_NAMES = {
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD": "BSD-3-Clause",
    "BSD License": "BSD-3-Clause",
    "MIT License": "MIT",
    "PSFL": "PSF-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
"""How packages say it whose metadata is older than the SPDX names in it (PEP 639)."""


def needed(name: str, extras: tuple[str, ...], found: dict[str, str]) -> dict[str, str]:
    """The packages that a package needs, those of its extras too, each with its licence as an SPDX expression."""
    try:
        package = distribution(name)
    except PackageNotFoundError:
        return found
    for text in package.requires or ():
        wanted = Requirement(text)
        asked = wanted.marker is None or any(wanted.marker.evaluate({"extra": extra}) for extra in ("", *extras))
        if asked and wanted.name.lower() not in found:
            found[wanted.name.lower()] = licence_of(wanted.name)
            needed(wanted.name, tuple(wanted.extras), found)
    return found


def licence_of(name: str) -> str:
    """The licence of an installed package; "not installed" where it is not there, which a marker may well want."""
    try:
        told = cast(Message, distribution(name).metadata)
    except PackageNotFoundError:
        return "not installed"
    return next(spoken_of(told), "unknown")


def spoken_of(told: Message) -> Iterator[str]:
    """What a package's metadata says of its licence, the newest field first."""
    if expression := told.get("License-Expression"):
        yield canonicalize_license_expression(expression)
    for older in (told.get("License"), *(text.rpartition(" :: ")[2] for text in told.get_all("Classifier") or ())):
        if older and (older in OLDER_NAMES or older in PERMISSIVE):
            yield OLDER_NAMES.get(older, older)


def parts(expression: str) -> set[str]:
    """The licences that an SPDX expression names."""
    return set(re.split(r" (?:AND|OR|WITH) ", expression.replace("(", "").replace(")", "")))


def test_the_program_has_a_licence_of_the_spdx_list_whose_text_goes_with_it() -> None:
    assert canonicalize_license_expression(PROJECT["license"]) == PROJECT["license"] == "MIT"
    (path,) = PROJECT["license-files"]
    text = " ".join((ROOT / path).read_text(encoding="utf-8").split())
    assert "Permission is hereby granted, free of charge" in text
    assert "copies or substantial portions of the Software" in text
    assert f"{PROJECT['authors'][0]['name']} Permission" in text


def test_whatever_the_program_needs_may_be_passed_on_with_it() -> None:
    everything = needed("brinecall", EXTRAS, {})
    assert {"click", "numpy", "sqlalchemy", "typst"} <= set(everything)
    there = {name: licence for name, licence in everything.items() if licence != "not installed"}
    strange = {name: licence for name, licence in there.items() if not parts(licence) <= PERMISSIVE}
    assert {name for name, licence in strange.items() if name not in ON_REQUEST.get(licence, set())} == set()


def test_without_extras_all_is_permissive() -> None:
    plain = needed("brinecall", (), {})
    assert not set(plain) & {name for names in ON_REQUEST.values() for name in names}
    assert {name for name, licence in plain.items() if licence == "not installed"} == set()


if __name__ == "__main__":
    for package, terms in sorted(needed("brinecall", EXTRAS, {}).items()):
        sys.stdout.write(f"{package:24}{terms}\n")
