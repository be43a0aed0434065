"""Strict YAML text into plain data with the place of every part; the only reader of YAML."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import yaml

from engine.foundation.hand_slips import slip_near
from engine.foundation.problems import KnowledgeError, Problem
from engine.foundation.texts import told
from engine.foundation.yaml_errors import MOST_LEVELS, explain, tag, too_deep

Path = tuple[str | int, ...]
"""The way to a part of a document: names of fields and numbers of list items, outermost first."""

Place = tuple[int, int]
"""Line and column, both from 1."""

MOST_BYTES = 1_000_000

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,14})")
_FRACTION = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]*)?\.[0-9]+(?:[eE][-+]?[0-9]+)?|(?:0|[1-9][0-9]*)[eE][-+]?[0-9]+)")
_NOT_TEXT = re.compile("[^\t\n\r -~\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_STEERS = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)
"""Control characters and marks of direction (Unicode Standard Annex 9); half a surrogate pair is no text at all."""
_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


@dataclass(frozen=True)
class YamlDocument:
    """One YAML document: its data (mappings, lists, text, numbers, None for nothing) and where each part stands.

    `values` and `keys` give the place of a value, and of the name before its colon, by the way to it. `problems` is
    what was wrong in the text although it could be read to its end.
    """

    file: str
    data: object
    values: Mapping[Path, Place]
    keys: Mapping[Path, Place]
    problems: tuple[Problem, ...] = ()

    def holder(self, path: Path) -> tuple[YamlDocument, Path]:
        """The document that holds the part at this path, and the way to it there: this one, unless laid over others."""
        return self, path

    def place(self, path: Path, at_key: bool = False) -> Place:
        """Where the part at this path stands, or its name if `at_key`; the part around it where it is absent."""
        if at_key and path in self.keys:
            return self.keys[path]
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, (1, 1))

    def problem(self, path: Path, what: str, advice: str, at_key: bool = False) -> Problem:
        """A problem with the part at this path."""
        document, _ = self.holder(path)
        line, column = self.place(path, at_key)
        return Problem(document.file, line, column, what, advice)


class Composed(bytes):
    """The bytes of files with the document that was made of them already: it is read in their place."""

    document: YamlDocument

    @classmethod
    def of(cls, content: bytes, document: YamlDocument) -> Composed:
        """These bytes, by which the document is known from others, and the document."""
        composed = cls(content)
        composed.document = document
        return composed


@dataclass
class _Builder:
    """Builds the data of one document from the parser's events, going on after a mistake wherever that makes sense."""

    file: str
    events: Iterator[Any]
    values: dict[Path, Place] = field(default_factory=dict)
    keys: dict[Path, Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    begun: dict[Path, list[object]] = field(default_factory=dict)
    """By the way to a list, the entries that begin in it without their dash."""

    def value(self, event: Any, path: Path) -> object:
        place = _mark_place(event.start_mark)
        self.values[path] = place
        if len(path) > MOST_LEVELS:
            raise KnowledgeError([Problem(self.file, *place, *too_deep())])
        if isinstance(event, yaml.AliasEvent):
            self._report(place, *told("mistakes_text.alias", name=event.anchor))
            return None
        self._check_plain(event, place)
        if isinstance(event, yaml.ScalarEvent):
            self._check_signs(event, place)
            return _scalar(event)
        return self._sequence(path) if isinstance(event, yaml.SequenceStartEvent) else self._mapping(path)

    def _check_plain(self, event: Any, place: Place) -> None:
        if event.anchor is not None:
            self._report(place, *told("mistakes_text.anchor", name=event.anchor))
        if event.tag is not None:
            self._report(place, *tag())

    def _check_signs(self, event: Any, place: Place) -> None:
        """What is written as an escape in quotes must not steer a terminal or a page either."""
        if (bad := _STEERS.search(str(event.value))) is not None:
            self._report(place, *told("mistakes_text.control", code=f"U+{ord(bad[0]):04X}"))

    def _sequence(self, path: Path) -> list[object]:
        items: list[object] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            items.append(self.value(event, (*path, len(items))))
            items += self.begun.pop(path, [])
        return items

    def _mapping(self, path: Path) -> dict[str, object]:
        items: dict[str, object] = {}
        whole = items
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            if self._begins_anew(event, items, path):
                path, items = self._without_dash(event, path), {}
                self.begun.setdefault(path[:-1], []).append(items)
            key = self._key(event, path)
            if key is None:
                self._pass_over(next(self.events))
            else:
                items[key] = self.value(next(self.events), (*path, key))
        return whole

    def _begins_anew(self, event: Any, items: dict[str, object], path: Path) -> bool:
        """Whether the first name of an entry of a list stands there once more, below it: the next one's dash lacks."""
        first = next(iter(items), None)
        in_a_list = bool(path) and isinstance(path[-1], int)
        if len(items) < 2 or not in_a_list or not isinstance(event, yaml.ScalarEvent):
            return False
        line, column = self.keys.get((*path, first or ""), (0, 0))
        place = _mark_place(event.start_mark)
        return event.value == first and place[1] == column and place[0] > line

    def _without_dash(self, event: Any, path: Path) -> Path:
        """Report that an entry begins without its dash. Gives the way to it: the place behind the entry above."""
        place = _mark_place(event.start_mark)
        self._report(place, *told("mistakes_text.no_dash", name=event.value))
        behind = (*path[:-1], int(path[-1]) + 1)
        self.values[behind] = place
        return behind

    def _key(self, event: Any, path: Path) -> str | None:
        """The name before a colon, its place noted; None after reporting one that cannot be used."""
        place = _mark_place(event.start_mark)
        if isinstance(event, yaml.ScalarEvent):
            self._check_plain(event, place)
            self._check_signs(event, place)
        else:
            self._pass_over(event)
        refusal = self._why_no_key(event, path)
        if refusal is not None:
            self._report(place, *refusal)
            return None
        self.keys[(*path, str(event.value))] = place
        return str(event.value)

    def _why_no_key(self, event: Any, path: Path) -> tuple[str, str] | None:
        if not isinstance(event, yaml.ScalarEvent):
            return told("mistakes_text.no_name")
        if event.value == "<<" and event.implicit[0]:
            return told("mistakes_text.merge")
        if not event.value.strip():
            return told("mistakes_text.name_missing")
        first = self.keys.get((*path, event.value))
        if first is not None:
            return told("mistakes_text.twice", name=event.value, line=first[0])
        return None

    def _pass_over(self, event: Any) -> None:
        """Read to the end of a value that belongs to no usable name."""
        depth = 0
        while True:
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            if depth == 0:
                return
            event = next(self.events)

    def _report(self, place: Place, what: str, advice: str) -> None:
        """Note a problem; what has it goes on as if nothing stood there."""
        self.problems.append(Problem(self.file, *place, what, advice))


def _mark_place(mark: Any) -> Place:
    return mark.line + 1, mark.column + 1


def _scalar(event: Any) -> str | int | float | None:
    """A plain number as a number, nothing as None, all else as the text that stands there.

    `on`, `no`, `none`, `true`, dates, `12:30`, `010` and `1_000` stay text: a field that wants a number then says so,
    and an answer called `none` stays an answer.
    """
    text = str(event.value)
    if not event.implicit[0]:
        return text
    if not text:
        return None
    if _WHOLE.fullmatch(text):
        return int(text)
    if _FRACTION.fullmatch(text) and math.isfinite(float(text)):
        return float(text)
    return text


def read_document(file: str, content: bytes) -> YamlDocument:
    """The one document of a file.

    Args:
        file: the file's name, as messages give it.
        content: its bytes: UTF-8, at most MOST_BYTES.

    Raises:
        KnowledgeError: with all that is wrong in the text, such as a name that stands twice or a second document.
    """
    return _sound(compose(file, content))[0]


def read_documents(file: str, content: bytes) -> tuple[YamlDocument, ...]:
    """The documents of a file that may hold several, `---` between them; at least one. Raises as read_document does."""
    return _sound(compose(file, content, several=True))


def _sound(documents: tuple[YamlDocument, ...]) -> tuple[YamlDocument, ...]:
    problems = [problem for document in documents for problem in document.problems]
    if problems:
        raise KnowledgeError(problems)
    return documents


_KEPT: list[dict[tuple[str, bytes, bool], tuple[YamlDocument, ...]]] = []
"""Documents by their file and content, where they are kept: one process watches one folder."""
_MOST_KEPT = 2000


def keep_what_is_read() -> None:
    """From now on read no content of a file twice: for whoever reads a folder again at each change of a file."""
    if not _KEPT:
        _KEPT.append({})


def compose(file: str, content: bytes, several: bool = False) -> tuple[YamlDocument, ...]:
    """The documents of a file, each with those problems of its text that did not keep it from being read.

    Right: `customer: "Salt: too little"`.
    Wrong: `customer: Salt: too little`.

    Raises:
        KnowledgeError: where the text cannot be read to its end.
    """
    if isinstance(content, Composed):
        return (replace(content.document, file=file),)
    kept = _KEPT[0] if _KEPT else None
    if kept is not None and (file, content, several) in kept:
        return kept[file, content, several]
    documents = _composed(file, content, several)
    # Problems are told in the language of the moment.
    if kept is not None and not any(document.problems for document in documents):
        if len(kept) >= _MOST_KEPT:
            kept.clear()
        kept[file, content, several] = documents
    return documents


def _composed(file: str, content: bytes, several: bool) -> tuple[YamlDocument, ...]:
    text = _text(file, content)
    try:
        documents = tuple(_documents(file, yaml.parse(text, Loader=_LOADER), several))
    except yaml.MarkedYAMLError as error:
        raise KnowledgeError([_syntax_problem(file, text, error)]) from None
    except yaml.reader.ReaderError as error:
        place = _place_at(text, error.position)
        raise KnowledgeError([Problem(file, *place, *told("mistakes_text.character"))]) from None
    except RecursionError:
        raise KnowledgeError([Problem(file, 1, 1, *too_deep())]) from None
    if not documents or all(document.data is None for document in documents):
        raise KnowledgeError([Problem(file, 1, 1, *told("mistakes_text.empty"))])
    return documents


def _documents(file: str, events: Iterator[Any], several: bool) -> Iterator[YamlDocument]:
    count = 0
    for event in events:
        if not isinstance(event, yaml.DocumentStartEvent):
            continue
        count += 1
        builder = _Builder(file, events)
        if count > 1 and not several:
            place = _mark_place(event.start_mark)
            builder.problems.append(Problem(file, *place, *told("mistakes_text.second_document")))
        data = builder.value(next(events), ())
        yield YamlDocument(file, data, builder.values, builder.keys, tuple(builder.problems))


def _text(file: str, content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise KnowledgeError([Problem(file, 1, 1, *told("mistakes_text.too_large", bytes=f"{MOST_BYTES:,}"))])
    try:
        # A byte order mark, which some editors put in front, says nothing and goes.
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        place = _place_at(content[: error.start].decode("utf-8-sig", errors="replace"), error.start)
        problem = Problem(file, *place, *told("mistakes_text.not_utf_8"))
        raise KnowledgeError([problem]) from None
    bad = _NOT_TEXT.search(text)
    if bad is not None:
        saying = told("mistakes_text.control", code=f"U+{ord(bad[0]):04X}")
        raise KnowledgeError([Problem(file, *_place_at(text, bad.start()), *saying)])
    return text


def _place_at(text: str, offset: int) -> Place:
    before = text[:offset]
    ends = list(_LINE_END.finditer(before))
    return len(ends) + 1, len(before) - (ends[-1].end() if ends else 0) + 1


def _syntax_problem(file: str, text: str, error: yaml.MarkedYAMLError) -> Problem:
    """A syntax error in our words, at the place where the person must look."""
    mark, start = error.problem_mark or error.context_mark, error.context_mark
    place = _mark_place(mark) if mark is not None else (1, 1)
    lines = [*_LINE_END.split(text), ""]
    line = lines[place[0] - 1]
    saying = explain(f"{error.problem} {error.context}", line[: place[1]])
    if saying.where_it_began and start is not None:
        place = _mark_place(start)
    if saying.may_be_a_slip and (near := slip_near(lines, place[0], saying.may_be_indent)) is not None:
        number, slip = near
        return Problem(file, number, slip.column, slip.what, slip.advice)
    return Problem(file, *place, saying.what, saying.advice)
