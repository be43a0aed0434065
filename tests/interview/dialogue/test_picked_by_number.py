"""A number typed at a list picks the choice that stands there under that number, whatever its id is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.session.journal import read_events
from engine.session.session import Session
from engine.store.known import KnownPool
from engine.store.people import Pool
from interview.dialogue.history import name_of, value_words
from interview.dialogue.on_record import may_be_meant, which_pool
from interview.dialogue.utterance import NONE_OF_THESE, meant
from interview.messages import Candidate, Choice, Given, Question, Unclear
from interview.understanding.replies import read
from tests.interview.people import lines, run
from tests.shipped import models


@given(values=st.lists(st.floats(6, 9), min_size=1, max_size=8, unique=True), data=st.data())
def test_of_what_a_line_may_state_the_number_picks_what_stands_beside_it(
    values: list[float], data: st.DataObject
) -> None:
    offered = tuple(Candidate("ph", value) for value in values)
    question = meant(Session(models()), Unclear("about seven", offered))
    number = data.draw(st.integers(1, len(question.choices)))
    reply = read(str(number), question)
    assert isinstance(reply, Given)
    assert reply.value == question.choices[number - 1].id
    assert reply.value == (str(number) if number <= len(values) else NONE_OF_THESE)


@given(count=st.integers(1, 8), data=st.data())
def test_of_several_pools_the_number_picks_the_one_beside_it(count: int, data: st.DataObject) -> None:
    known = [Pool(f"p{n}", f"p{n}", f"Ann {n}", "", "", "", "2026-03-01T09:00:00Z") for n in range(count)]
    pools = tuple(KnownPool(pool, None, (), ()) for pool in known)
    question = which_pool("ann", may_be_meant(pools))
    number = data.draw(st.integers(1, count))
    reply = read(str(number), question)
    assert isinstance(reply, Given)
    assert question.choices[number - 1].id == reply.value


def test_a_choice_whose_id_is_the_number_of_another_is_refused_where_it_is_made() -> None:
    with pytest.raises(ValueError, match="another one"):
        Question("set_up", "which", "Which?", (Choice("0", "first"), Choice("1", "second")))


@pytest.mark.e2e
@pytest.mark.parametrize("picked", [1, 2])
@pytest.mark.parametrize("line", ["ph 7.2 7.8", "salt 2.5"])
def test_what_is_picked_on_the_screen_is_what_is_kept(line: str, picked: int, tmp_path: Path) -> None:
    typed = lines("counter, low salt warning, no danger", line, str(picked), "leave")
    told = run(tmp_path, typed=typed).stdout
    choices = told.partition("did you mean")[2].partition("None of")[0]
    (offered,) = re.findall(rf"^ {picked}  (.+): (.+)$", choices, re.MULTILINE)
    (path,) = tmp_path.glob("*.jsonl")
    session = Session(models(), read_events(path))
    kept = [(event.about, event.value) for event in session.events if event.kind in ("answered", "corrected")]
    ((about, value),) = [(about, value) for about, value in kept if isinstance(value, float)]
    assert (name_of(session, about), value_words(session, about, value)) == offered
    assert told.count(f"= {': '.join(offered)}") == 1
