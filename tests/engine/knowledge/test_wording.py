"""What several answers have in common is said once, and no two opposites are said of one reading."""

from __future__ import annotations

from importlib.resources import files
from operator import attrgetter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.loader import load_knowledge
from engine.knowledge.wording import in_common

WORDS = st.lists(st.sampled_from(["blown", "new", "holds", "none", "tried", "rain"]), min_size=1, max_size=4)


@given(st.lists(WORDS, min_size=2, max_size=4))
def test_what_is_in_common_begins_every_text_and_is_the_longest_that_does(texts: list[list[str]]) -> None:
    said = in_common([" ".join(text) for text in texts])
    if texts[0][0] != texts[-1][0] or len({text[0] for text in texts}) > 1:
        assert said == " / ".join(" ".join(text) for text in texts)
        return
    shared = said.split()
    assert all(text[: len(shared)] == shared for text in texts)
    longer = {tuple(text[: len(shared) + 1]) for text in texts}
    assert len(longer) > 1 or any(len(text) == len(shared) for text in texts)


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_former_answer_is_not_told_as_its_opposites(language: str) -> None:
    """A fuse that blew, and nobody said whether a new one was tried, was told as tried and as not tried."""
    fuse = load_knowledge(files("faults"), language).checks["unit_fuse"]
    for texts in (attrgetter("customer"), attrgetter("technician")):
        said = fuse.said("blown", texts)
        assert said
        assert "/" not in said
        assert all(texts(each.wording).startswith(said) for each in fuse.meant("blown"))
