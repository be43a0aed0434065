"""Every shipped language is whole: no text is missing, none is left in English, and none says less than the English."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
import textstat

from engine.foundation.text_catalog import flat_texts, languages_of
from engine.foundation.yaml_reader import read_document
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.loader import load_knowledge, read_folder
from engine.knowledge.translation import flat, overlay_of, texts_of
from engine.knowledge.translation_check import look_through
from tests.overlay import entries_of

ROOT = Path(__file__).parents[2]
FAULTS = ROOT / "faults"
OTHERS = [code for code in languages_of(FAULTS) if code != "en"]
SAME = {"es": {"pH", "ppm", "skimmer"}}
"""What is written in the same way in both languages."""
SIGNALS = {"es": {"DANGER": "PELIGRO", "WARNING": "ADVERTENCIA", "CAUTION": "PRECAUCIÓN", "NOTICE": "AVISO"}}
"""ISO 3864 and ANSI Z535 signal words as Spanish-language safety labels give them (from memory)."""
NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
FALSE_SENSE = {
    "es": (
        ("within a quarter", "menos de un cuarto"),
        ("over (tested|expected|clean|its life|nominal)", r"\bentre\b"),
        ("[Oo]verfusing", "fusible de más"),
        ("[Ss]top at", r"\b[Pp]arar(se)? en\b"),
        ("[Ss]tand (the|dry)", r"\b[Pp](are|árese)\b"),
        ("evening|dusk", r"\btarde\b"),
        (r"(?<!far )\btoo (little|few|low|cold|small|high|weak|slow|old)", r"\bmuy\b"),
        ("ground water", "agua del suelo"),
        ("[Cc]lear the pool", "[Vv]aciar la piscina"),
    )
}
"""English words, and how they were or would be put falsely beside them: the words are right, the sense is another."""
REGIONAL = {
    "es": re.compile(
        r"\b(andando|andar|andan|anda|ande|matricul\w+|aislación|térmica común|balde\w*|tomacorriente\w*|canastilla\w*|"
        r"desnatador|hondura|revo(que|có)|alargue|camioneta|trab(e|ad[oa]s?)|encint\w+|agendar\w*|llave de seguridad|"
        r"rajad[oa]|queja|caño)\b",
        re.IGNORECASE,
    )
}
"""Words that one country says and the next does not, or says of something else (a judgement)."""
EASY_ES = 80.0
"""Fernández-Huerta's scale: 80 to 90 is "easy", the reading of about the 5th school year (from memory)."""
NOT_NUMBERED = {"names", "words", "perhaps", "not_words", "steps_say", "spoken_of"}
"""Words that people type are no translation of one another one by one."""


@cache
def english() -> Folder:
    return read_folder(str(FAULTS), contents_of(FAULTS)[0])[0]


@cache
def texts(code: str) -> dict[tuple[str, ...], str]:
    """Every text of the catalogue in a language, by kind, id and the way to it; lists of names left out."""
    folder = english()
    if code != "en":
        place = FAULTS / "languages" / code
        folder = overlay_of(folder, str(place), contents_of(place)[0]).folder
    found: dict[tuple[str, ...], str] = {}
    for kind in FILES.values():
        for entry_id, placed in folder.of_kind(kind.name).items():
            for path, text in flat(texts_of(placed.form)):
                if not NOT_NUMBERED & set(map(str, path)):
                    found[kind.name, entry_id, *map(str, path)] = text
    return found


@cache
def words(code: str) -> dict[str, str]:
    """Every text of the program's own words in a language, by its whole key."""
    place = FAULTS / "words" if code == "en" else FAULTS / "languages" / code / "words"
    found: dict[str, str] = {}
    for path in sorted(place.glob("*.yaml")):
        texts_here = flat_texts(read_document(str(path), path.read_bytes()))
        found |= {f"{path.stem}.{key}": text for key, text in texts_here.items()}
    return found


def every(code: str) -> dict[tuple[str, ...], str]:
    """The program's words and the catalogue's texts together, each by the way to it."""
    return {**{(key,): text for key, text in words(code).items()}, **texts(code)}


def numbers(text: str) -> Counter[str]:
    """The figures of a text; a decimal comma is a decimal point."""
    return Counter(found.replace(",", ".") for found in NUMBER.findall(text))


def test_a_second_language_is_shipped() -> None:
    assert "es" in OTHERS


def test_nothing_is_wrong_in_a_shipped_language() -> None:
    assert look_through(FAULTS, entries_of(FAULTS)).problems == ()


@pytest.mark.parametrize("code", OTHERS)
def test_nothing_is_missing(code: str) -> None:
    assert [str(problem) for problem in look_through(FAULTS, entries_of(FAULTS)).missing[code]] == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_text_is_left_in_english(code: str) -> None:
    there = texts("en")
    left = [path for path, text in texts(code).items() if text == there[path] and text not in SAME[code]]
    assert left == []


@pytest.mark.parametrize("code", OTHERS)
def test_every_figure_is_the_same_in_every_language(code: str) -> None:
    there = texts("en")
    wrong = {path: text for path, text in texts(code).items() if numbers(text) != numbers(there[path])}
    assert wrong == {}


@pytest.mark.parametrize("code", OTHERS)
def test_the_programs_own_words_are_translated_with_their_figures(code: str) -> None:
    """Left as they are: what is only fields and signs, and words that are the same in both languages."""
    there = words("en")
    for key, text in words(code).items():
        bare = re.sub(r"\{[^}]*\}", "", there[key])
        if re.search(r"[A-Za-z]{3}", bare) and not key.startswith("listening."):
            assert text != there[key] or text in SAME[code], key
        if not key.startswith(("units.", "listening.", "danger_talk.")):
            assert numbers(text) == numbers(there[key]), key


@pytest.mark.parametrize("code", OTHERS)
def test_every_bracketed_figure_keeps_its_brackets(code: str) -> None:
    there = texts("en")

    def bracketed(text: str) -> list[str]:
        # The word between the ends of a range is one of the language.
        return [re.sub(r"(?<=[0-9]) [a-z]+ (?=[0-9])", " ", found) for found in re.findall(r"\[[^\]]*\]", text)]

    wrong = [path for path, text in texts(code).items() if bracketed(text) != bracketed(there[path])]
    assert wrong == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_caution_or_instruction_is_cut_short(code: str) -> None:
    """A translation of half the length has left something out; Spanish usually runs longer than English."""
    there = texts("en")
    short = [
        path for path, text in texts(code).items() if len(text) < 0.6 * len(there[path]) and "band_words" not in path
    ]
    assert [path for path in short if path[0] in {"caution", "repair"} or "how" in path] == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_text_says_another_thing_by_words_that_look_right(code: str) -> None:
    there, here = every("en"), every(code)
    wrong = [
        (key, text)
        for key, text in here.items()
        if not key[0].startswith("listening.")  # lists of words that people type stand beside no English ones
        for english_words, false in FALSE_SENSE[code]
        if re.search(english_words, there[key]) and re.search(false, text)
    ]
    assert wrong == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_text_is_in_the_words_of_one_country(code: str) -> None:
    """Names that people may type stand in many words; what is read out or printed stands in those of all."""
    typed = ("commands.", "listening.", "asking.set_up_names.")
    found = [(key, text) for key, text in every(code).items() if REGIONAL[code].search(text)]
    assert [(key, text) for key, text in found if not key[0].startswith(typed)] == []


@pytest.mark.parametrize("code", OTHERS)
def test_a_signal_word_inside_a_caution_is_said_in_the_language(code: str) -> None:
    there = texts("en")
    for path, text in texts(code).items():
        for word, theirs in SIGNALS[code].items():
            assert len(re.findall(rf"\b{word}\b", there[path])) == len(re.findall(rf"\b{theirs}\b", text)), path
            assert word == theirs or not re.search(rf"\b{word}\b", text), path


def test_acid_goes_into_water_in_spanish_too() -> None:
    """The one order that must not be turned round (common practice in every acid handling rule)."""
    there = texts("es")
    for audience in ("customer", "technician"):
        said = there["caution", "acid_into_water", audience].lower()
        assert "el ácido al agua" in said
        assert "nunca el agua al ácido" in said
        assert "nunca al revés" in " ".join(
            text for path, text in there.items() if path[:4] == ("repair", "acid_clean", "steps", audience)
        )


def test_customers_can_read_the_spanish_texts() -> None:
    """Each kind of text as one body, since the formula is meant for a hundred words and more."""
    textstat.set_lang("es")
    try:
        for kind in ("caution", "repair", "check"):
            body = " ".join(text for path, text in texts("es").items() if path[0] == kind and path[-1] == "customer")
            assert textstat.fernandez_huerta(body) >= EASY_ES, kind
    finally:
        textstat.set_lang("en_US")


@pytest.mark.parametrize("code", OTHERS)
def test_a_language_changes_no_id_no_number_and_no_fingerprint(code: str) -> None:
    here, there = load_knowledge(FAULTS, code), load_knowledge(FAULTS)
    assert here.fingerprint == there.fingerprint
    for check_id, check in there.checks.items():
        same = here.checks[check_id]
        assert (same.usual, same.bands, same.minutes) == (check.usual, check.bands, check.minutes)
        assert [answer.id for answer in same.answers] == [answer.id for answer in check.answers]
    for tree_id, tree in there.trees.items():
        assert here.trees[tree_id].singles == tree.singles
        assert here.trees[tree_id].pairs == tree.pairs


@pytest.mark.parametrize(("code", "places"), [("en", r"\b(above|below)\b"), ("es", r"\b(arriba|abajo)\b")])
def test_no_words_of_the_interview_send_the_eye_up_or_down(code: str, places: str) -> None:
    """Papers and screens are read aloud too, one line at a time; a figure may lie above another."""
    spoken = (
        "asking.",
        "talk.",
        "ending.",
        "heeding.",
        "opening.",
        "on_record.",
        "handout.",
        "view_decisions.decisions.",
    )
    figures = re.compile(r"\b(above|below) (\{|half|the range|range)")
    found = [(key, text) for key, text in words(code).items() if key.startswith(spoken)]
    assert found
    assert [(key, text) for key, text in found if re.search(places, figures.sub("", text))] == []
