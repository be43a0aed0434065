"""A part of the worked calls, each outcome and language: no box is missing on a paper, and none is out of place.

All of them are taken by `python -m tests.benchmarks.papers`.
"""

from __future__ import annotations

import dataclasses
from typing import get_args

import pytest

from engine.evaluation.calls import WorkedCall
from engine.knowledge.model import RoleId
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import Audience, Items
from reports.renderers.text import text_form
from reports.sheets.choose import view_for
from reports.sheets.customer import customer_handout
from reports.sheets.shop import shop_sheet
from reports.view.model import CautionLine
from tests.benchmarks.handouts import as_counter
from tests.benchmarks.papers import MOST, calls, count
from tests.paper_rules import (
    asked_of,
    boxes_of,
    left_out_of_danger,
    unknown_entries,
    words_against_danger,
    words_out_of_place,
)
from tests.paper_words import amountless, ungiven, words_against_the_job
from tests.reports.jobs import AT, DATE, called, job, opened
from tests.shipped import knowledge, models

EVERY = 40


def test_every_repair_check_and_danger_has_its_rule() -> None:
    assert list(unknown_entries(knowledge())) == []


@pytest.mark.e2e
@pytest.mark.no_cover  # hundreds of papers through branches that other tests take too
def test_papers_of_a_part_of_the_calls_carry_their_boxes_and_no_others() -> None:
    found = count(("en", "es"), EVERY)
    assert set(found.boxes) == set(get_args(Audience))
    assert found.missing == {}
    assert found.strange == {}
    assert found.too_long == []
    assert all(mean <= MOST[reader] for reader, mean in found.means().items())


@pytest.mark.no_cover
@pytest.mark.parametrize(("reader", "role"), [("customer", "phone"), ("shop", "counter"), ("technician", "field")])
def test_papers_of_each_work_carry_its_boxes_and_no_others(reader: Audience, role: RoleId) -> None:
    """Behind the first complaint whose causes it cures, with nothing known, decided as it is decided there."""
    wrong, laid_out = {}, set()
    for name, repair in knowledge().repairs.items():
        tree = next(tree for tree in knowledge().trees.values() if {*repair.cures} & {*tree.singles})
        session = job(*opened(role, tree.id))
        view = view_for(session, DATE, reader, act=Act("conclude", repair.decision[role], repair=name, why="settled"))
        laid_out |= {action.repair for action in view.actions}
        asked, there = asked_of(view, session, reader), boxes_of(view, reader)
        if found := (*asked.missing(*there), *asked.strange(*there), *words_out_of_place(view, reader)):
            wrong[name] = found
    assert wrong == {}
    assert laid_out == {*knowledge().repairs}


@pytest.mark.parametrize("reader", ["customer", "shop"])
def test_where_the_pools_size_is_not_known_nothing_is_sold_without_an_amount_or_what_it_waits_for(
    reader: Audience,
) -> None:
    for call in calls(EVERY):
        view = view_for(of_unknown_size(call), DATE, reader)
        assert list(amountless(view)) == []
        page = text_form((shop_sheet(view) if reader == "shop" else customer_handout(view),), 10_000)
        waits = {line.amount.missing for line in view.parts if line.source == "sell when the amount is known"}
        wanted = {lack for missing in waits for lack in missing} if reader == "shop" else set()
        assert {lack for lack in wanted if lack not in page} == set()


def test_goggles_that_nobody_gives_are_found() -> None:
    view = view_for(called("pond green after rain, nothing left of the stabiliser"), DATE, "customer")
    page = customer_handout(view)
    assert list(ungiven(page)) == []
    bare = [
        dataclasses.replace(block, items=tuple(item for item in block.items if "oggles" not in item[0]))
        if isinstance(block, Items)
        else block
        for block in page.blocks
    ]
    found = list(ungiven(dataclasses.replace(page, blocks=tuple(bare))))
    assert "goggles used and not on the list" in found
    assert "goggles" in text_form((shop_sheet(view),))


def of_unknown_size(call: WorkedCall) -> Session:
    """A worked call in which nobody can say how large the pool is."""
    facts = {name: value for name, value in call.facts.items() if name != "pool_volume"}
    return as_counter(models(), dataclasses.replace(call, facts=facts, cannot=(*call.cannot, "pool_volume")))


def test_a_box_left_out_and_a_box_too_many_are_found() -> None:
    session = called("two bags later it still wants salt")
    too_many = CautionLine("fuse_as_marked", "WARNING", "Acid.")
    for reader in get_args(Audience):
        view = view_for(session, DATE, reader)
        of = view.home if reader == "customer" else view
        for less in of.cautions:
            left = tuple(line for line in of.cautions if line != less)
            home = dataclasses.replace(view.home, cautions=left)
            spoilt = dataclasses.replace(view, cautions=left, home=home)
            assert less.caution in asked_of(view, session, reader).missing(*boxes_of(spoilt, reader))
        home = dataclasses.replace(view.home, cautions=(*view.home.cautions, too_many))
        spoilt = dataclasses.replace(view, cautions=(*view.cautions, too_many), home=home)
        assert "fuse_as_marked" in asked_of(view, session, reader).strange(*boxes_of(spoilt, reader))


def test_what_a_paper_of_danger_lacks_or_must_not_say_is_found() -> None:
    other = view_for(called("two bags later it still wants salt"), DATE, "technician")
    for danger, against in (("burning_smell", "Acid goes into water."), ("chlorine_smell", "Call an electrician.")):
        session = job(*opened("counter", "no-output"), Event("danger_reported", AT, about=danger))
        for reader in get_args(Audience):
            view = view_for(session, DATE, reader)
            assert list(left_out_of_danger(view, session)) == []
            assert list(words_against_danger(view, session)) == []
            for said in ("Bring the box to the shop.", "Switch it on again.", against):
                spoilt = dataclasses.replace(view, advice=dataclasses.replace(view.advice, come_back=(said,)))
                assert list(words_against_danger(spoilt, session)) == [said]
            assert list(words_against_danger(dataclasses.replace(view, actions=other.actions), session))
            assert list(left_out_of_danger(dataclasses.replace(view, danger_record=()), session))


def test_acid_on_a_page_without_acid_is_found() -> None:
    view = view_for(called("pump basket packed with needles, gauge low", "phone"), DATE, "customer")
    assert list(words_out_of_place(view, "customer")) == []
    acid = CautionLine("acid_into_water", "WARNING", "Water first, then the acid.")
    spoilt = dataclasses.replace(view, home=dataclasses.replace(view.home, cautions=(acid,)))
    assert list(words_out_of_place(spoilt, "customer")) == [acid.text]


@pytest.mark.parametrize("reader", get_args(Audience))
@pytest.mark.parametrize("work", ["air_and_swap", "dilute_and_retest", "acid_clean"])
def test_a_work_whose_result_is_awaited_keeps_the_boxes_of_what_may_still_be_so(work: str, reader: Audience) -> None:
    session = job(*opened("counter", "no-output"), Event("repaired", AT, about=work, value="done"))
    view = view_for(session, DATE, reader)
    asked = asked_of(view, session, reader)
    assert asked.missing(*boxes_of(view, reader)) == set()
    assert asked.strange(*boxes_of(view, reader)) == set()


def test_a_page_that_speaks_against_its_job_is_found() -> None:
    session = called("pump basket packed with needles, gauge low", "phone")
    view = view_for(session, DATE, "customer")
    assert list(words_against_the_job(view, session, customer_handout(view))) == []
    dose = "In the evening add about 1 L of 12 % liquid chlorine."
    told = dataclasses.replace(view, advice=dataclasses.replace(view.advice, meanwhile=(dose, dose)))
    assert list(words_against_the_job(told, session, customer_handout(told))) == [
        "a hand dose that no test has asked for",
        "one sentence twice",
    ]
    mended = dataclasses.replace(view, decision=dataclasses.replace(view.decision, decision="nothing_to_repair"))
    page = customer_handout(dataclasses.replace(view, advice=dataclasses.replace(view.advice, meanwhile=(dose,))))
    assert list(words_against_the_job(mended, session, page)) == ["until it works again, of what works"]
    theirs = dataclasses.replace(view.actions[0], repair="renew_power_pack")
    others = dataclasses.replace(view, actions=(theirs,))
    assert "steps at home of a work that is not the owner's" in words_against_the_job(others, session, page)
