"""Doubts about repairs and roles: what hardly helps, who cannot do it from where they are, prices out of order."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from engine.knowledge.catalogue import Folder
from engine.knowledge.second_look.doubt import Doubt, to_tell

LEAST_CURED = 0.3
MOST_MINUTES = 240
"""A repair takes half a day at most: judgement."""
_ALONE_HERE = ("repair_here", "order_and_return")
_OWNERS = ("sell_and_treat", "check_at_home")


def repairs_help(folder: Folder) -> Iterator[Doubt]:
    """A repair cures a cause in 30 of 100 pools at least, and never for certain.

    Right: `cures: {cell_scaled: usually}`.
    Wrong: `cures: {cell_scaled: hardly ever}`.
    """
    for placed in folder.repairs.values():
        for cause, share in placed.form.cures.items():
            if share < LEAST_CURED or share == 1:
                key = "certain" if share == 1 else "useless"
                saying = to_tell(f"second_look.repairs.{key}", cause=cause, share=f"{share * 100:g}")
                yield Doubt(placed, ("cures", cause), saying, cause)


def repairs_take_minutes(folder: Folder) -> Iterator[Doubt]:
    """A repair takes 1 minute to 4 hours, hands on.

    Right: `minutes: 40`.
    Wrong: `minutes: 4000`.
    """
    for placed in folder.repairs.values():
        if not 1 <= placed.form.minutes <= MOST_MINUTES:
            saying = to_tell("second_look.repairs.long", minutes=f"{placed.form.minutes:g}", most=MOST_MINUTES)
            yield Doubt(placed, ("minutes",), saying)


def nobody_repairs_from_afar(folder: Folder) -> Iterator[Doubt]:
    """On the phone and at the counter nobody stands at the pool: nothing is repaired or fitted there.

    Right: `decision: {counter: bring_cell, phone: send_technician, field: repair_here}`.
    Wrong: `decision: {counter: bring_cell, phone: repair_here, field: repair_here}`.
    """
    for placed in folder.repairs.values():
        for role, decision in (("counter", placed.form.decision.counter), ("phone", placed.form.decision.phone)):
            if decision in _ALONE_HERE:
                saying = to_tell("second_look.repairs.afar", decision=decision, role=role)
                yield Doubt(placed, ("decision", role), saying, role)


def owners_are_given_their_own_work(folder: Folder) -> Iterator[Doubt]:
    """What is sold or left to the customer is work that owners may do.

    Right: `who: [owner, technician]` with `decision: {phone: check_at_home, ...}`.
    Wrong: `who: [technician]` with `decision: {phone: check_at_home, ...}`.
    """
    for placed in folder.repairs.values():
        for role, decision in placed.form.decision:
            if decision in _OWNERS and "owner" not in placed.form.who:
                saying = to_tell("second_look.repairs.not_the_owners", decision=decision)
                yield Doubt(placed, ("decision", role), saying, role)


def a_repair_is_looked_at_again(folder: Folder) -> Iterator[Doubt]:
    """A repair whose result shows at once names under `ask_again` a check that shows it.

    Right: `result_shows: at once` with `ask_again: [unit_salt]`.
    Wrong: `result_shows: at once` without `ask_again`.
    """
    for placed in folder.repairs.values():
        if placed.form.result_shows == "at once" and not placed.form.ask_again:
            yield Doubt(placed, ("result_shows",), to_tell("second_look.repairs.unproved"), at_key=True)


def dear_parts_say_how_they_are_ordered(folder: Folder) -> Iterator[Doubt]:
    """A dear part says what to read on the old one before it is ordered.

    Right: `price: very_dear` with `before_ordering: Read the type on its plate.`
    Wrong: `price: very_dear` without it.
    """
    for placed in folder.parts.values():
        if placed.form.price in ("dear", "very_dear") and not placed.form.before_ordering.strip():
            yield Doubt(placed, ("price",), to_tell("second_look.repairs.order", price=placed.form.price))


def prices_rise(folder: Folder) -> Iterator[Doubt]:
    """What things are worth to a role rises: cheap, middling, dear, very dear; a wait, bringing something in, a visit,
    an electrician.

    Right: `minutes: {cheap: 5, middling: 20, dear: 60, very_dear: 150, ...}`.
    Wrong: `minutes: {cheap: 50, middling: 20, dear: 60, very_dear: 150, ...}`.
    """
    for placed in folder.roles.values():
        worth = dict(placed.form.minutes)
        for names in (("cheap", "middling", "dear", "very_dear"), ("wait", "bring_in", "call_out", "electrician")):
            for less, more in pairwise(names):
                if worth[more] < worth[less]:
                    fields = {"more": more, "less": less, "high": f"{worth[more]:g}", "low": f"{worth[less]:g}"}
                    yield Doubt(placed, ("minutes", more), to_tell("second_look.repairs.prices", **fields), more)
