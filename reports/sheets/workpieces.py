"""Pieces of work as the technician's sheet and its annex print them, each with what goes for it as a whole."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from engine.foundation.texts import said, say
from engine.treatment.order_of_work import When
from reports.document import Block, Paragraph, Work
from reports.phrases import either, percent, sentence
from reports.sheets.beside import step_of
from reports.sheets.sections import minded
from reports.view.model import Action


def work_blocks(
    actions: Sequence[Action], when: Container[When], live: bool = False, kept_off: bool = False
) -> Iterator[Block]:
    """The works that are done at these times, with the numbers that they have in the whole order of work.

    Where several need the plant off, it is started once, by the last step of the last of them, and what is so before
    that is a step of its own; `live`: not before it was cleared. `kept_off`: something found keeps it off, and none is
    tried.
    """
    numbered = [(number, action) for number, action in enumerate(actions, start=1) if action.when in when]
    together = "otherwise" not in when
    last = max((number for number, action in numbered if action.plant == "isolated"), default=0)
    for number, action in numbered:
        if action.when == "also":
            yield Paragraph(say("technician.work.also"))
        waits = together and action.plant == "isolated" and number < last
        ends = (say("technician.work.no_start", number=last),) if waits else ()
        steps = action.steps
        if waits:
            steps = (*steps[:-1], say("technician.work.after_last", number=last, step=steps[-1]))
        if number == last:
            steps = (*steps[:-1], *_power_back(live, _rests_for(number, action, numbered)), *steps[-1:])
        about = (*_about(action, kept_off), *ends)
        yield Work(number, work_title(action), about, steps, action.done_when, ticked=True)


def _power_back(live: bool, rests: int) -> Iterator[str]:
    """What is done between the work and its last step, each to be ticked; `rests`: until which work the unit does."""
    if live:
        yield say("technician.work.back.live")
        return
    yield say("technician.work.back.proved")
    yield say("technician.work.back.unlocked")
    yield say("technician.work.back.pump_alone", number=rests) if rests else say("technician.work.back.started")


def _rests_for(number: int, action: Action, numbered: Sequence[tuple[int, Action]]) -> int:
    """The number of the work beside it until which the unit rests, 0 where it may start at its end."""
    beside = [at for at, other in numbered if other.when != "otherwise" and other.keeps_unit_off and at != number]
    return max(beside, default=0) if action.plant == "isolated" and action.when != "otherwise" else 0


def work_title(action: Action) -> str:
    """What is done, with how likely it is the right work."""
    return say("technician.work.title", title=action.title, percent=percent(action.probability))


def _about(action: Action, kept_off: bool) -> Iterator[str]:
    plant = said("technician.work.plant")[action.plant]
    if (
        action.plant == "isolated"
        and not kept_off
        and (begins := step_of(say("technician.work.isolates"), action.steps)) > 1
    ):
        # What is tried while it runs comes before.
        plant = say("technician.work.isolated_from", step=begins)
    who = either(action.who)
    yield sentence(
        say("technician.work.about", who=who, minutes=action.minutes, plant=plant, shows=action.result_shows)
    )
    if action.when != "first":
        yield sentence(action.by)
    for amount in action.amounts:
        yield " ".join(part for part in (say("technician.work.amount", amount=amount.text), minded(amount)) if part)
    if action.lead:
        yield action.lead
