"""Slips of the hand in YAML text, found in the line itself: what a parser makes of them does not say what was meant."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from engine.foundation.problems import Problem
from engine.foundation.texts import told

_CURLY = "\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb"
_QUOTED = re.compile(r'"(?:\\.|[^"\\])*"|' + r"(?<![\w])'(?:''|[^'])*'")
_REMARK = re.compile(r"(?:^|\s)#.*$")
_CURLY_FIRST = re.compile(rf"(?:[:,\[{{]\s+|^\s*-\s+|[\[{{])([{_CURLY}])")
_LOOKS_LIKE = re.compile("[\u00a0\u2000-\u200a\u202f\u3000\uff1a\u2236]")
_COMMA_NUMBER = re.compile(r"(?:(?<=: )|(?<=\bto )|(?<=under )|(?<=: -))([0-9]+),([0-9]+)(?!\w|[.,][0-9])")
_NO_SPACE_FLOW = re.compile(r"[{,]\s*([a-z][a-z0-9_]*):(?=[^\s:/])([^,}\]]*)")
_NO_SPACE_LINE = re.compile(r"^\s*(?:-\s+)?([a-z][a-z0-9_]*):(?=[^\s:/])(.*)$")
_NO_SPACE_DASH = re.compile(r"^\s*-(?=[a-z])([a-z][a-z0-9_]*:.*)$")
_EQUALS = re.compile(r"^\s*(?:- )?([a-z][a-z0-9_]*)\s*=\s*\S")
_SEMICOLON = re.compile(r"\{[^{}\"']*;\s*[a-z][a-z0-9_]*:\s[^{}\"']*\}")
_REMARK_FIRST = re.compile(r"^\s*(?:- )?[a-z][a-z0-9_]*:\s+(#\S.*)$")
_TWO_COLONS = re.compile(r"^\s*(?:- )?([a-z][a-z0-9_]*):\s+([^\s\[{|>_][^\[{]*?:\s.*)$")
_NEXT_NAME = re.compile(r",\s*[a-z0-9_]+$")
_GROUP = re.compile(r"\{([^{}\[\]]*)\}")


@dataclass(frozen=True)
class Slip:
    """A slip in a line: its column from 1, what is wrong, what to write instead."""

    column: int
    what: str
    advice: str


def with_slips(problems: Sequence[Problem], text: str) -> list[Problem]:
    """Problems of one file, told as the slip of the hand that brought them, where its line shows one.

    What else was found in the same line follows from it and is left out. Args: the problems, and the file's text.
    """
    lines = text.splitlines()
    slips = {number: slip_in(lines[number - 1]) for number in {each.line for each in problems} if number <= len(lines)}
    kept = [each for each in problems if slips.get(each.line) is None]
    for number, slip in slips.items():
        if slip is not None:
            first = next(each for each in problems if each.line == number)
            kept.append(replace(first, column=slip.column, what=slip.what, advice=slip.advice))
    return kept


def slip_near(lines: Sequence[str], number: int, by_indent: bool) -> tuple[int, Slip] | None:
    """The slip for which a parser stopped in a line: one in it, in the line above, or in how the two are indented.

    Args: the lines; the number of the line, from 1; whether the indent may be it. Returns its line, and the slip.
    """
    for near in (number, _above(lines, number)):
        if 1 <= near <= len(lines) and (slip := slip_in(lines[near - 1])) is not None:
            return near, slip
    return _indent(lines, number) if by_indent else None


def slip_in(line: str) -> Slip | None:
    """The slip of the hand that a line shows, or None."""
    bare = _REMARK.sub("", _QUOTED.sub(lambda found: "_" * len(found[0]), line))
    return next((slip for look in _LOOKS for slip in look(line, bare)), None)


def _curly(_: str, bare: str) -> Iterator[Slip]:
    if (found := _CURLY_FIRST.search(bare)) is not None:
        yield Slip(found.start(1) + 1, *told("mistakes_slips.curly", sign=found[1]))


def _look_alike(_: str, bare: str) -> Iterator[Slip]:
    if (found := _LOOKS_LIKE.search(bare)) is not None:
        key = "colon" if found[0] in "\uff1a\u2236" else "space"
        saying = told(f"mistakes_slips.look_alike.{key}", code=f"U+{ord(found[0]):04X}")
        yield Slip(found.start() + 1, *saying)


def _comma_number(_: str, bare: str) -> Iterator[Slip]:
    if (found := _COMMA_NUMBER.search(bare)) is not None:
        whole, rest = found[1], found[2]
        thousands = len(rest) == 3 and whole != "0"
        meant = f"{whole}{rest}" if thousands else f"{whole}.{rest}"
        yield Slip(found.start() + 1, *told("mistakes_slips.comma_number", written=found[0], meant=meant))


def _no_space(_: str, bare: str) -> Iterator[Slip]:
    found = _NO_SPACE_FLOW.search(bare) or _NO_SPACE_LINE.search(bare)
    if found is not None:
        name, rest = found[1], found[2].strip()
        yield Slip(found.start(1) + 1, *told("mistakes_slips.no_space", name=name, rest=rest[:40]))
    elif (dash := _NO_SPACE_DASH.search(bare)) is not None:
        yield Slip(bare.index("-") + 1, *told("mistakes_slips.no_space_dash", rest=dash[1][:40]))


def _equals(_: str, bare: str) -> Iterator[Slip]:
    if (found := _EQUALS.search(bare)) is not None:
        yield Slip(bare.index("=") + 1, *told("mistakes_slips.equals", name=found[1]))


def _semicolon(_: str, bare: str) -> Iterator[Slip]:
    if (found := _SEMICOLON.search(bare)) is not None:
        yield Slip(bare.index(";", found.start()) + 1, *told("mistakes_slips.semicolon"))


def _remark_first(line: str, _: str) -> Iterator[Slip]:
    if (found := _REMARK_FIRST.search(line)) is not None:
        yield Slip(found.start(1) + 1, *told("mistakes_slips.remark"))


def _comma_in_text(line: str, bare: str) -> Iterator[Slip]:
    """A part of a group in braces that has no colon: what stands before its comma was meant to go on."""
    for group in _GROUP.finditer(bare):
        start = group.start(1)
        before = ""
        for part in group[1].split(","):
            name, colon, _ = part.partition(":")
            goes_on = not colon or (" " in name.strip() and " + " not in name)
            if part.strip() and goes_on and ":" in before:
                name, _, text = before.partition(":")
                whole = line[start - len(before) - 1 : start + len(part)].partition(":")[2].strip()
                column = start - len(before) - 1 + before.index(":") + 1
                column += len(text) - len(text.lstrip()) + 1
                yield Slip(column, *told("mistakes_slips.comma_in_text", name=name.strip(), text=whole[:60]))
                return
            before = part
            start += len(part) + 1


def _colon_in_text(_: str, bare: str) -> Iterator[Slip]:
    found = _TWO_COLONS.search(bare)
    # A line inside a group in braces has several names, each behind a comma.
    if found is not None and not _NEXT_NAME.search(found[2].partition(": ")[0]):
        yield Slip(found.start(2) + 1, *told("mistakes_slips.colon_in_text", name=found[1], text=found[2].strip()[:60]))


_LOOKS: tuple[Callable[[str, str], Iterator[Slip]], ...] = (
    _look_alike,
    _curly,
    _comma_number,
    _no_space,
    _equals,
    _semicolon,
    _remark_first,
    _comma_in_text,
    _colon_in_text,
)
"""Each looks for one kind of slip: in the line as it is, and with what is quoted or remarked left out."""


def _indent(lines: Sequence[str], number: int) -> tuple[int, Slip] | None:
    """The line that is indented unlike its neighbours: the one at which the parser stopped, or the one above it."""
    if not 1 <= number <= len(lines):
        return None
    above, over = _above(lines, number), _above(lines, _above(lines, number))
    if above < 1:
        return None
    here, there = _spaces(lines[number - 1]), _spaces(lines[above - 1])
    if over >= 1 and there < here and _spaces(lines[over - 1]) == here and not _opens(lines[above - 1]):
        return above, _unlike("less", there, here)
    if here > there and not _opens(lines[above - 1]) and not lines[number - 1].lstrip().startswith("- "):
        return number, _unlike("more", here, there)
    if here < there and ":" in lines[above - 1] and not lines[number - 1].lstrip().startswith("-"):
        outer = [_spaces(line) for line in lines[:above] if line.strip() and _spaces(line) > here]
        return number, _unlike("less", here, min(outer)) if outer else _unlike("less", here, there)
    return None


def _unlike(key: str, spaces: int, wanted: int) -> Slip:
    return Slip(spaces + 1, *told(f"mistakes_slips.indent.{key}", spaces=spaces, wanted=wanted))


def _above(lines: Sequence[str], number: int) -> int:
    """The number of the next line above that says anything; 0 where there is none."""
    number -= 1
    while number >= 1 and (not lines[number - 1].strip() or lines[number - 1].lstrip().startswith("#")):
        number -= 1
    return max(number, 0)


def _spaces(line: str) -> int:
    """How far the names of a line are indented; those of a list's first field behind its dash."""
    bare = re.sub(r"^(\s*)- (?=\S)", lambda dash: f"{dash[1]}  ", line)
    return len(bare) - len(bare.lstrip(" "))


def _opens(line: str) -> bool:
    """Whether what follows a line may be indented deeper."""
    bare = _REMARK.sub("", line).rstrip()
    return bare.endswith((":", "|", ">", "-", ",", "{", "["))
