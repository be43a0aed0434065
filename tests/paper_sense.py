"""What every paper of a job owes to whoever acts on it: one order of work, one start, and words that fit its reader.

Laws of sense and of the trade, in common practice without a source; read off the printed text, the job and nothing
of the code that composes it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from engine.foundation.texts import say
from engine.session.session import Session
from reports.document import Audience, Block, Work
from reports.view.model import JobView
from tests.paper_rules import HAND_DOSE_SAID

_OPENING = 1000
"""So many letters of a paper are its opening: about ten lines."""
_TEN_LINES = 10
_ON_THE_SPOT = re.compile(r"on the spot|on this visit|en esta visita|en el acto|ahí mismo", re.IGNORECASE)
_ELECTRICIAN = re.compile(r"licensed electrician|electricista autorizado", re.IGNORECASE)
_NOBODY_IN = re.compile(
    r"out of the water|clear the pool|pool clear|nadie en el agua|nadie (debe )?entr|desalojar|"
    r"nobody goes in|entra nadie",
    re.IGNORECASE,
)
_AT_THE_COUNTER = re.compile(
    r"while the customer waits|hand over|before they leave|sell now|mientras el cliente espera|antes de que se vaya|"
    r"vender ahora",
    re.IGNORECASE,
)
_DAILY = re.compile(r"daily|each day|a diario|cada día|diaria", re.IGNORECASE)
_ISOLATES = re.compile(r"\bisolat|\bprove[ds]? dead|\bproved dead|\baísl|\baisl", re.IGNORECASE)
_POWER_BACK = re.compile(r"^(Before power|Antes de dar corriente)", re.IGNORECASE)
_CLEARED = re.compile(r"a licensed electrician must|visto bueno de un electricista")
_UNTIL_STARTED = 3
_NO_START = re.compile(r"^(Do not restart|No arrancar)")
_FIRST_STEP = re.compile(r"^ 1\. ", re.MULTILINE)
_AS_IT_IS = re.compile(r"leave everything as it is|deje todo como está", re.IGNORECASE)
_RATIO = re.compile(r"[0-9].*(water first|de agua, luego)", re.IGNORECASE)


def words_without_sense(view: JobView, session: Session, reader: Audience, text: str) -> Iterator[str]:
    """What a paper tells that cannot be followed, or leaves out of what its reader needs; nothing where all is well.

    Args: the view in this reader's words, the job, and the paper as plain text.
    """
    if session.job.standing:
        return
    opening = " ".join(text.split())[:_OPENING]
    if view.keep_away and _ON_THE_SPOT.search(opening):
        yield "mended on the spot, though nobody may go near"
    if view.keep_away and not (_ELECTRICIAN.search(opening) and _NOBODY_IN.search(opening)):
        yield "an opening that does not say who comes first and who keeps out"
    doses = [line for line in view.advice.meanwhile if HAND_DOSE_SAID.search(line)]
    yield from (f"a dose by hand without a daily test: {line[:40]}" for line in doses if not _DAILY.search(line))
    if reader == "technician":
        yield from _late(text)
    if reader == "customer" and not view.solved:
        steps = _FIRST_STEP.search(text)
        if view.decision.decision == "repair_here" and steps:
            yield "steps at home of a work that is done on this visit"
        if _AS_IT_IS.search(opening) and steps:
            yield "leave everything as it is, and steps"
    squeezed = "".join(text.split())
    if reader == "shop" and "".join(view.advice.bathing.split()) not in squeezed:
        yield "a clerk who cannot say before what nobody swims"
    if reader == "shop" and session.job.role == "phone" and (said := _AT_THE_COUNTER.search(text)):
        yield f"words of the counter on the phone: {said.group()}"
    acid = any(line.caution == "acid_into_water" for line in view.cautions) and not view.keep_away
    if reader == "shop" and acid and not _RATIO.search(text):
        yield "acid at the bench without how it is mixed"


def _late(text: str) -> Iterator[str]:
    """What is done first, what nobody may do, how much, what is taken: all begins in the ten lines below the head.

    Where two works are done at once, or danger is asked for first, what is taken may come after these.
    """
    lines = text.splitlines()
    head = next(number for number, line in enumerate(lines) if line.startswith("===="))
    two = any(line.startswith(say("technician.short.then") + ":") for line in lines)
    asked = say("technician.sections.danger_open").upper() in lines
    for name in ("first", "work", "never", "amount", *(() if two or asked else ("take",))):
        label = say(f"technician.short.{name}") + ":"
        at = next((number for number, line in enumerate(lines) if line.startswith(label)), head)
        if at - head > _TEN_LINES:
            yield f"{label} below the tenth line"


def works_without_an_end(blocks: Sequence[Block], view: JobView) -> Iterator[str]:
    """Works that need the plant off: each says where it is isolated, one start comes after all, and says who unlocks.

    Args: the blocks of a technician's sheet without its annex, and its view.
    """
    if view.advice.first:
        return
    plants = [action.plant for action in view.actions]
    works = [block for block in blocks if isinstance(block, Work) and plants[block.number - 1] == "isolated"]
    for work in works:
        if not any(_ISOLATES.search(step) for step in work.steps):
            yield f"no step that isolates: {work.title}"
        last = work == works[-1]
        back = [number for number, step in enumerate(work.steps) if _POWER_BACK.search(step)]
        # What is so before, who unlocks and how it starts are ticked one by one; an electrician's word is all there is.
        between = 1 if last and any(map(_CLEARED.search, work.steps[-2:-1])) else _UNTIL_STARTED
        if back != ([len(work.steps) - 1 - between] if last else []):
            yield f"power back at the wrong place: {work.title}"
        if any(_NO_START.search(line) for line in work.about) == last:
            yield f"started before the others are done: {work.title}"
