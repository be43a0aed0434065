"""Markdown: what was typed stays text by CommonMark's own rules, and a paper keeps its shape whatever was typed."""

from __future__ import annotations

import re
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.plain_text import cleaned
from reports.document import Document, Items, Pairs, Table
from reports.renderers.markdown import escaped, markdown_form
from tests.reports.renderers.papers import HOSTILE, every_block, hostile
from tests.reports.renderers.reading import in_markdown, squeezed

# Where CommonMark 0.31 (from memory) gives a character a meaning inside a line: escapes, code, emphasis, links and
# images, autolinks and HTML, entities. Pipes, tildes, sums and braces mean something in common dialects.
INLINE = "\\`*_[]<>&|~#{}$"
# What makes a block of a line that begins with it: headings, quotes, lists, rules, fences, underlines.
BLOCK = [
    "# a",
    "> a",
    "- a",
    "+ a",
    "* a",
    "1. a",
    "23) a",
    "---",
    "***",
    "___",
    "===",
    "```",
    "~~~",
    "<div>",
    "[a]: b",
]
ESCAPE = re.compile(r"\\([" + re.escape(string.punctuation) + "])")


def undone(text: str) -> str:
    """What backslash escapes amount to: the character after each backslash, which has to be punctuation."""
    return ESCAPE.sub(r"\1", text)


@given(st.text().map(cleaned))
def test_escapes_undo_to_the_text_itself(text: str) -> None:
    assert undone(escaped(text)) == text


@given(st.text(alphabet=st.sampled_from(string.printable)).map(cleaned))
def test_no_character_that_means_something_inside_a_line_stands_unescaped(text: str) -> None:
    assert not set(ESCAPE.sub("", escaped(text))) & set(INLINE)


@pytest.mark.parametrize("line", BLOCK)
def test_no_line_begins_a_block(line: str) -> None:
    assert re.match(r"\\|\d+\\", escaped(line))


@pytest.mark.parametrize("text", ["Take 3 - 4 of them.", "9.5 A (low), pH 7.2: 12 %!", 'What\'s "this"; a/b = c?'])
def test_common_sentences_are_left_as_they_are(text: str) -> None:
    assert escaped(text) == text


@pytest.mark.parametrize("link", ["https://example.invalid/x", "www.example.invalid", "me@example.invalid"])
def test_an_address_becomes_no_link(link: str) -> None:
    assert undone(escaped(link)) == link
    assert not re.search(r"(?<!\\)://|www\.|(?<!\\)@", escaped(link))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_paper_keeps_its_shape_whatever_was_typed(name: str) -> None:
    text = cleaned(HOSTILE[name])
    made = markdown_form([hostile(HOSTILE[name])])
    assert made.replace(escaped(text), "harmless") == markdown_form([hostile("harmless")])
    assert squeezed(in_markdown(made)).count(squeezed(text)) >= 30


def test_lists_that_follow_each_other_do_not_grow_together() -> None:
    first, second = Items((("a", ""), ("b", "")), "number"), Items((("c", ""),), "number")
    made = markdown_form([Document("shop", "en", "", "", "", "T", (first, second, Pairs((("d", "e"),))), "")])
    assert "1. a\n2. b\n\n<!-- -->\n\n1. c\n\n<!-- -->\n\n- **d** e" in made


def test_a_table_is_one_whatever_its_cells_hold() -> None:
    # GFM 0.29, section 4.10 (from memory): a row of delimiters under the head makes the table, each row has as many
    # cells as the head, and a pipe inside a cell is escaped.
    cells = ("a | b", "", "`|` \\| *x*", "---", "1. one")
    made = markdown_form([Document("shop", "en", "", "", "", "T", (Table(cells, (cells, cells[::-1]), (4,)),), "")])
    head, sides, *rows = [line for line in made.splitlines() if line.startswith("|")]
    assert [re.fullmatch(r":?-+:?", side.strip()) is not None for side in sides.strip("|").split("|")] == [True] * 5
    assert sides.rstrip(" |").endswith("-:")
    for line, row in zip((head, *rows), (cells, cells, cells[::-1]), strict=True):
        found = [undone(cell.strip()) for cell in re.split(r"(?<!\\)(?:\\\\)*\|", line)[1:-1]]
        assert found == [cleaned(cell) for cell in row]


def test_a_paper_has_its_title_first_and_a_second_one_stands_behind_a_rule() -> None:
    made = markdown_form([every_block(), every_block("customer")])
    assert made.startswith("# Chlorinator job sheet\n\nNinth Heron Pool Shop · 2026-05-04 · Job job-7\n")
    assert made.count("\n\n---\n\n# Chlorinator job sheet\n") == 1
    assert "> **DANGER**\n>\n> Never let acid meet any chlorine product." in made
    assert "### [ ] 1. Acid clean the cell" in made
