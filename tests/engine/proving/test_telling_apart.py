"""Which causes nobody tells apart, held against drawn answers; a proof of `never` against answers at random."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import entropy

from engine.inference.belief import TreeModel, joint_weight
from engine.knowledge.model import DANGER_CHECK, ROLES, Knowledge, frozen
from engine.proving.numbers import Number, with_number
from engine.proving.telling_apart import OFTEN, SEPARATES_DB, alike, never_first
from engine.session.availability import HARDLY_EVER
from engine.session.models import Models
from engine.strategy.costs import chance_to_say
from tests.shipped import knowledge, models

TREE = "low-salt"


def test_a_twin_is_told_from_its_twin_by_nothing() -> None:
    """A second cause with the same numbers: of it no check can speak, whoever makes it."""
    known = knowledge()
    twin = replace(known.causes["cell_worn"], id="cell_worn_too", repairs=("acid_clean",))
    tree = known.trees[TREE]
    singles = frozen({**tree.singles, twin.id: tree.singles["cell_worn"]})
    here = frozen({**tree.here, twin.id: tree.here["cell_worn"]})
    made = Models(
        replace(
            known,
            causes=frozen({**known.causes, twin.id: twin}),
            trees=frozen({**known.trees, TREE: replace(tree, singles=singles, here=here)}),
        )
    )
    for role in known.roles.values():
        pair = next(one for one in alike(made, TREE, role) if {one.first, one.second} == {"cell_worn", twin.id})
        assert pair.decibans == pytest.approx(0.0, abs=1e-9)
        assert (pair.would, pair.same_repair) == ("", False)


def test_the_decibans_are_those_of_drawn_answers() -> None:
    """A mean of likelihood ratios over answers drawn from each cause in turn (the law of large numbers)."""
    rng, model = np.random.default_rng(1), models().tree(TREE)
    role = knowledge().roles["field"]
    for one in alike(models(), TREE, role)[:3]:
        rows = list(model.given.get(one.best, range(len(model.tables[one.best]))))
        pair = [model.tables[one.best][rows, model.causes.index(cause)] for cause in (one.first, one.second)]
        columns = [column / column.sum() for column in pair]
        told = []
        for own, other in (columns, columns[::-1]):
            drawn = rng.choice(len(own), size=20_000, p=own)
            told.append(np.mean(10 * np.log10(own[drawn] / np.maximum(other[drawn], 1e-12))))
        assert np.mean(told) == pytest.approx(one.decibans, abs=0.15)


def test_what_is_seldom_known_seldom_tells_apart() -> None:
    """The chance is that of calls drawn one check at a time; where everybody knew all, fewer pairs would be left."""
    known, rng = knowledge(), np.random.default_rng(3)
    role = known.roles["phone"]
    seldom = [one for one in alike(models(), TREE, role) if one.chance][:5]
    assert seldom
    model = models().tree(TREE)
    for one in seldom:
        pair = [model.causes.index(cause) for cause in (one.first, one.second)]
        can = [
            chance_to_say(check, role, () if check.brought is None else (check.brought,))
            for check in known.checks.values()
            if check.id in model.tables and check.id != DANGER_CHECK and jeffreys(model, check.id, pair) >= SEPARATES_DB
        ]
        drawn = rng.random((20_000, len(can))) < np.array([share if share > HARDLY_EVER else 0.0 for share in can])
        assert drawn.any(axis=1).mean() == pytest.approx(one.chance, abs=0.02)
        assert one.chance < OFTEN
    all_knowing = {name: replace(check, known=dict.fromkeys(ROLES, 1.0)) for name, check in known.checks.items()}
    knowing = Models(replace(known, checks=frozen(all_knowing)))
    assert len(alike(knowing, TREE, role)) < len(alike(models(), TREE, role))


def jeffreys(model: TreeModel, check: str, pair: list[int]) -> float:
    """Half of Jeffreys' divergence between two causes' answers, in decibans, by scipy."""
    rows = list(model.given.get(check, range(len(model.tables[check]))))
    one, other = (np.maximum(model.tables[check][rows, cause], 1e-12) for cause in pair)
    return float((entropy(one, other) + entropy(other, one)) / 2 * 10 / np.log(10))


def test_who_may_use_more_tells_more_apart() -> None:
    """The technician at the pool has the tools that a person on the phone has not."""
    roles = knowledge().roles
    assert len(alike(models(), TREE, roles["field"])) < len(alike(models(), TREE, roles["phone"]))


def hopeless() -> Knowledge:
    """A cause of no share to speak of, which shows nothing of its own."""
    known = knowledge()
    plain = replace(known.causes["supply_voltage_low"], shows=frozen({}), likelier=frozen({}))
    made = replace(known, causes=frozen({**known.causes, plain.id: plain}))
    tree = made.trees[TREE]
    here = frozen({cause: said for cause, said in tree.here.items() if cause != plain.id})
    made = replace(made, trees=frozen({**made.trees, TREE: replace(tree, here=here, any_pair=0.0)}))
    return with_number(made, Number("tree", TREE, ("of_100_calls", plain.id)), 1e-9)


def test_a_cause_proved_never_first_is_first_by_no_answers_at_random() -> None:
    made = Models(hopeless())
    role = made.knowledge.roles["phone"]
    never = {one.cause: one for one in never_first(made, TREE, role)}
    assert "supply_voltage_low" in never
    model, rng = made.tree(TREE), np.random.default_rng(2)
    for one in never.values():
        if not one.proved:
            continue
        rival, own = model.hypotheses.index(one.behind), [k for k, h in enumerate(model.hypotheses) if one.cause in h]
        for _ in range(300):
            total = joint_weight(model, ())
            for table in model.tables.values():
                total = total + np.log(np.maximum(table[int(rng.integers(len(table)))], 1e-12))
            assert total[rival] > total[own].max()


def test_a_cause_that_worked_calls_name_first_is_not_among_them() -> None:
    never = {one.cause for one in never_first(models(), TREE, knowledge().roles["field"])}
    assert not never & {"salt_low", "cell_scaled", "cell_worn", "water_cold", "salt_undissolved"}
