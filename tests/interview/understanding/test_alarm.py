"""Danger in people's own words is heard, and what only sounds like it stops nobody."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from engine.foundation.text_catalog import Phrases
from engine.foundation.texts import speak_with
from engine.foundation.yaml_reader import read_document
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from interview.understanding.alarm import Alarm, alarms_in
from tests.shipped import knowledge

HERE = Path(__file__).parent
FAULTS = Path(__file__).parents[3] / "faults"
LANGUAGES = ("en", "es")
PARTS = ("first", "second", "third", "fourth")
MORE = ("fifth", "sixth", "seventh", "eighth")
LEAST_HEARD = 0.95
"""Of lines that the words were widened for; of fresh ones seven of eight are (the file of the lines says when)."""
MOST_ASKED_BACK = 0.10
"""Of the near misses; more of them asked back would teach people to answer without reading (a judgement)."""


@pytest.fixture(params=LANGUAGES)
def language(request: pytest.FixtureRequest) -> Iterator[str]:
    speak_with(Phrases(request.param))
    yield request.param
    speak_with(Phrases())


@cache
def known(language: str) -> Knowledge:
    return load_knowledge(FAULTS, language)


@cache
def lines(language: str) -> dict[str, dict[str, list[str]]]:
    path = HERE / f"danger_lines_{language}.yaml"
    found: Any = read_document(str(path), path.read_bytes()).data
    assert isinstance(found, dict)
    return found


@cache  # the language that is in use goes with the line's in every test here
def heard(language: str, line: str) -> tuple[Alarm, ...]:
    return alarms_in(line, known(language))


def test_there_are_enough_lines_of_both_kinds(language: str) -> None:
    parts = lines(language)
    assert tuple(parts) == PARTS
    dangers = sum(len(said) for part in parts.values() for danger, said in part.items() if danger != "none")
    assert dangers >= 120
    assert sum(len(part["none"]) for part in parts.values()) >= 95
    assert {danger for part in parts.values() for danger in part} == {*known(language).dangers, "none"}


@pytest.mark.parametrize("part", PARTS)
def test_no_danger_that_was_said_passes_unheard(language: str, part: str) -> None:
    unheard = [
        (danger, line)
        for danger, said in lines(language)[part].items()
        for line in said
        if danger != "none" and danger not in {alarm.danger for alarm in heard(language, line)}
    ]
    assert unheard == []


def test_what_only_sounds_like_danger_stops_nobody_and_is_seldom_asked_back(language: str) -> None:
    near = [line for part in lines(language).values() for line in part["none"]]
    alarms = {line: found for line in near if (found := heard(language, line))}
    assert [line for line, found in alarms.items() if any(alarm.sure for alarm in found)] == []
    assert len(alarms) / len(near) <= MOST_ASKED_BACK


def test_most_of_what_is_said_plainly_needs_no_asking_back(language: str) -> None:
    """In the first two parts, the plainest."""
    said = [line for part in PARTS[:2] for d, each in lines(language)[part].items() if d != "none" for line in each]
    sure = [line for line in said if any(alarm.sure for alarm in heard(language, line))]
    assert len(sure) / len(said) >= 0.6


@pytest.mark.no_cover  # hundreds of lines through branches that the lines above take too
@pytest.mark.parametrize("part", MORE)
def test_of_what_many_people_would_say_nearly_all_is_heard_and_little_more(part: str) -> None:
    said = lines("more_en")[part]
    dangers = [line for danger, each in said.items() if danger != "none" for line in each]
    assert len(dangers) >= 150
    assert len(said["none"]) >= 80
    assert sum(bool(heard("en", line)) for line in dangers) / len(dangers) >= LEAST_HEARD
    near = [heard("en", line) for line in said["none"]]
    assert not any(alarm.sure for found in near for alarm in found)
    assert sum(map(bool, near)) / len(near) <= MOST_ASKED_BACK


@pytest.mark.no_cover
def test_each_language_is_heard_while_another_is_in_use(language: str) -> None:
    """People mix; the near misses of one language stop nobody in the other."""
    for other in LANGUAGES:
        said = lines(other)["first"]
        unheard = [line for d, each in said.items() if d != "none" for line in each if not heard(language, line)]
        assert unheard == []
        near = [line for part in lines(other).values() for line in part["none"]]
        assert [line for line in near if any(alarm.sure for alarm in heard(language, line))] == []


@pytest.mark.parametrize("slip", ["clorine gas", "chlorien gas", "chlorrine gas", "electrecuted", "chlorime gas"])
def test_a_long_word_with_one_slip_in_it_is_heard(slip: str) -> None:
    assert heard("en", f"there was {slip} here")


@pytest.mark.parametrize(
    "other",
    ["sparkling water", "cell lead fine, fuse blown", "the bill was charged", "the cell lead soldered and leaving"],
)
def test_another_word_than_one_of_danger_is_no_danger(other: str) -> None:
    assert heard("en", other) == ()


@pytest.mark.parametrize(
    ("line", "sure"),
    [
        ("smoke from the box", True),
        ("salt test 3400, plates white, and smoke from the box", True),
        ("no smoke from the box", None),
        ("not sure, maybe smoke from the box", False),
        ("no output and smoke from the box", True),
        ("no chlorine smoke from the box", False),
        ("if i switch it on, would smoke come from the box", False),
        ("there was smoke from the box years ago", False),
        ("nobody saw smoke, but the plug has melted", True),
        ("", None),
    ],
)
def test_what_is_denied_is_none_and_what_is_left_open_is_asked_back(line: str, sure: bool | None) -> None:
    found = [alarm.sure for alarm in alarms_in(line, knowledge()) if alarm.danger == "burning_smell"]
    assert found == ([] if sure is None else [sure])


def test_small_words_of_a_phrase_stand_in_their_order() -> None:
    assert heard("en", "there is water in the socket")[0].danger == "water_on_electrics"
    assert heard("en", "socket in the wall, the water is clear") == ()


@pytest.mark.parametrize("sign", ["\N{RIGHT SINGLE QUOTATION MARK}", "'", ""])
def test_an_apostrophe_changes_nothing(sign: str) -> None:
    assert heard("en", f"I can{sign}t breathe in there")[0].sure


@pytest.mark.parametrize(
    "line",
    [
        "no gas, smoke or tingle",
        "no smells, zaps, sparks or drips on the box",
        "nobody's had a shock, nothing smells",
        "nobody was electrocuted",
        "no smoke, tingle, burning smell nor fumes at all",
    ],
)
def test_a_denial_goes_on_over_a_list(line: str) -> None:
    assert heard("en", line) == ()


@pytest.mark.parametrize(
    ("line", "sure"),
    [
        ("no chlorine, smoke from the box", True),
        ("no output, the plug is burnt", True),
        ("no gas smell, smoke coming out of the box", False),
        ("nobody was electrocuted but there is smoke from the box", True),
    ],
)
def test_and_no_further_than_the_list(line: str, sure: bool) -> None:
    assert [alarm.sure for alarm in heard("en", line)] == [sure]


def test_what_leaves_it_open_does_so_in_its_own_sentence() -> None:
    assert [alarm.sure for alarm in heard("en", "smoke is coming out of the box. could the salt be too low")] == [True]
    assert [alarm.sure for alarm in heard("en", "could smoke be coming out of the box. salt is low")] == [False]


@pytest.mark.parametrize(
    ("line", "of_a_part"),
    [
        ("cell lug burnt at the box", True),
        ("board inside is charred", True),
        ("black and smells burnt inside the pack", False),
        ("smoke from the plug", False),
    ],
)
def test_how_a_part_was_found_is_told_from_the_danger_as_people_meet_it(line: str, of_a_part: bool) -> None:
    assert [alarm.of_a_part for alarm in heard("en", line)] == [of_a_part]


@pytest.mark.no_cover
@pytest.mark.parametrize("part", ["ninth", "tenth"])
def test_lay_words_of_several_countries_are_heard(language: str, part: str) -> None:
    said = lines(f"more2_{language}")[part]
    dangers = [line for danger, each in said.items() if danger != "none" for line in each]
    assert sum(bool(heard(language, line)) for line in dangers) / len(dangers) >= LEAST_HEARD
    assert not any(alarm.sure for line in (*said["none"], *said["hedged"]) for alarm in heard(language, line))
