"""How long the customer's page is, and where on it the first step stands, over the worked calls.

`python -m tests.benchmarks.handouts` takes all worked calls, each as if the counter had taken it, in English and
Spanish; `--every N` takes each N-th, `--paper` sets them on A4 and Letter too, which takes minutes. Printed for each
language: words (median, most), the line of the first numbered step and of the opening in text of 80 columns, boxes,
words of each section, pages; and the longest pages by name.
"""

from __future__ import annotations

import argparse
import dataclasses
import re
import statistics
import subprocess
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from importlib.resources import files
from typing import get_args

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import run_call
from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import DANGER_CHECK
from engine.session.models import Models
from engine.session.session import Session
from reports.document import CautionBox, Document, Heading, Paper
from reports.letterhead import Letterhead
from reports.renderers.pdf import pdf_form
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from reports.sheets.glossary import word_count
from tests.benchmarks.papers import DATE, calls

FIRST_STEP = re.compile(r"^ *1\. |^\+[=-]")
LONGEST_SHOWN = 8


@dataclasses.dataclass(frozen=True)
class Measured:
    """One page: its words in all, the lines at which it opens and at which its first step begins, 0 for none.

    A step begins with the boxes that are met there.

    `sections` are words by heading, its own among them; `pages` by paper, empty where it was not set.
    """

    name: str
    words: int
    opens: int
    step: int
    boxes: int
    sections: dict[str, int]
    pages: dict[str, int]


def words_in(text: str) -> int:
    """Words of a page in text form: whatever holds a letter or a digit between blanks."""
    return sum(any(map(str.isalnum, word)) for word in text.split())


def measured(name: str, document: Document, papers: Sequence[Paper] = ()) -> Measured:
    """Measure one page."""
    text = text_form((document,), 80)
    lines = text.splitlines()
    opening = next(number for number, line in enumerate(lines, 1) if line.startswith("====")) + 1
    step = next((number for number, line in enumerate(lines, 1) if FIRST_STEP.match(line)), 0)
    boxes = sum(isinstance(block, CautionBox) for block in document.blocks)
    pages: dict[str, int] = {paper: pages_of(document, paper) for paper in papers}
    return Measured(name, words_in(text), opening, step, boxes, _by_section(document), pages)


def pages_of(document: Document, paper: Paper) -> int:
    """On how many pages a document is set as a PDF."""
    told = subprocess.run(["pdfinfo", "-"], input=pdf_form((document,), paper), capture_output=True, check=True).stdout
    return int(re.search(rb"Pages: +(\d+)", told)[1])  # type: ignore[index]


def _by_section(document: Document) -> dict[str, int]:
    found: dict[str, int] = defaultdict(int)
    heading = "(opening)"
    for block in document.blocks:
        if isinstance(block, Heading) and block.level == 2:
            heading = block.text
        found["boxes" if isinstance(block, CautionBox) else heading] += word_count((block,))
    return dict(found)


def as_counter(models: Models, call: WorkedCall) -> Session:
    """A worked call as if the counter had taken it, with no danger where it says nothing of one."""
    facts = {DANGER_CHECK: "none", **call.facts}
    return run_call(models, dataclasses.replace(call, facts=facts, role="counter")).session


def pages(language: str, every: int = 1) -> Iterator[tuple[str, Document]]:
    """The customer's page of each so-manieth worked call in a language, with the call's name."""
    use_language(language)
    models = Models(load_knowledge(files("faults"), language))
    for call in calls(every):
        yield call.name, in_use(sheets(as_counter(models, call), DATE, "customer")[0])
    use_language("en")


def in_use(document: Document) -> Document:
    """A page as a shop that has given its name prints it, under a job's number, which is one word and no story."""
    return dataclasses.replace(document, job="c-117", shop="Pool Shop", letterhead=Letterhead("Pool Shop"))


def told(found: Sequence[Measured]) -> Iterator[str]:
    """The figures of a language, a line each."""
    for what in ("words", "opens", "step", "boxes"):
        values = [getattr(each, what) for each in found if what != "step" or each.step]
        yield f"{what}: median {statistics.median(values):g}, mean {statistics.fmean(values):.1f}, most {max(values)}"
    sections: dict[str, list[int]] = defaultdict(list)
    for each in found:
        for heading, words in each.sections.items():
            sections[heading].append(words)
    for heading, words_of_it in sorted(sections.items(), key=lambda item: -sum(item[1])):
        if len(words_of_it) >= len(found) / 20:
            mean = sum(words_of_it) / len(found)
            yield f"  {mean:6.1f} words a page, on {len(words_of_it)} pages, most {max(words_of_it)}: {heading}"
    for paper in found[0].pages:
        over = [each.name for each in found if each.pages[paper] > 1]
        yield f"{paper}: {len(over)} of {len(found)} on more than one page {over[:LONGEST_SHOWN]}"
    longest = sorted(found, key=lambda each: -each.words)[:LONGEST_SHOWN]
    yield "longest: " + "; ".join(f"{each.words} {each.name}" for each in longest)


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--languages", default="en,es")
    parser.add_argument("--paper", action="store_true")
    asked = parser.parse_args()
    papers = get_args(Paper) if asked.paper else ()
    for language in asked.languages.split(","):
        found = [measured(name, document, papers) for name, document in pages(language, asked.every)]
        sys.stdout.write(f"{language}: {len(found)} pages\n" + "".join(f"{line}\n" for line in told(found)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
