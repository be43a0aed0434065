"""How a page opens: what is done first, with its amount, and the answer to what people come to a shop for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.foundation.texts import said, say
from engine.knowledge.model import Repair
from engine.session.decisions import ON_THE_BENCH, OWN_WORK
from engine.treatment.cautions import Concerns
from reports.phrases import first_sentence, joined, lowered
from reports.view.amounts import hand_amount, part_amount, work_amounts
from reports.view.case import JobCase
from reports.view.model import Action, Amount
from reports.view.work import known_numbers

_NO_CELL_UNDER = 0.05
"""Under this probability of all that a new cell would cure, a customer is told that none is needed: judgement."""
_COMES_FOR = 0.10
"""From this share of its causes on people come with a complaint for what mends them: judgement."""
_HANGS_ON = frozenset({"water_to_swap", "setting"})
"""What a work is about; all else that is worked out for it is only good to know."""
_SAYS_IT_ITSELF = ("nothing_to_repair", "close_pool")
"""Decisions that say what is done first better than the title of their work does."""


def opening(case: JobCase, laid_out: Sequence[Action], waits: bool = False) -> str:
    """What the reader does first, in one sentence, with its amount; empty while danger stands, which goes before.

    `waits`: the customer has steps of their own until others come, of which the first is told too.
    """
    if case.job.standing:
        return ""
    first, own = laid_out[0] if laid_out else None, owners_first(case, laid_out)
    if case.live or own is None or own.decision in _SAYS_IT_ITSELF:
        until = said("view_opening.until_then").get(case.conclusion.decision)
        if not waits or first is None or until is None or case.reader != "customer" or case.live:
            return case.decided.first
        return say(f"view_opening.until_then.{case.conclusion.decision}", step=lowered(first_sentence(first.steps[0])))
    work = lowered(own.title.rstrip("."))
    if own.plant == "isolated" and case.reader == "customer" and _switches_off_first(own):
        # Whoever reads no further has still switched off.
        work = say("view_opening.first.off", work=work)
    elif before := case.say(case.knowledge.repairs[own.repair].opens_with):
        work = say("view_opening.first.before", before=before, work=work)
    amount = first_amount(case, case.knowledge.repairs[own.repair])
    if amount is None:
        return say(f"view_opening.first.plain.{case.reader}", work=work)
    if amount.missing and not any(map(str.isdigit, amount.text)):
        return say(f"view_opening.first.lacks.{case.reader}", missing=joined(amount.missing), work=work)
    return say(f"view_opening.first.amount.{case.reader}", work=work, amount=amount.text)


def _switches_off_first(action: Action) -> bool:
    """Whether the power goes off with the first step, and not only once something was looked at or bought."""
    words = say("view_opening.first.switches").split(", ")
    return any(word in step.lower() for step in action.steps[:1] for word in words)


def owners_first(case: JobCase, laid_out: Sequence[Action]) -> Action | None:
    """The first work where the owner does it, as was decided; else None."""
    first = laid_out[0] if laid_out else None
    if first is None or first.decision != case.conclusion.decision or first.decision not in OWN_WORK:
        return None
    return first if "owner" in case.knowledge.repairs[first.repair].who else None


def own_work_energises(case: JobCase, laid_out: Sequence[Action]) -> bool:
    """Whether the owner switches something on in the first work, as a step of it tells."""
    own = owners_first(case, laid_out)
    return own is not None and "owner" in case.knowledge.repairs[own.repair].work.energised_by


def first_amount(case: JobCase, repair: Repair) -> Amount | None:
    """The amount that a work hangs on: of what is poured in, else of water or a setting; None where there is none."""
    if repair.stops_dosing:
        return None
    known = known_numbers(case)
    tested = known.told("free_chlorine", "owners_free_chlorine") is not None
    # Of chlorine by hand there is no amount before a test, only what one ppm takes.
    computed = [need for need in repair.parts if need.amount.computed is not None]
    poured = [
        part_amount(need, repair, known) for need in computed if tested or need.amount.computed != "hand_chlorine"
    ]
    mixed = any(need.amount.computed is None and need.amount.unit for need in repair.parts)
    worked = work_amounts(repair, known) if set(repair.works_out[:1]) & _HANGS_ON else ()
    found = [] if mixed else [*poured, *worked]
    return next(iter(found), None)


def never(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> tuple[str, ...]:
    """What nobody may do in the first work, in one sentence; none where no work comes, the shop does it, or a danger
    goes before it."""
    benched = case.reader == "customer" and case.conclusion.decision in ON_THE_BENCH
    if not laid_out or benched or about.keep_away or case.conclusion.solved:
        return ()
    told = case.say(case.knowledge.repairs[laid_out[0].repair].never)
    return (told,) if told else ()


def by_hand(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> str:
    """How much chlorine goes in by hand until others have done the work: a page without steps of one's own opens so."""
    own = owners_first(case, laid_out) is not None or case.conclusion.decision in ON_THE_BENCH
    if own or case.reader != "customer" or not about.by_hand or case.conclusion.solved:
        return ""
    dose = hand_amount(known_numbers(case)).text
    return say("view_opening.by_hand", dose=dose) if any(map(str.isdigit, dose)) else ""


def answers(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> tuple[str, ...]:
    """What people ask for at a shop and need not buy or do today: salt, a new cell, tablets."""
    if not case.judges or case.conclusion.solved or about.keep_away or about.may_infect:
        return ()
    now = [case.knowledge.repairs[action.repair] for action in laid_out if action.when != "otherwise"]
    return tuple(_answers(case, now))


def _answers(case: JobCase, now: Sequence[Repair]) -> Iterator[str]:
    known = known_numbers(case)
    if _comes_for(case, [repair for repair in case.knowledge.repairs.values() if _salts(repair)]) and not any(
        map(_salts, now)
    ):
        yield from _no_salt(case)
    cells = [repair for repair in case.knowledge.repairs.values() if repair.renews == "cell"]
    if _comes_for(case, cells):
        yield from _no_cell(case, cells, now)
    stabiliser, check = known.numbers.get("stabiliser"), case.check("stabiliser")
    right = None if check is None else known.should_be(check)
    if stabiliser is not None and right is not None and stabiliser >= right[1]:
        yield say(f"view_opening.answers.no_tablets.{case.reader}")


def _no_salt(case: JobCase) -> Iterator[str]:
    """No salt, by the test; nothing where the test shows too little, as salt has its line then."""
    known = known_numbers(case)
    now, check = known.numbers.get("tested_salt"), case.check("tested_salt")
    right = None if check is None else known.should_be(check)
    if now is not None and check is not None and check.id in case.doubted:
        yield say(f"view_opening.answers.no_salt_doubted.{case.reader}", now=known.show(now, check.unit or ""))
    elif now is None or right is None or check is None:
        yield say(f"view_opening.answers.no_salt_untested.{case.reader}")
    elif now >= right[0]:
        key = "no_salt_enough" if now <= right[1] else "no_salt_too_much"
        yield say(f"view_opening.answers.{key}.{case.reader}", now=known.show(now, check.unit or ""))


def _no_cell(case: JobCase, cells: Sequence[Repair], now: Sequence[Repair]) -> Iterator[str]:
    """No new cell, or none before it was seen."""
    shares = case.judged.marginals()
    cures = {cause for repair in cells for cause in repair.cures}
    if any(repair in cells for repair in now):
        return
    share = sum(shares.get(cause, 0.0) for cause in cures)
    yield say(f"view_opening.answers.{'no_cell' if share < _NO_CELL_UNDER else 'no_cell_unseen'}.{case.reader}")


def _salts(repair: Repair) -> bool:
    return any(need.amount.computed == "salt_dose" for need in repair.parts)


def _comes_for(case: JobCase, repairs: Sequence[Repair]) -> bool:
    """Whether the complaint is one that such repairs are for."""
    tree = case.knowledge.trees.get(case.job.complaint or "")
    cures = {cause for repair in repairs for cause in repair.cures}
    return tree is not None and sum(share for cause, share in tree.singles.items() if cause in cures) >= _COMES_FOR
