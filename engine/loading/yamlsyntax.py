"""What a YAML parser says about broken text, said again for people who write fault trees and no programs."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MOST_LEVELS", "TAG", "TOO_DEEP", "Saying", "explain"]

MOST_LEVELS = 40
TOO_DEEP = (f"this is nested more than {MOST_LEVELS} levels deep", "write it flat")
TAG = ("a tag (`!...`) stands before this value", "leave it out, and quote a text that begins with `!`")


@dataclass(frozen=True)
class Saying:
    """What is wrong and what to write instead; `where_it_began` if the culprit stands where the broken part begins."""

    what: str
    advice: str
    where_it_began: bool = False


_QUOTE = Saying("the quote that opens here is not closed", "put the same quote mark at the end of the text", True)
_BACKSLASH = Saying(
    "a backslash in a text in double quotes has a meaning of its own",
    "write the text in single quotes, or leave the backslash out",
)
_STRAY_LINE = Saying(
    "this line does not belong to the list above it",
    "begin it with `- ` in the column of the other items, or indent it further",
)
_ORDER = Saying("this line is an order to the reader of the file", "delete the line that begins with `%`")

_SAYINGS: tuple[tuple[str, Saying], ...] = (
    ("nesting depth", Saying(*TOO_DEEP)),
    (
        "',' or ']'",
        Saying(
            "the list that `[` opens here is not closed, or a comma is missing in it",
            "close it with `]`, and put commas between its items",
            True,
        ),
    ),
    (
        "',' or '}'",
        Saying(
            "the group that `{` opens here is not closed, or a comma is missing in it",
            "close it with `}`, and put commas between its parts",
            True,
        ),
    ),
    (
        "mapping values are not allowed",
        Saying(
            "a colon stands where none can",
            "quote a text that holds a colon, indent all fields alike, and see that the line above has its colon",
        ),
    ),
    ("expected ':'", Saying("the colon after this name is missing", "write `name: value`", True)),
    (
        "sequence entries are not allowed",
        Saying(
            "a list item (`- `) stands where none can",
            "begin the list on a line of its own, below the name it belongs to",
        ),
    ),
    ("mapping keys are not allowed", Saying("a `?` stands where a value belongs", "quote a text that begins with `?`")),
    ("unexpected end of stream", _QUOTE),
    ("document separator", _QUOTE),
    ("document indicator", _QUOTE),
    ("escape", _BACKSLASH),
    ("hexdecimal", _BACKSLASH),
    ("tag handle", Saying(*TAG)),
    ("YAML document", _ORDER),
    ("directive", _ORDER),
    (
        "block scalar",
        Saying(
            "something other than a line end follows the `|` or `>`",
            "begin the text on the next line, indented, and quote a text that begins with `|` or `>`",
        ),
    ),
    ("scanning an anchor", Saying("a text cannot begin with `&`", "quote it", True)),
    ("scanning an alias", Saying("a text cannot begin with `*`", "quote it", True)),
    ("'-' indicator", _STRAY_LINE),
    ("block collection", _STRAY_LINE),
    (
        "document start",
        Saying("text follows the end of the document", "take out the line `...`, or mend the indent of this line"),
    ),
    ("node content", Saying("a value is missing here", "write it, or take out the name before it")),
)
"""A sign in what the parser says (two are in use, each with its own wording), and our words. First match counts."""

_NO_FIT = Saying(
    "this does not fit what stands before it",
    "indent it like its neighbours, and put a text in quotes as a whole or not at all",
)


def explain(said: str, line_up_to_place: str) -> Saying:
    """Our words for a parser's complaint.

    Args:
        said: the parser's own words.
        line_up_to_place: the line it complains of, up to and including the character it stopped at.
    """
    if "cannot start any token" in said or "tab character" in said:
        if "\t" in line_up_to_place:
            return Saying("a tab stands where spaces belong", "indent with spaces")
        return Saying(f"a text cannot begin with `{line_up_to_place[-1:]}`", "quote it")
    return next((saying for sign, saying in _SAYINGS if sign in said), _NO_FIT)
