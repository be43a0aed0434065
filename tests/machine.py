"""Tests that need a program of the machine: they run where it is there, and it is said loudly where they do not.

With `BRINECALL_BROWSER=required` they run in any case, and fail where the program is missing.
"""

from __future__ import annotations

import os
import shutil

import pytest
from hypothesis import is_hypothesis_test
from xdist.remote import Producer
from xdist.scheduler.loadscope import LoadScopeScheduling

NEEDS = {
    "tests/reports/renderers/test_in_browser.py": "chromium",
    "tests/reports/renderers/test_what_forms_carry.py": "pdftotext",
    "tests/reports/renderers/test_pdf_read_back.py": "pdftotext",
    "tests/reports/card/test_card_read_back.py": "pdftotext",
    "tests/reports/charts/test_drawings_in_browser.py": "chromium",
    "tests/interview/commands/test_handing_over.py::test_a_label_has_its_size": "pdftotext",
    "tests/interview/frontends/test_paging.py::test_what_is_meant_for_the_interview": "less",
}
"""Which tests need which program; of `test_what_forms_carry.py` those of the PDF alone."""
PACKAGES = {"chromium": "chromium", "less": "less", "pdftotext": "poppler-utils"}
REQUIRED = "BRINECALL_BROWSER"
TOGETHER = {
    "tests/reports/card/": "the cards",
    "tests/reports/charts/test_drawings_in_browser.py": "the cards",
    "tests/reports/sheets/test_customer.py": "the papers of the worked calls",
    "tests/reports/sheets/test_shop.py": "the papers of the worked calls",
}
"""Files whose tests share what is made once and takes long: one worker takes all of them."""


def missing() -> list[str]:
    """The programs that some tests need and this machine has not."""
    return [program for program in PACKAGES if shutil.which(program) is None]


def required() -> bool:
    return os.environ.get(REQUIRED) == "required"


class WholeFiles(LoadScopeScheduling):  # type: ignore[misc]  # the library has no types
    """Gives a worker all tests of a file, or of those files that share what they make."""

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.split("::")[0]
        return next((TOGETHER[each] for each in TOGETHER if file.startswith(each)), file)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> WholeFiles:
    """Several workers share the tests so."""
    return WholeFiles(config, log)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark the tests that need a program and those that are not counted, and leave out what cannot run here.

    What is required is not left out.
    """
    for item in items:
        if program := _program_of(item):
            item.add_marker("browser" if program == "chromium" else "e2e")
        if is_hypothesis_test(getattr(item, "obj", None)):
            # A property goes the same branches a hundred times; counting them takes longer than all of it.
            item.add_marker("no_cover")
    without = [] if required() else missing()
    left_out = [item for item in items if without and _program_of(item) in without]
    if left_out:
        items[:] = [item for item in items if item not in left_out]
        config.hook.pytest_deselected(items=left_out)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what did not run, in a heading of its own."""
    without = missing()
    if not without or required():
        return
    files = [file for file, program in NEEDS.items() if program in without]
    terminalreporter.section("NOT RUN: a program is missing on this machine", sep="!", red=True, bold=True)
    terminalreporter.write_line(f"Missing: {', '.join(without)}. These tests did not run: {', '.join(files)}.")
    terminalreporter.write_line(
        f"On Debian: apt-get install {' '.join(PACKAGES[program] for program in without)}; "
        f"with {REQUIRED}=required their absence is a failure."
    )


def _program_of(item: pytest.Item) -> str | None:
    """The program that a test needs, if any."""
    program = next((program for file, program in NEEDS.items() if item.nodeid.startswith(file)), None)
    return None if item.path.name == "test_what_forms_carry.py" and "PDF" not in item.name else program
