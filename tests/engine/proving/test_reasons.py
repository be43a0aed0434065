"""Why a call came out as it did: what is said adds up to the odds, and the culprit that was planted is named."""

from __future__ import annotations

import math

import pytest

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import score
from engine.knowledge.model import SOMETHING_ELSE, frozen
from engine.proving.numbers import Number, numbers_of, with_number
from engine.proving.places import NumberPlaces
from engine.proving.reasons import SHARE, because
from engine.session.models import Models
from tests.benchmarks import plain_knowledge as plain
from tests.shipped import every_call, knowledge, models, visible_calls


def call(role: str = "field", complaint: str = "low-salt", **more: object) -> WorkedCall:
    fields: dict[str, object] = {
        "name": "x",
        "unit": "default",
        "brought": (),
        "facts": frozen({}),
        "cannot": (),
        "causes": None,
    }
    return WorkedCall(role=role, complaint=complaint, **{**fields, **more})  # type: ignore[arg-type]


def test_what_is_said_adds_up_to_the_odds_between_the_two() -> None:
    """Bayes: the odds are those of the shares times the likelihood ratio of every answer."""
    missed = [item for item in (score(models(), call) for call in visible_calls()) if item.first is False]
    missed.append(score(models(), call(facts=frozen({"tested_salt": 1500.0}), causes=("cell_worn",))))
    for item in missed:
        why = because(item)
        assert why is not None
        belief = dict(item.run.session.hypotheses())
        assert why.true is not None
        odds = belief[why.named] / belief[why.true]
        assert sum(one.decibans for one in why.spoken) == pytest.approx(10 * math.log10(odds), abs=1e-6)


def test_the_share_is_named_where_it_is_the_culprit() -> None:
    """The share of the true cause taken from 8.5 to 0.1 of 100, as a slipped digit would."""
    slipped = Number("tree", "low-salt", ("of_100_calls", "cell_worn"))
    made = Models(with_number(knowledge(), slipped, 0.001))
    worn = [each for each in every_call() if each.causes == ("cell_worn",) and each.complaint == "low-salt"]
    turned = [item for each in worn if not (item := score(made, each)).first]
    assert turned
    for item in turned:
        why = because(item)
        assert why is not None
        assert SHARE in [one.about for one in why.misled[:2]]
        share = next(one for one in why.spoken if one.about == SHARE)
        assert share.against == slipped


def test_a_check_that_such_a_person_cannot_make_is_told_with_what_it_takes() -> None:
    """A chewed lead cannot be told on the phone from what else leaves the unit dark: it takes tools to look."""
    item = score(models(), call("phone", facts=frozen({"unit_salt": 2300.0}), causes=("cell_lead_bad",)))
    why = because(item)
    assert why is not None
    assert {one.why for one in why.unasked} >= {"needs"}
    for one in why.unasked:
        if one.why == "needs":
            assert one.needs not in knowledge().roles["phone"].can_use


def test_a_call_that_named_one_of_two_is_told_of() -> None:
    item = score(models(), call(facts=frozen({"tested_salt": 1500.0}), causes=("salt_low", "cell_worn")))
    assert (item.first, item.exact) == (True, False)
    assert [cause for cause, _ in item.left_out] == ["cell_worn"]
    assert because(item) is not None


def test_each_number_is_the_one_that_the_file_has() -> None:
    """Read again from the YAML by other code."""
    shipped = numbers_of(knowledge())
    for name in knowledge().trees:
        for cause, share in plain._group(plain.tree(name)["of_100_calls"]).items():
            number = Number("tree", name, ("of_100_calls", cause))
            assert shipped[number] * number.scale == pytest.approx(float(share))
    assert any(number.path[-1] == SOMETHING_ELSE for number in shipped)


def test_each_place_is_the_line_that_says_it() -> None:
    places = NumberPlaces(plain.FAULTS)
    for number in list(numbers_of(knowledge()))[::23]:
        file, _, line = places.of(number).rpartition(":")
        text = (plain.FAULTS / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert number.path[-1].split(".")[-1] in text or number.path[0] in text, number


@pytest.mark.parametrize("value", [0.02, 0.5, 0.97])
def test_a_changed_number_stands_as_told_and_what_must_add_up_still_does(value: float) -> None:
    for number in list(numbers_of(knowledge()))[::41]:
        if number.path[0] in ("shows", "here", "usual", "of_100_calls", "two_faults"):
            changed = numbers_of(with_number(knowledge(), number, value))
            assert changed[number] == pytest.approx(value)
            line = [each for other, each in changed.items() if _beside(other, number)]
            if number.path[0] == "usual":
                assert sum(line) == pytest.approx(1.0)
            if number.path[0] in ("shows", "here"):
                assert sum(line) <= 1.0 + 1e-3


def _beside(one: Number, other: Number) -> bool:
    return (one.kind, one.entry, one.path[:-1]) == (other.kind, other.entry, other.path[:-1])
