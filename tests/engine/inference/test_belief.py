from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine.inference.belief import (
    Evidence,
    TreeModel,
    after_helping_repair,
    causes_marginal,
    decibans,
    posterior,
)
from engine.inference.compiling import combine_most_striking, compile_tree
from engine.knowledge.model import Answer, Cause, Check, Knowledge, Tree, Wording, frozen
from tests.shipped import knowledge as shipped_knowledge

WORDS = Wording("", "")


def check(id: str, usual: dict[str, float]) -> Check:
    return Check(
        id=id,
        wording=WORDS,
        how=WORDS,
        names=(),
        answers=tuple(Answer(a, WORDS) for a in usual),
        usual=frozen(usual),
        minutes=frozen({"counter": 1.0, "phone": 1.0, "field": 1.0}),
        known=frozen({"counter": 1.0, "phone": 1.0, "field": 1.0}),
        needs="nothing",
        plant="any",
        source="",
    )


def cause(id: str, shows: dict[str, dict[str, float]], likelier: dict[str, dict[str, float]] | None = None) -> Cause:
    return Cause(id, WORDS, (), frozen(shows), frozen(likelier or {}), (), (), "")


def knowledge(checks: list[Check], causes: list[Cause], tree: Tree) -> Knowledge:
    return Knowledge(
        trees=frozen({tree.id: tree}),
        causes=frozen({c.id: c for c in causes}),
        checks=frozen({c.id: c for c in checks}),
        findings=frozen({}),
        repairs=frozen({}),
        parts=frozen({}),
        cautions=frozen({}),
        acts=frozen({}),
        dangers=frozen({}),
        roles=frozen({}),
        units=frozen({}),
        limits=shipped_knowledge().limits,
        fingerprint="",
    )


def tree(singles: dict[str, float], given: dict[str, tuple[str, ...]] | None = None, any_pair: float = 0.0) -> Tree:
    return Tree(
        "tree", WORDS, (), frozen(given or {}), frozen(singles), frozen({}), any_pair, frozen({}), frozen({}), ""
    )


def compiled(checks: list[Check], causes: list[Cause], of: Tree) -> TreeModel:
    return compile_tree(knowledge(checks, causes, of), of)


def hard(model: TreeModel, id: str, row: int) -> Evidence:
    return Evidence(id, tuple(float(k == row) for k in range(len(model.tables[id]))), (id,))


PLATES = check("plates", {"clean": 0.8, "white": 0.15, "worn": 0.05})
SCALED = cause("scaled", {"plates": {"white": 0.9}})
WORN = cause("worn", {"plates": {"worn": 0.6}})
SALTY = cause("salty", {})


def test_unsaid_answers_share_the_rest_as_usual() -> None:
    """By hand: scaled leaves .1, shared 80:5 between clean and worn."""
    model = compiled([PLATES], [SCALED], tree({"scaled": 1.0}))
    assert model.tables["plates"][:, 0] == pytest.approx([0.1 * 80 / 85, 0.9, 0.1 * 5 / 85])


def test_silence_is_a_claim() -> None:
    """By hand: .5 * .9 against .5 * .15 after white plates: 6 to 1."""
    model = compiled([PLATES], [SCALED, SALTY], tree({"scaled": 0.5, "salty": 0.5}))
    belief = posterior(model, [hard(model, "plates", 1)])
    assert belief[0] / belief[1] == pytest.approx(6.0)


def test_something_else_is_half_usual_and_half_even() -> None:
    model = compiled([PLATES], [SCALED], tree({"scaled": 0.9, "something_else": 0.1}))
    assert model.tables["plates"][:, -1] == pytest.approx([0.4 + 1 / 6, 0.075 + 1 / 6, 0.025 + 1 / 6])


def test_two_causes_show_the_more_striking_answer() -> None:
    """By hand: P(not worn) = (1 - .005882..)(1 - .6); P(clean) = both clean."""
    model = compiled([PLATES], [SCALED, WORN], tree({"scaled": 0.5, "worn": 0.5}, any_pair=0.1))
    pair = model.tables["plates"][:, 2]
    clean, worn = (0.1 * 80 / 85) * (0.4 * 80 / 95), 1 - (1 - 0.1 * 5 / 85) * (1 - 0.6)
    assert pair == pytest.approx([clean, 1 - clean - worn, worn])
    assert model.prior == pytest.approx([0.45, 0.45, 0.1, 0.0])


def test_noisy_or_of_the_textbook_fever() -> None:
    """Noisy-OR with inhibitors .6 (cold), .2 (flu): P(fever | both) = .88; numbers from memory, recomputed by hand."""
    cold, flu = np.array([[0.6], [0.4]]), np.array([[0.2], [0.8]])
    assert combine_most_striking(cold, flu)[1, 0] == pytest.approx(0.88)
    malaria = np.array([[0.1], [0.9]])
    assert combine_most_striking(combine_most_striking(cold, flu), malaria)[1, 0] == pytest.approx(0.988)


def test_the_complaint_counts_once() -> None:
    """A check whose one given answer the complaint already says tells nothing."""
    model = compiled([PLATES], [SCALED, SALTY], tree({"scaled": 0.3, "salty": 0.7}, {"plates": ("white",)}))
    assert posterior(model, [hard(model, "plates", 1)]) == pytest.approx(model.prior)


def test_among_given_answers_only_differences_speak() -> None:
    """By hand: of white and worn, scaled shows .9 to .1*5/85, the usual .15 to .05."""
    model = compiled([PLATES], [SCALED, SALTY], tree({"scaled": 0.5, "salty": 0.5}, {"plates": ("white", "worn")}))
    belief = posterior(model, [hard(model, "plates", 1)])
    assert belief[0] / belief[1] == pytest.approx((0.9 / (0.9 + 0.1 * 5 / 85)) / 0.75)


def test_context_multiplies_the_odds_and_averages_to_one() -> None:
    """By hand: factors 3 and 1 over usual 20:80 average 1.4, so the odds move by 3/1.4 and 1/1.4."""
    months = check("months", {"few": 0.8, "many": 0.2})
    scaled = cause("scaled", {}, {"months": {"many": 3.0}})
    model = compiled([months], [scaled, SALTY], tree({"scaled": 0.5, "salty": 0.5}))
    many = posterior(model, [hard(model, "months", 1)])
    few = posterior(model, [hard(model, "months", 0)])
    assert many[0] / many[1] == pytest.approx(3 / 1.4)
    assert few[0] / few[1] == pytest.approx(1 / 1.4)
    assert 0.2 * many[0] * (0.5 * 0.2 * (3 / 1.4) + 0.1) / 0.2 + 0.8 * few[0] * (
        0.5 * 0.8 * (1 / 1.4) + 0.4
    ) / 0.8 == pytest.approx(0.5)


def test_a_coin_of_two_heads_in_decibans() -> None:
    """Good 1950; the wartime report on Tunny, p. 39: each head weighs 10 log10 2 = 3.0103 db for two heads."""
    model = TreeModel(
        "coin",
        (("two_heads",), ()),
        np.array([1e-4, 1 - 1e-4]),
        {f"toss{k}": np.array([[0.0, 0.5], [1.0, 0.5]]) for k in range(20)},
        {},
    )
    tosses = [Evidence(f"toss{k}", (0.0, 1.0), ()) for k in range(20)]
    assert all(db == pytest.approx(3.0103, abs=1e-4) for db in decibans(model, tosses, "two_heads").values())
    odds = posterior(model, tosses)
    assert odds[0] / odds[1] == pytest.approx(104.8576 * (1e-4 / (1 - 1e-4)) * 1e4, rel=1e-6)


def test_pairs_count_for_both_their_causes() -> None:
    model = compiled([PLATES], [SCALED, WORN], tree({"scaled": 0.5, "worn": 0.5}, any_pair=0.2))
    assert causes_marginal(model, model.prior) == pytest.approx({"scaled": 0.6, "worn": 0.6})


def test_causes_are_listed_most_probable_first() -> None:
    model = compiled([PLATES], [SCALED, WORN, SALTY], tree({"scaled": 0.3, "worn": 0.2, "salty": 0.5}))
    assert list(causes_marginal(model, model.prior)) == ["salty", "scaled", "worn"]
    assert next(iter(causes_marginal(model, posterior(model, [hard(model, "plates", 2)])))) == "worn"


def test_what_one_cause_excludes_is_no_pair_whichever_says_so() -> None:
    excluding = replace(WORN, not_with=("scaled",))
    shares = tree({"scaled": 0.4, "worn": 0.3, "salty": 0.3}, any_pair=0.1)
    for causes in ([SCALED, excluding, SALTY], [excluding, SCALED, SALTY]):
        pairs = {frozenset(h) for h in compiled([PLATES], causes, shares).hypotheses if len(h) == 2}
        assert pairs == {frozenset({"scaled", "salty"}), frozenset({"worn", "salty"})}


def test_without_a_share_for_any_pair_only_named_pairs_are_believed() -> None:
    """Of 100 calls, 4 have scale and wear and no others have two faults."""
    shares = replace(tree({"scaled": 0.5, "worn": 0.3, "salty": 0.2}), pairs={("worn", "scaled"): 0.04})
    model = compiled([PLATES], [SCALED, WORN, SALTY], shares)
    assert dict(zip(model.hypotheses, map(float, model.prior), strict=True)) == pytest.approx(
        {("scaled",): 0.48, ("worn",): 0.288, ("salty",): 0.192, ("scaled", "worn"): 0.04, (): 0.0}
    )


def test_weights_stay_finite_where_causes_are_worlds_apart() -> None:
    """By hand: with b ruled out 1e-1800 times over, an answer of 2 to 1 for a over c weighs 3.0103 db."""
    tables = {f"rare{k}": np.array([[1.0, 1e-9, 1.0]]) for k in range(200)} | {"tells": np.array([[0.5, 0.5, 0.25]])}
    model = TreeModel("far", (("a",), ("b",), ("c",)), np.array([0.4, 0.2, 0.4]), tables, {})
    found = [Evidence(f"rare{k}", (1.0,), ()) for k in range(200)] + [Evidence("tells", (1.0,), ())]
    assert decibans(model, found, "a")["tells"] == pytest.approx(3.0103, abs=1e-4)


def test_shares_of_causes_are_relative() -> None:
    """Of calls that were counted to four fifths, half and half are half and half."""
    model = compiled([PLATES], [SCALED, WORN], tree({"scaled": 0.4, "worn": 0.4}))
    assert model.prior == pytest.approx([0.5, 0.5, 0.0])


def test_what_a_cause_says_of_answers_that_are_never_usual_counts_as_it_stands() -> None:
    """By hand: .6 to .2 of what may be seen is .75 to .25; with another cause at .5, .75 x .5 show nothing worse."""
    seen = check("seen", {"clean": 0.0, "white": 0.7, "worn": 0.3})
    one = cause("one", {"seen": {"white": 0.6, "worn": 0.2}})
    two = cause("two", {"seen": {"white": 0.5, "worn": 0.5}})
    model = compiled([seen], [one, two], tree({"one": 0.5, "two": 0.5}, any_pair=0.1))
    assert model.tables["seen"][:, 0] == pytest.approx([0.0, 0.75, 0.25])
    assert model.tables["seen"][:, 2] == pytest.approx([0.0, 0.375, 0.625])


def test_what_helped_tells_what_was_wrong() -> None:
    """Bayes by hand: a, b, both and neither at .4, .3, .2, .1; a repair that cures a in .8 and b in .5 of cases helped:
    .32, .15, .2 x .8 x .5 = .08 and nothing, of .55 in all. One that can cure neither tells nothing."""
    prior = np.array([0.4, 0.3, 0.2, 0.1])
    model = TreeModel("two", (("a",), ("b",), ("a", "b"), ()), prior, {}, {})
    helped = after_helping_repair(model, prior, {"a": 0.8, "b": 0.5})
    assert helped == pytest.approx([0.32 / 0.55, 0.15 / 0.55, 0.08 / 0.55, 0.0])
    assert after_helping_repair(model, prior, {"a": 1.0}) == pytest.approx([1.0, 0.0, 0.0, 0.0])
    assert after_helping_repair(model, prior, {"c": 1.0}) == pytest.approx(prior)
