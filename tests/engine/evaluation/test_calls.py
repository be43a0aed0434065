from __future__ import annotations

from pathlib import Path

import pytest

from engine.evaluation.calls import read_calls
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import use_language
from tests.shipped import knowledge, visible_calls

GOOD = "call: one\nrole: counter\ncomplaint: low-salt\nfacts:\n  tested_salt: 3400\n  return_flow: none\n"


def test_the_shipped_calls_are_all_read() -> None:
    assert len(visible_calls()) == 36
    paths = sorted((Path(__file__).parents[3] / "faults" / "calls").glob("*.yaml"))
    shipped = [call for path in paths for call in read_calls(path.name, path.read_bytes(), knowledge())]
    assert {call.complaint for call in shipped} == set(knowledge().trees)


def test_none_is_an_answer_and_not_nothing() -> None:
    (call,) = read_calls("f", GOOD.encode(), knowledge())
    assert call.facts["return_flow"] == "none"


def test_what_was_brought_is_inferred_from_the_facts() -> None:
    (call,) = read_calls("f", GOOD.encode(), knowledge())
    assert call.brought == ("water_sample",)
    (told,) = read_calls("f", (GOOD + "brought: [cell]\n").encode(), knowledge())
    assert told.brought == ("cell",)
    thermometer = GOOD.replace("tested_salt: 3400", "water_temp: 9")
    assert read_calls("f", thermometer.encode(), knowledge())[0].brought == ()


def test_flags_win_over_the_file_and_may_stand_in_for_it() -> None:
    text = GOOD.replace("role: counter\n", "")
    (call,) = read_calls("f", text.encode(), knowledge(), {"role": "field", "complaint": "no-output"})
    assert (call.role, call.complaint) == ("field", "no-output")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (GOOD.replace("counter", "couner"), "f:2:7: `couner` is not a known role; did you mean `counter`?"),
        (GOOD.replace("low-salt", "low_salt"), "f:3:12: `low_salt` is not a known complaint; did you mean `low-salt`?"),
        (GOOD.replace("tested_salt", "testd_salt"), "f:5:3: `testd_salt` is not a check; did you mean `tested_salt`?"),
        (
            GOOD.replace("3400", "plenty"),
            "f:5:16: `plenty` is not a number; write tested_salt as a plain number in ppm",
        ),
        (GOOD.replace("3400", "-5"), "f:5:16: -5 ppm is impossible; tested_salt runs from 0 to 100000 ppm"),
        (
            GOOD.replace("none", "nun"),
            "f:6:16: `nun` is not an answer to return_flow; allowed here: strong, weak, none",
        ),
        (GOOD.replace("facts:", "fact:"), "f:4:1: `fact` is not a field of a call; did you mean `facts`?"),
        (GOOD + "cause: salt_lo\n", "f:7:8: `salt_lo` is not known here; did you mean `salt_low`?"),
        ("", "f:1:1: this file is empty; write its entries, or delete it"),
        ("[1, 2]", "f:1:1: this is not a call; begin it with `call: a short name`"),
    ],
)
def test_a_mistake_is_named_with_its_place_and_its_mend(text: str, says: str) -> None:
    with pytest.raises(KnowledgeError) as caught:
        read_calls("f", text.encode(), knowledge())
    assert says in str(caught.value).splitlines()


def test_every_mistake_of_a_file_is_told_at_once() -> None:
    text = GOOD.replace("counter", "boss").replace("3400", "plenty") + "---\n" + GOOD.replace("none", "nun")
    with pytest.raises(KnowledgeError) as caught:
        read_calls("f", text.encode(), knowledge())
    assert len(caught.value.problems) == 3


def test_a_mistake_is_told_in_the_language_in_use() -> None:
    text = GOOD.replace("counter", "couner").replace("3400", "-5").replace("none", "nun")
    use_language("es")
    try:
        with pytest.raises(KnowledgeError) as caught:
            read_calls("f", text.encode(), knowledge())
    finally:
        use_language("en")
    assert str(caught.value).splitlines() == [
        "f:2:7: `couner` no es un rol conocido; ¿quiso decir `counter`?",
        "f:5:16: -5 ppm es imposible; tested_salt va de 0 a 100000 ppm",
        "f:6:16: `nun` no es una de las respuestas de return_flow; aquí se admiten: strong, weak, none",
    ]
