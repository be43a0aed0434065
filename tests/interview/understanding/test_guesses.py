"""What is offered where no saying fits: likeliest first, three at most, and nothing for small talk."""

from __future__ import annotations

import math
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import log_softmax

from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from interview.understanding.listening.library import book_of
from interview.understanding.listening.likelihood import leaning, posterior
from tests.spoken.hearing import hear

KNOWLEDGE = load_knowledge(files("faults"))


def _offered(line: str) -> list[list[tuple[str, str | float | None]]]:
    return [[(each.check, each.value) for each in item.candidates] for item in hear(line, KNOWLEDGE).unclear]


@given(st.lists(st.floats(-60, 60), min_size=1, max_size=40))
def test_a_posterior_is_the_softmax_of_half_the_weights(weights: list[float]) -> None:
    found = posterior({("check", float(k)): weight for k, weight in enumerate(weights)})
    assert [*found.values()] == pytest.approx([*log_softmax([weight / 2 for weight in weights])], abs=1e-9)
    assert sum(map(math.exp, found.values())) == pytest.approx(1)


@given(st.data())
def test_words_lean_most_to_the_likeliest_of_all_answers(data: st.DataObject) -> None:
    """Beside a softmax of the weights by a general library, as above."""
    book = book_of(KNOWLEDGE)
    keys = data.draw(st.lists(st.sampled_from(sorted(book.by_each)), min_size=1, max_size=6, unique=True))
    lean = leaning([*keys, "xyzzy"], denies=False, numbered=False, likelihood=book.likelihood)
    weights = book.likelihood.weighed(keys, denies=False, numbered=False)
    expected = dict(zip(weights, log_softmax([weight / 2 for weight in weights.values()]), strict=True))
    assert lean.likely[lean.most] == pytest.approx(max(expected.values()))
    assert lean.new == 1
    others = [answer for answer in weights if answer[0] == lean.most[0] and answer != lean.most]
    assert all(lean.is_otherwise(answer) for answer in others)
    assert not lean.is_otherwise(lean.most)


@given(st.data())
def test_a_word_weighs_most_where_the_largest_share_of_sayings_has_it(data: st.DataObject) -> None:
    book = book_of(KNOWLEDGE)
    key = data.draw(st.sampled_from(sorted(book.by_each)))
    weights = book.likelihood.weighed([key], denies=False, numbered=False)
    without = book.likelihood.weighed([], denies=False, numbered=False)
    gained = {answer: weights[answer] - without[answer] for answer in weights}
    saying_it = {(meaning.check, meaning.what) for _, meaning in book.by_each[key]}
    assert max(gained, key=gained.__getitem__)[0] in {check for check, _ in saying_it}
    for answer in saying_it:
        silent = [gained[other] for other in gained if other[0] == answer[0] and other not in saying_it]
        assert all(gained[answer] > each for each in silent)


@given(st.data())
def test_what_is_guessed_at_is_never_more_than_three_answers_and_none_twice(data: st.DataObject) -> None:
    words = data.draw(st.lists(st.sampled_from(sorted(book_of(KNOWLEDGE).vocabulary)), max_size=12))
    for offered in _offered(" ".join(words)):
        assert len(offered) <= 3
        assert len(offered) == len(set(offered))


@pytest.mark.parametrize(
    "line",
    [
        "good morning, how are you keeping",
        "can you ring me back later please",
        "my name is spelled with two letters at the end",
        "my husband usually deals with all of this",
        "thanks ever so much for your help today",
        "the kids are at school and the dog is asleep",
    ],
)
def test_small_talk_is_not_guessed_at(line: str) -> None:
    assert _offered(line) == []


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("the plates have a hard white skin over them", ("cell_plates", "white_scale")),
        ("the jets are barely dribbling water along", ("return_flow", "weak")),
        ("water in there has a greeny tinge to it", ("water_look", "green")),
    ],
)
def test_what_no_saying_fits_is_offered_by_its_words(line: str, meant: tuple[str, str]) -> None:
    use_language("en")
    heard = hear(line, KNOWLEDGE)
    taken = {(fact.check, fact.value) for fact in heard.facts}
    assert meant in taken | {answer for offered in _offered(line) for answer in offered}


def test_a_word_that_its_own_answer_is_said_with_is_not_left_over() -> None:
    """`lately` belongs to what was taken: nothing is asked back of it."""
    line = hear("nobody added salt lately", KNOWLEDGE)
    assert [(fact.check, fact.value) for fact in line.facts] == [("salt_added", "not_lately")]
    assert line.unclear == ()
