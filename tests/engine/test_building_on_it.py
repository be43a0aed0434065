"""What the engine offers to others: the example of its README runs, and its names are there when first named."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier
from typing import Any

import numpy as np
import pytest

import engine
from engine.foundation.text_catalog import in_language
from engine.foundation.texts import language_in_use, say

README = Path(engine.__file__).parent / "README.md"


def ran() -> dict[str, Any]:
    """What the example of the README leaves behind."""
    example = README.read_text(encoding="utf-8").partition("```python\n")[2].partition("```")[0]
    left: dict[str, Any] = {}
    exec(compile(example, str(README), "exec"), left)
    return left


def test_the_example_of_the_readme_runs_and_tells_what_is_so() -> None:
    """Too little salt by the test is likeliest, and the dose is the mass balance: a ppm is a gram in a cubic metre."""
    left = ran()
    assert left["likeliest"] == "salt_low"
    assert left["share"] > 0.5
    assert left["act"] == engine.Session(left["models"], left["kept"]).next()
    assert all(np.abs(each - left["job"].belief).max() < 1e-12 for each in left["together"])
    assert left["salt"].results["salt_kg"] == pytest.approx(50 * (3200 - 2100) / 1000)


def test_the_example_speaks_spanish_where_it_says_so_and_nowhere_else() -> None:
    left = ran()
    with pytest.raises(ValueError, match="nobody") as english:
        engine.Session(left["models"]).record(engine.Event("answered", "", about="role", value="nobody"))
    assert "nobody" in left["refused"]
    assert left["refused"] != str(english.value)
    assert language_in_use() == "en"


def test_two_threads_speak_two_languages_at_the_same_time() -> None:
    both = Barrier(2, timeout=30)

    def speak(language: str) -> list[str]:
        with in_language(language):
            both.wait()
            return [f"{language_in_use()} {say('opening.role')}" for _ in range(50)]

    with ThreadPoolExecutor(2) as pool:
        english, spanish = pool.map(speak, ("en", "es"))
    assert len({*english}) == len({*spanish}) == 1
    assert english[0][:2] == "en"
    assert spanish[0][:2] == "es"
    assert english[0][3:] != spanish[0][3:]


def test_every_name_that_is_offered_is_there() -> None:
    assert all(callable(getattr(engine, name)) for name in engine.__all__)
    with pytest.raises(AttributeError, match="no_such_name"):
        engine.no_such_name  # noqa: B018


@pytest.mark.e2e
def test_the_bare_engine_imports_neither_arrays_nor_forms() -> None:
    told = subprocess.run(
        [sys.executable, "-c", "import sys, engine; print({'numpy', 'pydantic', 'transitions'} & {*sys.modules})"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stdout.strip() == "set()"
