"""What is said of twenty pools: shares that fit the file, what they imply, and a file in which nothing else changes."""

from __future__ import annotations

import math

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from engine.inference.compiling import compile_tree
from engine.knowledge.answers_written import with_answers
from engine.knowledge.files import contents_of
from engine.knowledge.loader import knowledge_from
from engine.proving.eliciting import OUT_OF, Counted, counted, implied, shares_of, with_said
from tests.benchmarks import plain_knowledge as plain
from tests.shipped import knowledge

FILE = "causes/cell.yaml"
CONTENT = (plain.FAULTS / FILE).read_bytes()
CAUSES = [str(form["cause"]) for form in yaml.load(CONTENT, Loader=yaml.BaseLoader)]
PLATES = list(knowledge().checks["cell_plates"].usual)


TYPED = (
    *(("12", (12, 12)), ("10-14", (10, 14)), ("14 - 10", (10, 14)), ("2,5", (2.5, 2.5))),
    *(("10\N{EN DASH}14", (10, 14)), ("0", (0, 0))),
)


@pytest.mark.parametrize(("typed", "found"), TYPED)
def test_a_count_is_read_as_it_was_meant(typed: str, found: tuple[float, float]) -> None:
    assert counted(typed) == Counted(*found)


@pytest.mark.parametrize("typed", ["", "x", "21", "-3", "1-2-3", "nan", "inf", "12 of 20", "1e400"])
def test_what_is_no_count_of_twenty_is_none(typed: str) -> None:
    assert counted(typed) is None


one = st.tuples(st.integers(0, OUT_OF), st.integers(0, OUT_OF)).map(lambda pair: Counted(min(pair), max(pair)))
counts = st.dictionaries(st.sampled_from(PLATES), one, min_size=1)


@given(counts)
def test_shares_fit_the_file_and_leave_no_answer_impossible(said: dict[str, Counted]) -> None:
    shares = shares_of(knowledge(), "cell_plates", said)
    total = math.fsum(shares.values())
    assert all(0 < share < 1 for share in shares.values()) or len(PLATES) == 1
    assert total == pytest.approx(1.0) if len(said) == len(PLATES) else total <= 0.98 + 1e-9
    told = implied(knowledge(), "cell_plates", shares)
    assert math.fsum(told.values()) == pytest.approx(1.0)
    assert all(share > 0 for share in told.values())


def test_what_is_implied_is_what_the_folder_reckons_with() -> None:
    shares = shares_of(knowledge(), "cell_plates", {PLATES[0]: Counted(2, 2), PLATES[1]: Counted(4, 8)})
    made = with_said(knowledge(), "cell_worn", {"cell_plates": shares})
    model = compile_tree(made, made.trees["low-salt"])
    column = model.tables["cell_plates"][:, model.hypotheses.index(("cell_worn",))]
    order = [answer.id for answer in made.checks["cell_plates"].answers]
    assert dict(zip(order, column, strict=True)) == pytest.approx(implied(knowledge(), "cell_plates", shares))


@pytest.mark.parametrize("cause", CAUSES[::3])
@pytest.mark.parametrize("check", ["cell_plates", "surfaces"])
def test_the_file_says_it_and_nothing_else_changes(cause: str, check: str) -> None:
    """Read again by PyYAML; every comment stands where it stood."""
    if check in knowledge().causes[cause].likelier:
        return
    answer = next(iter(knowledge().checks[check].usual))
    new = with_answers(FILE, CONTENT, cause, {check: {answer: 0.25}}, "of 20 pools: 5 (ann, a guess)")
    before, after = (yaml.load(text, Loader=yaml.BaseLoader) for text in (CONTENT, new))
    for old, now in zip(before, after, strict=True):
        if old["cause"] == cause:
            assert now["shows"].pop(check) == {answer: "0.25"}
            old.get("shows", {}).pop(check, None)
            assert now.pop("source") == f"{old.pop('source')}; of 20 pools: 5 (ann, a guess)"
        assert now == old
    comments = [line for line in CONTENT.decode().splitlines() if line.lstrip().startswith("#")]
    assert [line for line in new.decode().splitlines() if line.lstrip().startswith("#")] == comments
    if check == "surfaces":
        contents, _ = contents_of(plain.FAULTS)
        known = knowledge_from("faults", {**contents, FILE: new})
        assert known.causes[cause].shows[check] == {answer: 0.25}


def test_a_cause_without_shows_gets_them() -> None:
    text = b"- cause: x\n  customer: X.\n  technician: x\n  repairs: [y]\n  source: z    # kept\n"
    new = with_answers("f", text, "x", {"a": {"b": 0.5}, "c": {"d": 1.0}}, "w").decode()
    assert yaml.safe_load(new)[0]["shows"] == {"a": {"b": 0.5}, "c": {"d": "always"}}
    assert "# kept" in new
    flow = b"- {cause: x, shows: {}, repairs: [y], source: z}\n"
    assert yaml.safe_load(with_answers("f", flow, "x", {"a": {"b": 0.5}}, "w"))[0]["shows"] == {"a": {"b": 0.5}}
