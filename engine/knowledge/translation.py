"""A language laid over the knowledge: its texts in the place of the English ones, and nothing but texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from pydantic import ValidationError

from engine.foundation.problems import KnowledgeError, Problem, advice_for
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import Path, YamlDocument, compose
from engine.knowledge.catalogue import Folder, Placed
from engine.knowledge.files import FILES, FileKind
from engine.knowledge.schema import ChoiceCheckForm, FindingForm, Form, NumberCheckForm, TreeForm
from engine.knowledge.schema_errors import form_problems
from engine.knowledge.stamps import SAFETY, STAMP, STAMPED, stamp_of

_NO_TEXT = ("means", "reports", "keeps_off")
"""The fields of an answer that are no texts."""
_TEXT_FIELDS = (
    "customer",
    "technician",
    "in_short",
    "names",
    "how",
    "answers",
    "band_words",
    "never",
    "opens_with",
    "before_steps",
    "steps",
    "done_when",
    "before_ordering",
    "reports",
    "opens",
    "words",
    "perhaps",
    "not_words",
    "steps_say",
    "spoken_of",
)
"""The fields of an entry that hold texts for people; sources and amounts of parts are the same in every language."""

Texts = dict[str, Any]
"""Texts by field, groups of texts nested as they are in the entry; `names` are lists."""


@dataclass
class Overlay:
    """What one language says: the folder with its texts, what is wrong in its files, and what they leave unsaid.

    `stale` are translations of an English that has changed, or that do not say of which one they are. They are used
    all the same: who reads this language understands a former warning better than an English one. `places` are where
    it says an entry, by kind and id.
    """

    folder: Folder
    problems: list[Problem] = field(default_factory=list)
    missing: list[Problem] = field(default_factory=list)
    stale: list[Problem] = field(default_factory=list)
    places: dict[tuple[str, str], tuple[YamlDocument, Path]] = field(default_factory=dict)


def overlay_of(folder: Folder, name: str, contents: Mapping[str, bytes]) -> Overlay:
    """A language says texts of entries that there are, each the translation of the English that stands there now.

    Right: `check: pump_running` with `answers: {running: Sí, stopped: No}`.
    Wrong: `check: pump_runing`, or a text whose English has changed since.

    Args:
        folder: the entries, in English.
        name: the language's folder, as messages give it.
        contents: its files by their names inside that folder, such as `causes/cell.yaml`.

    Returns:
        The same entries with all texts that the language has; English ones where it has none or wrong ones.
    """
    overlay = Overlay(folder)
    changed: dict[str, Any] = {}
    for where, kind in FILES.items():
        files = [file for file in contents if file == where or (where.endswith("/") and file.startswith(where))]
        laid: dict[str, Placed[Any]] = dict(folder.of_kind(kind.name))
        seen: dict[str, tuple[str, int]] = {}
        for file in files:
            for document, base in _entries(overlay, kind, f"{name}/{file}", contents[file]):
                _lay(overlay, kind, document, base, laid, seen)
        for entry_id in laid.keys() - seen.keys():
            if not any(True for _ in flat(texts_of(laid[entry_id].form))):
                continue
            overlay.missing.append(_unsaid(folder, name, kind, laid[entry_id], entry_id))
        changed[f"{kind.name}s"] = laid
    overlay.folder = replace(folder, **changed)
    return overlay


def texts_of(form: Form) -> Texts:
    """The texts of an entry, with every group written out and every band worded."""
    # A tree's steps are no steps of work, and hold no words.
    fields = ("names", "opens") if isinstance(form, TreeForm) else _TEXT_FIELDS
    texts: Texts = {name: _plain(getattr(form, name)) for name in fields if name in type(form).model_fields}
    if isinstance(form, (NumberCheckForm, FindingForm)):
        worded = texts["band_words"]
        bare = {band: dict.fromkeys(("customer", "technician"), band.replace("_", " ")) for band in form.usual}
        texts["band_words"] = {band: worded.get(band, bare[band]) for band in form.usual}
    return texts


def stamps_of(folder: Folder) -> dict[tuple[str, str], str]:
    """The stamps of all English texts that need one, by the kind and id of their entry."""
    return {
        (kind, entry_id): _stamp(kind, texts_of(placed.form))
        for kind in STAMPED
        for entry_id, placed in folder.of_kind(kind).items()
    }


def flat(texts: object, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """The single texts of a group that are not empty, each with the way to it."""
    if isinstance(texts, str):
        if texts.strip():
            yield path, texts
        return
    inner = texts.items() if isinstance(texts, Mapping) else enumerate(texts) if isinstance(texts, list) else ()
    for name, part in inner:
        yield from flat(part, (*path, name))


def _stamp(kind: str, english: Texts) -> str:
    return stamp_of(flat({name: english[name] for name in STAMPED[kind] if name in english}))


def _plain(value: object) -> object:
    if isinstance(value, Form):
        # A reader whom English tells nothing is told nothing in another language either.
        return {name: _plain(part) for name, part in value if name not in _NO_TEXT and part != ""}
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    return value


def _entries(overlay: Overlay, kind: FileKind, file: str, content: bytes) -> Iterator[tuple[YamlDocument, Path]]:
    """The entries of one file of a language, and the way to each."""
    try:
        document = compose(file, content)[0]
    except KnowledgeError as error:
        overlay.problems += error.problems
        return
    overlay.problems += document.problems
    if kind.listed and not isinstance(document.data, list):
        overlay.problems.append(document.problem((), *told("mistakes_form.not_list", kind=kind.name)))
        return
    bases: Sequence[Path] = [()]
    if isinstance(document.data, list) and kind.listed:
        bases = [(index,) for index in range(len(document.data))]
    for base in bases:
        entry = _part(document.data, base)
        if isinstance(entry, dict) and isinstance(entry.get(kind.name), str):
            yield document, base
        else:
            overlay.problems.append(document.problem(base, *told("mistakes_form.no_entry", kind=kind.name)))


def _part(data: Any, path: Path) -> Any:
    for part in path:
        data = data[part]
    return data


def _lay(
    overlay: Overlay,
    kind: FileKind,
    document: YamlDocument,
    base: Path,
    laid: dict[str, Placed[Any]],
    seen: dict[str, tuple[str, int]],
) -> None:
    """Put one entry's texts in the place of the English ones."""
    said = _part(document.data, base)
    entry_id = said[kind.name]
    at = (*base, kind.name)
    if entry_id in seen:
        file, line = seen[entry_id]
        what = say("overlay.twice", kind=kind.name, id=entry_id, file=file, line=line)
        overlay.problems.append(document.problem(at, what, say("overlay.keep_one")))
        return
    seen[entry_id] = (document.file, document.place(at)[0])
    if entry_id not in laid:
        if overlay.folder.lacks(kind.name, entry_id):
            what = say("overlay.unknown_id", kind=kind.name, id=entry_id)
            overlay.problems.append(document.problem(at, what, overlay.folder.advice(entry_id, kind.name)))
        return
    placed = laid[entry_id]
    overlay.places[(kind.name, entry_id)] = (document, base)
    english = texts_of(placed.form)
    words = {name: part for name, part in said.items() if name != kind.name}
    if kind.name in STAMPED:
        stamped_as = words.pop(STAMP, None)
        if words.keys() & set(STAMPED[kind.name]):
            _compare_stamps(overlay, document, base, placed, stamped_as, _stamp(kind.name, english))
    texts = _Reader(overlay, document, base, _field_names(placed.form)).over(english, words, ())
    if isinstance(placed.form, ChoiceCheckForm):
        texts["answers"] = _meaning_as_before(placed.form, texts["answers"])
    raw = _part(placed.document.data, placed.base)
    laid_over = {field: part for field, part in texts.items() if part != {}}
    form = type(placed.form)
    try:
        laid[entry_id] = replace(placed, form=form.model_validate({**raw, **laid_over}))
    except ValidationError as error:
        # A figure in brackets that is no quantity: the English text stays in its place.
        overlay.problems += form_problems(form, error.errors(include_url=False), document, base)


def _compare_stamps(
    overlay: Overlay, document: YamlDocument, base: Path, placed: Placed[Any], stamped_as: object, stamp: str
) -> None:
    """Tell where a translated text carries no stamp, or that of another English than there is.

    Where a folder changed the English of one below it, that is told in its own file, with where its translation goes:
    nobody writes into the folder below.
    """
    if stamped_as == stamp:
        return
    key = "unstamped" if stamped_as is None else "stale"
    kind = next(name for name in STAMPED if name in _part(document.data, base))
    what = say(f"overlay.{key}", kind=kind, id=_part(document.data, (*base, kind)))
    at = (*base, kind if stamped_as is None else STAMP)
    problem = document.problem(at, what, say("overlay.read_again", stamp=stamp))
    root, _, inside = document.holder(at)[0].file.rpartition("/languages/")
    for field_name in STAMPED[kind]:
        english, way = placed.document.holder((*placed.base, field_name))
        own = english.file.removesuffix(inside.partition("/")[2])
        if not english.file.startswith(f"{root}/") and own != english.file:
            file = f"{own}languages/{inside}"
            problem = english.problem(way, what, say("overlay.translate_here", file=file, stamp=stamp))
            break
    overlay.stale.append(problem if kind in SAFETY else replace(problem, grade="look again"))


def _meaning_as_before(form: ChoiceCheckForm, answers: Mapping[str, Mapping[str, object]]) -> dict[str, object]:
    """The answers in another language, each with what it means: that is no text."""
    return {
        answer: {**words, **{name: getattr(form.answers[answer], name) for name in _NO_TEXT}}
        for answer, words in answers.items()
    }


def _field_names(form: Form) -> frozenset[str]:
    return frozenset(field.alias or name for name, field in type(form).model_fields.items())


def _unsaid(folder: Folder, name: str, kind: FileKind, placed: Placed[Any], entry_id: str) -> Problem:
    """That a language says nothing of an entry, told where its texts would stand."""
    file = placed.document.file.removeprefix(f"{folder.name}/")
    what = say("overlay.entry_missing", kind=kind.name, id=entry_id)
    return Problem(f"{name}/{file}", 1, 1, what, say("overlay.write_texts", kind=kind.name, id=entry_id))


def _is_text(said: object) -> bool:
    return isinstance(said, str) and bool(said.strip())


@dataclass(frozen=True)
class _Reader:
    """Reads one entry of a language against the texts of the English entry."""

    overlay: Overlay
    document: YamlDocument
    base: Path
    fields: frozenset[str]

    def over(self, english: Any, said: object, path: Path) -> Any:
        """What is said in the place of a group of texts, a list of names or a text; the English where that is wrong."""
        is_steps = path[:1] == ("steps",)
        if isinstance(english, str):
            return said if _is_text(said) else self._wrong(english, path, "text")
        if isinstance(english, list):
            whole = isinstance(said, list) and all(map(_is_text, said)) and (said or not is_steps)
            return said if whole else self._wrong(english, path, "steps" if is_steps else "names")
        return self._group(english, said, path)

    def _group(self, english: Mapping[str, Any], said: object, path: Path) -> Any:
        if _is_text(said) or (isinstance(said, list) and path == ("steps",)):
            # One text or list for all whom English tells it; words of people beside it are still to be said.
            said = {reader: said for reader in ("customer", "technician") if reader in english} or said
        if not isinstance(said, dict):
            return self._wrong(english, path, "group")
        for name in (name for name in said if name not in english):
            self._unknown(english, name, path)
        return {name: self._one(part, said, name, path) for name, part in english.items()}

    def _one(self, english: Any, said: Mapping[str, object], name: str, path: Path) -> Any:
        if name in said:
            return self.over(english, said[name], (*path, name))
        if any(True for _ in flat(english)):
            what = say("overlay.text_missing", text=".".join(str(part) for part in (*path, name)))
            problem = self.document.problem((*self.base, *path), what, say("overlay.write_it"))
            self.overlay.missing.append(problem)
        return english

    def _unknown(self, english: Mapping[str, object], name: str, path: Path) -> None:
        if not path and name in self.fields:
            what, advice = say("overlay.no_text", name=name), say("overlay.leave_out")
        else:
            what, advice = say("overlay.unknown_field", name=name), advice_for(name, english)
        self.overlay.problems.append(self.document.problem((*self.base, *path, name), what, advice, at_key=True))

    def _wrong(self, english: Any, path: Path, wanted: str) -> Any:
        what = say("overlay.wrong_kind", name=str(path[-1]) if path else "")
        self.overlay.problems.append(self.document.problem((*self.base, *path), what, say(f"overlay.want.{wanted}")))
        return english
