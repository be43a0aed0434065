"""What a YAML parser says about broken text, said again for people who write fault trees and no programs."""

from __future__ import annotations

from dataclasses import dataclass

from engine.foundation.texts import told

MOST_LEVELS = 40


@dataclass(frozen=True)
class Saying:
    """What is wrong and what to write instead; `where_it_began` if the culprit stands where the broken part begins.

    `may_be_a_slip` where the parser only met the consequence, so that the line itself may tell more; `may_be_indent`
    where how it is indented may be that.
    """

    what: str
    advice: str
    where_it_began: bool = False
    may_be_a_slip: bool = False
    may_be_indent: bool = False


_SIGNS: tuple[tuple[str, str], ...] = (
    ("nesting depth", "too_deep"),
    ("',' or ']'", "list"),
    ("',' or '}'", "group"),
    ("mapping values", "colon"),
    ("expected ':'", "no_colon"),
    ("sequence entries", "item"),
    ("mapping keys", "question"),
    ("of stream", "quote"),
    ("document separator", "quote"),
    ("document indicator", "quote"),
    ("escape", "backslash"),
    ("hexdecimal", "backslash"),
    ("tag handle", "tag"),
    ("YAML document", "order"),
    ("directive", "order"),
    ("block scalar", "block"),
    ("an anchor", "anchor"),
    ("an alias", "alias"),
    ("'-' indicator", "stray_line"),
    ("block collection", "stray_line"),
    ("document start", "after_end"),
    ("node content", "no_value"),
)
"""A sign in what the parser says (two are in use, each with its own wording), and the name of our words for it.

The first match counts.
"""
_INDENTS = {"colon", "item", "stray_line", "no_fit"}
_SLIPS = {*_INDENTS, "group", "list", "no_colon"}
_WHERE_IT_BEGAN = {"list", "group", "no_colon", "quote", "anchor", "alias"}


def too_deep() -> tuple[str, str]:
    """What is wrong with a part inside too many others, and what to do."""
    return told("mistakes_syntax.too_deep", levels=MOST_LEVELS)


def tag() -> tuple[str, str]:
    """What is wrong with a tag, and what to do."""
    return told("mistakes_syntax.tag")


def explain(said: str, line_up_to_place: str) -> Saying:
    """Our words for a parser's complaint.

    Args:
        said: the parser's own words.
        line_up_to_place: the line it complains of, up to and including the character it stopped at.
    """
    if "cannot start" in said or "tab character" in said:
        if "\t" in line_up_to_place:
            return Saying(*told("mistakes_syntax.tab"))
        return Saying(*told("mistakes_syntax.beginning", sign=line_up_to_place[-1:]))
    name = next((name for sign, name in _SIGNS if sign in said), "no_fit")
    if name == "too_deep":
        return Saying(*too_deep())
    return Saying(*told(f"mistakes_syntax.{name}"), name in _WHERE_IT_BEGAN, name in _SLIPS, name in _INDENTS)
