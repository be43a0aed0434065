"""The schemas for editors, held beside the loader by another library: they agree wherever a schema can say it.

JSON Schema draft 2020-12 by the library `jsonschema`.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import compose
from engine.knowledge.editor_schema import schema_line, schemas, text_of
from engine.knowledge.format_version import FORMAT_FILE, refuse_other_versions
from engine.knowledge.loader import read_folder
from engine.knowledge.mentions import USES, read_written
from interview.commands.app import command_line
from tests.engine.foundation.test_hand_slips import slips
from tests.overlay import BAD, GOOD, NAME, contents_of, mistakes

SHIPPED = Path(str(files("faults")))
FILES = contents_of(GOOD)
UNSAYABLE = {
    "figure_without_unit": "whether a unit is known hangs on the program's table of units",
    "range_backwards": "one part of a text is greater than another",
    "here_shown_twice": "two names of a group are compared part by part",
    "same_id_twice": "the other one stands in another file",
    "second_document": "a schema holds each document of a file alone",
    "wrong_ending": "the name of the file is no part of it",
    "double id in another file": "the other one stands in another file",
    "swapped salt limits": "one number is greater than another",
    "swapped bands": "one number is greater than another",
}
"""What a schema cannot say, and why."""


@cache
def validators() -> dict[str, Any]:
    return {name: jsonschema.Draft202012Validator(schema) for name, schema in schemas().items()}


def schema_of(file: str) -> str:
    return f"{file.split('/')[0] if '/' in file else file.removesuffix('.yaml')}.json"


def fits(file: str, content: bytes) -> bool | None:
    """Whether the schema takes a file; None where it is no YAML, or not ours."""
    if schema_of(file) not in validators():
        return None
    try:
        documents = compose(file, content, several=True)
    except KnowledgeError:
        return None
    if any(document.problems for document in documents):
        return None
    return all(validators()[schema_of(file)].is_valid(each.data) for each in documents if each.data is not None)


def has_form(file: str, content: bytes) -> bool:
    """Whether the loader finds the right form in a file of the good folder."""
    if file == FORMAT_FILE:
        try:
            refuse_other_versions(NAME, {file: content})
        except KnowledgeError:
            return False
        return True
    problems = read_folder(NAME, {**FILES, file: content})[1]
    return not [each for each in problems if each.file == f"{NAME}/{file}" and each.rule == "form"]


def test_each_schema_is_one() -> None:
    for schema in schemas().values():
        jsonschema.Draft202012Validator.check_schema(schema)


def test_the_published_schemas_are_those_of_the_forms() -> None:
    published = {path.name: path.read_text(encoding="utf-8") for path in (SHIPPED / "schema").iterdir()}
    assert published == {name: text_of(schema) for name, schema in schemas().items()}


@pytest.mark.parametrize("folder", [GOOD, SHIPPED])
def test_every_good_file_is_taken(folder: Path) -> None:
    kinds = {name.removesuffix(".json") for name in schemas()}
    ours = [path for path in folder.rglob("*.yaml") if path.relative_to(folder).parts[0].removesuffix(".yaml") in kinds]
    assert len(ours) > 10
    names = {path.relative_to(folder).as_posix(): path.read_bytes() for path in ours}
    assert [name for name, content in names.items() if fits(name, content) is not True] == []


def test_schema_and_loader_agree_on_every_mistake_but_those_that_no_schema_can_say() -> None:
    tried = [(name, file, content) for name in mistakes() for file, content in contents_of(BAD / name).items()]
    for slip in slips():
        text = FILES[slip.file].decode().replace(slip.old, slip.new, 1)
        tried.append((slip.slip, slip.file, text.encode()))
    differing = {
        name
        for name, file, content in tried
        if (fit := fits(file, content)) is not None and fit != has_form(file, content)
    }
    assert differing <= UNSAYABLE.keys()


def test_a_schema_of_a_folder_completes_its_ids_and_takes_new_ones(tmp_path: Path) -> None:
    written = read_written(GOOD)
    made = schemas({kind: tuple(written.ids(kind)) for kind in USES})
    repairs = made["causes.json"]["items"]["properties"]["repairs"]["items"]
    assert "acid_clean" in str(repairs)
    cause = FILES["causes/cell.yaml"].replace(b"[acid_clean]", b"[quite_new]")
    assert jsonschema.Draft202012Validator(made["causes.json"]).is_valid(compose("", cause)[0].data)
    assert command_line(["--jobs", str(tmp_path), "schema", "causes"]) == 0
    assert command_line(["--jobs", str(tmp_path), "schema", "cause"]) == 2


def test_the_first_line_of_a_file_leads_to_its_schema() -> None:
    for file in FILES:
        way = schema_line(file).strip().partition("$schema=")[2]
        assert (SHIPPED / Path(file).parent / way).resolve().is_file()
