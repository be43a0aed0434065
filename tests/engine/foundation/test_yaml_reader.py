"""Strict YAML: text stays text, nothing is repeated by reference, and every mistake has a place."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.foundation import yaml_reader
from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import MOST_BYTES, compose, read_document, read_documents
from tests.example_counts import up_to

FILE = "a.yaml"


@pytest.fixture(params=["quick", "plain"], autouse=True)
def _either_parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everything here must hold with the compiled parser and, where it is missing, with the one in Python."""
    if request.param == "plain":
        monkeypatch.setattr(yaml_reader, "_LOADER", yaml.SafeLoader)


def data_of(text: str) -> object:
    return read_document(FILE, text.encode()).data


def problems_of(text: str | bytes) -> list[str]:
    with pytest.raises(KnowledgeError) as error:
        read_document(FILE, text.encode() if isinstance(text, str) else text)
    return [str(problem) for problem in error.value.problems]


# YAML 1.1 makes booleans, times, octal numbers, dates and nulls of these (yaml.org types, read from memory).
WORDS_THAT_STAY = ["on", "off", "yes", "no", "none", "null", "~", "true", "False"]
WORDS_THAT_STAY += ["12:30", "010", "1_000", "2026-11-25"]


@pytest.mark.parametrize("word", [*WORDS_THAT_STAY, ".inf", ".nan", "0x1F", "1e999", "+", "1.", "9" * 400])
def test_a_word_with_a_meaning_in_yaml_stays_text(word: str) -> None:
    assert data_of(f"answer: {word}\n") == {"answer": word}


@pytest.mark.parametrize("word", WORDS_THAT_STAY)
def test_a_word_with_a_meaning_in_yaml_can_be_a_name(word: str) -> None:
    assert data_of(f"{word}: here\n") == {word: "here"}


@pytest.mark.parametrize(
    ("text", "number"),
    [("0", 0), ("-12", -12), ("3450", 3450), ("0.35", 0.35), (".5", 0.5), ("-2.5", -2.5), ("1e3", 1000)],
)
def test_a_plain_number_is_a_number(text: str, number: float) -> None:
    assert data_of(f"value: {text}\n") == {"value": number}


def test_a_number_in_quotes_and_a_number_before_a_colon_are_text() -> None:
    assert data_of("230: '230'\n") == {"230": "230"}


def test_nothing_after_a_colon_is_nothing() -> None:
    assert data_of("value:\n") == {"value": None}


PLAIN = st.recursive(
    st.one_of(st.integers(-(10**14), 10**14), st.text(st.characters(codec="utf-8", exclude_categories=["C"]))),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=4),
        st.dictionaries(st.text("abcdefgh_", min_size=1), inner, min_size=1, max_size=4),
    ),
    max_leaves=12,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.dictionaries(st.text("abcdefgh_", min_size=1), PLAIN, min_size=1, max_size=5), st.booleans())
def test_what_another_program_writes_is_read_as_it_was(data: dict[str, object], flow: bool) -> None:
    """PyYAML's own writer, which quotes every text and repeats nothing here, is the outside reference."""

    class Quoting(yaml.SafeDumper):
        def ignore_aliases(self, _: object) -> bool:
            return True

    Quoting.add_representer(str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"'))
    written = yaml.dump(data, Dumper=Quoting, allow_unicode=True, default_flow_style=flow)
    assert data_of(written) == data


def test_places_are_those_of_the_text() -> None:
    document = read_document(FILE, "first: 1\nlist:\n  - é: [a, bc]\n".encode())
    assert document.place(("first",), at_key=True) == (1, 1)
    assert document.place(("first",)) == (1, 8)
    assert document.place(("list", 0, "é"), at_key=True) == (3, 5)
    assert document.place(("list", 0, "é", 1)) == (3, 12)
    assert document.place(("list", 0, "missing")) == (3, 5)


TAG = "1:4: there is a tag (`!...`) before this value; leave it out, and quote a text that begins with `!`"
ORDER = "1:1: this line is a YAML directive; delete the line that begins with `%`"
STRAY_LINE = (
    "2:1: this line does not belong to the list above it; "
    "begin it with `- ` in the column of the other items, or indent it further"
)
STRAY_ITEM = "1:4: a list item (`- `) is not allowed here; start the list on its own line, below the name it belongs to"


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("a: 1\nb: {c: 2, c: 3}\n", "2:11: `c` appears here a second time; the first is on line 2; keep one of them"),
        ("a: &x 1\n", "1:4: `&x` is an anchor; leave it out, and write repeated parts out in full"),
        ("a: *x\n", "1:4: `*x` repeats a part by reference; write the part out in full here"),
        ("a: !!str 5\n", TAG),
        ("a: !x [1]\n", TAG),
        ("a: !x {b: 1}\n", TAG),
        ("a:\n  <<: {b: 1}\n", "2:3: `<<` merges in another part; write the fields out in full"),
        ("? [a, b]\n: c\n", "1:3: there is something other than a name before this colon; write one plain word"),
        ("'': c\n", "1:1: the name before this colon is missing; write one plain word"),
        ("a: b\n---\nc: d\n", "2:1: a second document begins here; remove the line `---`"),
        ("\ta: 1\n", "1:1: there is a tab in place of spaces; indent with spaces"),
        ("a: `b\n", "1:4: a text cannot begin with ```; quote it"),
        ("a: 'b\n", "1:4: the quote that opens here is not closed; put the same quote mark at the end of the text"),
        ("a: &\n", "1:4: a text cannot begin with `&`; quote it"),
        ("a: *\n", "1:4: a text cannot begin with `*`; quote it"),
        ("%YAML 9.0\n---\na: b\n", ORDER),
        ("- a\nb: c\n", STRAY_LINE),
        ("a: - b\n", STRAY_ITEM),
        ("", "1:1: this file is empty; write its entries, or delete it"),
        ("# only a remark\n", "1:1: this file is empty; write its entries, or delete it"),
        (
            "a: \x07\n",
            "1:4: there is a control character (U+0007) here; delete it; this must be plain text",
        ),
    ],
)
def test_each_mistake_in_the_text_has_its_place_and_advice(text: str, problem: str) -> None:
    assert problems_of(text) == [f"{FILE}:{problem}"]


def test_all_mistakes_that_do_not_stop_the_reading_are_told_at_once() -> None:
    text = "a: &x 1\na: 2\nb: {c: *x, <<: {d: 1}}\ne: !t [3]\n"
    assert [problem.split(":")[1:3] for problem in problems_of(text)] == [
        ["1", "4"],
        ["2", "1"],
        ["3", "8"],
        ["3", "12"],
        ["4", "4"],
    ]


def test_what_is_not_utf_8_is_told_where() -> None:
    assert problems_of("a: b\nç: é\n".encode("latin-1")) == [
        f"{FILE}:2:1: this is not text in UTF-8; save the file as plain text, UTF-8"
    ]


def test_a_byte_order_mark_says_nothing() -> None:
    assert read_document(FILE, b"\xef\xbb\xbfa: b\n").data == {"a": "b"}


def test_a_file_may_have_a_megabyte_and_no_more() -> None:
    fits = b"a: b\n#" + b"x" * (MOST_BYTES - 6)
    assert read_document(FILE, fits).data == {"a": "b"}
    too_large = "this file is larger than 1,000,000 bytes; split it into several files"
    assert problems_of(fits + b"x") == [f"{FILE}:1:1: {too_large}"]


@pytest.mark.parametrize("opening", ["[", "{a: ", "- "])
def test_forty_levels_pass_and_more_do_not(opening: str) -> None:
    closing = {"[": "]", "{a: ": "}", "- ": ""}[opening]
    assert read_document(FILE, (opening * 40 + "x" + closing * 40).encode()).data is not None
    for levels in (41, 2000):
        assert "nested more than 40 levels deep" in problems_of(opening * levels + "x" + closing * levels)[0]


def test_several_documents_are_read_where_they_may_stand() -> None:
    documents = read_documents(FILE, b"call: one\n---\ncall: two\n")
    assert [document.data for document in documents] == [{"call": "one"}, {"call": "two"}]
    assert documents[1].place(("call",)) == (3, 7)


YAML_LIKE = st.text(st.sampled_from(list("abc: \n-[]{}'\"#&*!|>%@`?,\t\\<.0123\x07é")), max_size=40)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=up_to(400))
@given(st.one_of(YAML_LIKE.map(str.encode), st.text().map(lambda text: text.encode("utf-8", "replace")), st.binary()))
def test_any_text_is_read_or_refused_with_a_place_inside_it(content: bytes) -> None:
    try:
        documents = compose(FILE, content, several=True)
    except KnowledgeError as error:
        problems = list(error.problems)
        assert problems
    else:
        problems = [problem for document in documents for problem in document.problems]
    lines = len(content.decode("utf-8", "replace").splitlines()) + 1
    for problem in problems:
        assert 1 <= problem.line <= lines + 1
        assert problem.column >= 1
        assert problem.what
        assert problem.advice


@pytest.mark.parametrize("code", ["\\e", "\\x07", "\\u202e", "\\x9b", "\\0", "\\ud800"])
def test_what_steers_a_terminal_is_refused_also_as_an_escape(code: str) -> None:
    for text in (f'a: "x{code}y"\n', f'"x{code}y": a\n', f'- "{code}"\n'):
        with pytest.raises(KnowledgeError) as caught:
            read_document("f.yaml", text.encode())
        assert "U+" in str(caught.value) or "character" in str(caught.value) or "f.yaml:1:" in str(caught.value)
