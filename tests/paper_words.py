"""What no customer's page says, whatever the job and its outcome: a second doer, a dose too much, a thing without use.

Laws of the trade and of sense, read off the composed page and the job; none asks the code that composes it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.foundation.texts import said, say
from engine.session.session import Session
from reports.document import Document, Heading, Items, Paragraph
from reports.sheets.glossary import words_of
from reports.view.model import JobView
from tests.paper_rules import HAND_DOSE_SAID

_CHLORINE_TESTS = ("free_chlorine", "owner_test")


def words_against_the_job(view: JobView, session: Session, page: Document) -> Iterator[str]:
    """What contradicts the job or itself on a customer's page; nothing where all is well."""
    if session.job.standing:
        return
    yield from _doers(view, session, page)
    yield from _doses(view, session)
    yield from _things(view, page)
    yield from amountless(view)
    yield from () if view.keep_away or view.danger else ungiven(page)
    yield from _outcome(view, page)


def _doers(view: JobView, session: Session, page: Document) -> Iterator[str]:
    """One does a job: steps at home are those of an owner's work, and nobody is told to do what others come for."""
    if view.home.work == "steps" and "owner" not in session.knowledge.repairs[view.actions[0].repair].who:
        yield "steps at home of a work that is not the owner's"
    numbered = any(isinstance(block, Items) and block.mark == "number" for block in page.blocks)
    if view.home.work not in ("none", "leave") and not numbered:
        yield "work at home without a step"
    put_off = [session.knowledge.repairs[name] for name in session.job.waiting if name in session.knowledge.repairs]
    if _heads(page, say("handout.waiting.yours")) and any("owner" not in repair.who for repair in put_off):
        yield "to do at home, a work that is not the owner's"
    opening = view.advice.opening
    others = view.decision.decision in ("send_technician", "order_and_return", "repair_here", "call_electrician")
    if others and view.actions and view.actions[0].title.rstrip(".").lower() in opening.lower():
        yield "an opening that gives the work of others to the customer"


def _doses(view: JobView, session: Session) -> Iterator[str]:
    """No hand dose at or above the range, nor where nobody tested; no amount under two works."""
    readings = session.job.readings
    tested = [float(readings[name].value) for name in _CHLORINE_TESTS if name in readings]
    told = any(HAND_DOSE_SAID.search(line) for line in view.advice.meanwhile)
    ever = any(event.kind in ("answered", "corrected") and event.about in _CHLORINE_TESTS for event in session.events)
    if told and not ever:
        yield "a hand dose that no test has asked for"
    if told and tested and tested[0] >= _upper_of_low(session):
        yield "a hand dose at or above the range"
    found = [amount.text for action in view.actions for amount in action.amounts if any(map(str.isdigit, amount.text))]
    if len(found) != len(set(found)):
        yield "one amount under two works"


WORN_OR_USED = {
    "goggles": r"goggles|gafas",
    "gloves": r"gloves|guantes",
    "apron": r"\bapron|\bdelantal",
    "pure water": r"distilled|diluted sample|dilute a sample|destilada|diluida|diluya",
    "grease": r"silicone|silicona",
    "primer": r"primer for|primer and glue|imprimaci",
}
"""What a page tells to wear or to work with that not every house has: judgement."""


def ungiven(page: Document) -> Iterator[str]:
    """What a customer's page uses and neither sells nor lends."""
    heading, listed, told = say("handout.sold.heading"), "", ""
    inside = False
    for block in page.blocks:
        inside = block.text == heading if isinstance(block, Heading) else inside
        texts = " ".join(words_of((block,)))
        listed, told = (listed + texts, told) if inside else (listed, told + texts)
    # What a word means is told in small print and uses nothing.
    told = told if not isinstance(page.blocks[-1], Paragraph) else told.removesuffix(page.blocks[-1].text)
    for thing, forms in WORN_OR_USED.items():
        given = GIVEN.get(thing, forms)
        if re.search(forms, told, re.IGNORECASE) and not re.search(given, listed, re.IGNORECASE):
            yield f"{thing} used and not on the list"


GIVEN = {"pure water": "pure water|agua destilada", "grease": "grease|grasa"}
"""How the list names what the steps call otherwise."""


def amountless(view: JobView) -> Iterator[str]:
    """What is sold or dosed with no amount and no word of what it waits for; nor is sold what waits for one."""
    sources = said("view.work.sources")
    for line in (line for line in view.parts if not line.later):
        if not _counted(line.amount.text) and not line.amount.missing and line.source != sources["van"]:
            yield f"{line.part} without an amount"
        if line.amount.missing and line.source in (sources["sell_now"], sources["put_aside"], sources["lend_now"]):
            yield f"{line.part} sold before its amount is known"
    for amount in (amount for action in view.actions for amount in action.amounts):
        if not (_counted(amount.text) or amount.missing or amount.working):
            yield f"no amount and no way to it: {amount.text}"


def _counted(text: str) -> bool:
    return any(map(str.isdigit, text))


def _upper_of_low(session: Session) -> float:
    """The most free chlorine that is still below what this much stabiliser asks for: 20 to 1, and 5 ppm at most."""
    stabiliser = session.job.readings.get("stabiliser")
    return min(max(1.0, float(stabiliser.value) / 20 + 0.5 if stabiliser is not None else 1.0), 5.0)


def _things(view: JobView, page: Document) -> Iterator[str]:
    """All that is sold by computation for the work at hand is used in a step of it."""
    unused = say("handout.sold.first")
    for block in page.blocks:
        if isinstance(block, Items) and block.mark == "tick" and view.home.work == "steps":
            yield from (f"sold and used in no step: {text}" for text, _ in block.items if text.endswith(f"({unused})"))


def _outcome(view: JobView, page: Document) -> Iterator[str]:
    """Nothing waits to work again where nothing is broken or all is mended, and what is said stands once."""
    over = view.solved or view.decision.decision == "nothing_to_repair"
    if over and _heads(page, say("handout.until.heading")):
        yield "until it works again, of what works"
    said = [block.text for block in page.blocks if isinstance(block, Paragraph) and block.kind != "small"]
    said += [text for block in page.blocks if isinstance(block, Items) for text, _ in block.items]
    if len(said) != len(set(said)):
        yield "one sentence twice"


def _heads(page: Document, text: str) -> bool:
    return any(isinstance(block, Heading) and block.text == text for block in page.blocks)
