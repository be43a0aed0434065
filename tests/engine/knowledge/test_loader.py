"""From a folder of files to the checked model: what arrives, and what is said when it cannot."""

from __future__ import annotations

import re
import shutil
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.foundation import yaml_errors
from engine.foundation.problems import KnowledgeError
from engine.foundation.text_catalog import flat_texts
from engine.foundation.yaml_reader import read_document
from engine.knowledge import schema
from engine.knowledge.files import FILES as TREE_FILES
from engine.knowledge.format_version import FORMAT_FILE
from engine.knowledge.loader import knowledge_from, load_knowledge
from engine.knowledge.model import NEEDS, ROLES, Knowledge, Wording
from engine.knowledge.rules.steps import RESERVED
from engine.knowledge.schema import Form, RepairForm, RoleForm
from engine.session import machine
from tests.example_counts import up_to
from tests.overlay import BAD, GOOD, NAME, contents_of, damaged, expected_of, mistakes, overlaid

FILES = contents_of(GOOD)


def problems_of(contents: dict[str, bytes]) -> list[str]:
    with pytest.raises(KnowledgeError) as error:
        knowledge_from(NAME, contents)
    return [str(problem).replace(f"{NAME}/", "") for problem in error.value.problems]


def changed(file: str, old: str, new: str) -> dict[str, bytes]:
    text = FILES[file].decode()
    assert old in text
    return {**FILES, file: text.replace(old, new, 1).encode()}


@pytest.fixture(scope="module")
def good() -> Knowledge:
    return load_knowledge(GOOD)


def test_shares_of_100_become_shares_of_1(good: Knowledge) -> None:
    tree = good.trees["low-salt"]
    assert tree.singles == {"salt_low": 0.6, "cell_scaled": 0.3, "salt_undissolved": 0.06, "something_else": 0.04}
    assert tree.pairs == {("salt_low", "cell_scaled"): 0.03}
    assert tree.any_pair == 0.01
    assert good.checks["cell_plates"].usual == {"clean": 0.88, "white_scale": 0.12}


def test_words_become_numbers(good: Knowledge) -> None:
    cause = good.causes["cell_scaled"]
    assert cause.shows["cell_plates"] == {"white_scale": 0.95}
    assert cause.shows["salt_gap"] == {"reads_low": 0.8}
    assert cause.likelier == {"months_since_clean": {"overdue": 3, "recent": 0.5}}
    assert good.checks["cell_plates"].known == {"counter": 0.1, "phone": 0.02, "field": 0.95}


def test_a_bare_text_serves_both_wordings(good: Knowledge) -> None:
    answers = {answer.id: answer.wording for answer in good.checks["cell_plates"].answers}
    assert answers["white_scale"] == Wording("White crust on the plates", "White crust on the plates")
    assert answers["clean"] == Wording("Clean and dark", "clean")


def test_a_number_check_keeps_rising_bands_and_answers_in_the_order_of_usual(good: Knowledge) -> None:
    check = good.checks["tested_salt"]
    assert [band.id for band in check.bands] == ["low", "right", "high"]
    assert [answer.id for answer in check.answers] == ["right", "low", "high"]
    ends = [band.under.value(good.units["default"]) for band in check.bands if band.under is not None]
    assert ends == [2800, 4500]
    assert check.is_number
    assert not good.checks["cell_plates"].is_number


def test_a_band_without_wording_goes_by_its_id(good: Knowledge) -> None:
    wordings = {answer.id: answer.wording for answer in good.findings["current_gap"].answers}
    assert wordings == {"agrees": Wording("agrees", "agrees"), "low": Wording("low", "low")}


def test_a_profile_gives_its_values_by_dotted_names(good: Knowledge) -> None:
    values = good.units["default"].values
    assert values["salt.low"] == 2800
    assert values["rated.current"] == 19
    assert values["lockout"] == 11


def test_steps_keep_what_they_ask_and_where_they_lead(good: Knowledge) -> None:
    tree = good.trees["low-salt"]
    assert next(iter(tree.steps)) == "first"
    assert tree.steps["first"].ask == "salt_added"
    assert tree.steps["first"].then == {"within_a_day": "mix"}
    assert tree.steps["first"].otherwise == "test"
    assert tree.steps["mix"].propose == "mix_salt"
    assert (tree.steps["free"].ask, tree.steps["free"].propose) == (None, None)


def test_the_model_cannot_be_changed(good: Knowledge) -> None:
    with pytest.raises(TypeError):
        good.causes["cell_scaled"].shows["cell_plates"] = {}  # type: ignore[index]


def test_a_folder_loads_the_same_as_a_path_and_as_package_resources(good: Knowledge) -> None:
    resources: Traversable = GOOD
    assert load_knowledge(resources) == good


def test_the_fingerprint_has_twelve_hexadecimal_digits_and_leaves_out_calls(tmp_path: Path, good: Knowledge) -> None:
    shutil.copytree(GOOD, tmp_path / "copy")
    (tmp_path / "copy" / "calls" / "example.yaml").write_text("call: another\n", encoding="utf-8")
    (tmp_path / "copy" / "README.md").write_text("Not knowledge.\n", encoding="utf-8")
    assert load_knowledge(tmp_path / "copy").fingerprint == good.fingerprint
    assert re.fullmatch(r"[0-9a-f]{12}", good.fingerprint)


@given(st.sampled_from(sorted(FILES)))
def test_any_change_of_any_file_changes_the_fingerprint(file: str) -> None:
    before = knowledge_from(NAME, FILES).fingerprint
    assert knowledge_from(NAME, {**FILES, file: FILES[file] + b"# a remark\n"}).fingerprint != before


def test_unused_parts_and_cautions_are_no_mistakes() -> None:
    part = b"\n- part: cell\n  customer: Cell\n  technician: Cell\n  price: dear\n  in_van: no\n"
    assert "cell" in knowledge_from(NAME, {**FILES, "parts.yaml": FILES["parts.yaml"] + part}).parts


# --- every mistake of tests/examples/bad ---------------------------------------------------------------------------


@pytest.mark.parametrize("mistake", mistakes())
def test_each_mistake_is_told_in_exactly_these_words(tmp_path: Path, mistake: str) -> None:
    folder = tmp_path / "faults"
    shutil.copytree(GOOD, folder)
    shutil.copytree(BAD / mistake, folder, dirs_exist_ok=True)
    with pytest.raises(KnowledgeError) as error:
        load_knowledge(folder)
    told = [str(problem).replace(f"{folder}/", "") for problem in error.value.problems]
    assert [text.replace(str(folder), NAME) for text in told] == expected_of(mistake)


@pytest.mark.parametrize("mistake", mistakes())
def test_each_mistake_is_told_at_the_line_that_is_marked(mistake: str) -> None:
    """A line that is wrong says so in a remark; where the mistake leaves no room for one, there is none to compare."""
    marked = {
        (file, number)
        for file, content in overlaid(mistake).items()
        for number, line in enumerate(content.split(b"\n"), start=1)
        if line.endswith(b"# wrong")
    }
    told = {(file, int(line)) for file, line, _ in (text.split(":", 2) for text in expected_of(mistake))}
    assert marked <= told
    assert not marked or told == marked or mistake in CONSEQUENCES


CONSEQUENCES = {"tree_of_unknown_cause", "danger_of_none", "danger_unknown", "danger_without_report"}
"""Mistakes that make something else wrong too, at a place of its own."""


def test_there_are_many_kinds_of_mistake() -> None:
    assert len(mistakes()) >= 28


def test_a_mistake_is_one_small_file() -> None:
    for mistake in mistakes():
        laid = [file for file, content in overlaid(mistake).items() if FILES.get(file) != content]
        assert len(laid) <= 1, mistake


# --- several mistakes, and missing or unreadable files --------------------------------------------------------------


def test_all_problems_of_all_files_come_in_one_go_in_order_of_place() -> None:
    contents = {
        **changed("checks/unit.yaml", "needs: tools", "needs: tool"),
        "causes/cell.yaml": FILES["causes/cell.yaml"].replace(b"source: judgement", b"sauce: judgement"),
        "trees/low-salt.yaml": FILES["trees/low-salt.yaml"].replace(b"any: 1", b"any: 99"),
    }
    assert problems_of(contents) == [
        "causes/cell.yaml:11:3: `sauce` is not a field here; did you mean `source`?",
        "checks/unit.yaml:43:10: `tool` is not one of the words allowed here; did you mean `tools`?",
        "trees/low-salt.yaml:5:1: `two_faults` adds up to 102; make it 100 or less",
    ]


def test_a_mistake_in_one_entry_does_not_make_others_look_unknown() -> None:
    assert problems_of(changed("repairs.yaml", "minutes: 40", "minutes: long")) == [
        "repairs.yaml:40:12: `long` is not a number; write it in digits, without a unit, such as 12"
    ]


@pytest.mark.parametrize("file", sorted(FILES))
def test_a_file_that_cannot_be_read_does_not_make_others_look_wrong(file: str) -> None:
    told = problems_of({**FILES, file: b"\0"})
    assert told == [f"{file}:1:1: there is a control character (U+0000) here; delete it; this must be plain text"]


@pytest.mark.parametrize("file", [file for file in sorted(FILES) if "/" not in file and file != FORMAT_FILE])
def test_a_missing_file_is_named(file: str) -> None:
    contents = {name: content for name, content in FILES.items() if name != file}
    assert problems_of(contents) == [f"{file}:1:1: this file is missing; write it; faults/README.md says what it holds"]


def test_a_folder_without_a_version_is_an_older_one() -> None:
    contents = {name: content for name, content in FILES.items() if name != FORMAT_FILE}
    assert problems_of(contents) == problems_of({**FILES, FORMAT_FILE: b"version: 1"})


@pytest.mark.parametrize("folder", ["causes", "checks", "trees", "units"])
def test_a_missing_folder_is_named(folder: str) -> None:
    contents = {name: content for name, content in FILES.items() if not name.startswith(f"{folder}/")}
    assert problems_of(contents) == [f"{folder}:1:1: there is no file in `{folder}/`; add one that ends in `.yaml`"]


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    missing = tmp_path / "nowhere"
    with pytest.raises(KnowledgeError) as error:
        load_knowledge(missing)
    assert str(error.value) == f"{missing}: there is no such folder; name a folder of fault trees"


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path: Path) -> None:
    file = tmp_path / "faults.yaml"
    file.write_text("a: b\n", encoding="utf-8")
    with pytest.raises(KnowledgeError, match="there is no such folder"):
        load_knowledge(file)


def test_what_the_system_refuses_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = Path.open

    def refuse(path: Path, *mode: Any) -> Any:
        if tmp_path in path.parents:
            raise PermissionError(13, "Permission denied")
        return opened(path, *mode)

    shutil.copytree(GOOD, tmp_path / "copy")
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(KnowledgeError) as error:
        load_knowledge(tmp_path / "copy")
    assert "parts.yaml:1:1: this file cannot be read; reason: permission denied" in str(error.value)


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("repair.yaml", "a file of this name does not belong here; did you mean `repairs.yaml`?"),
        ("cautions.yml", "this file would not be read; give it a name that ends in `.yaml`"),
        ("trees/dead-unit.yml", "this file would not be read; give it a name that ends in `.yaml`"),
        ("tree/dead-unit.yaml", "a folder of this name does not belong here; did you mean `trees/`?"),
    ],
)
def test_a_file_that_would_silently_be_passed_over_is_told(tmp_path: Path, name: str, what: str) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(GOOD, copy)
    (copy / name).parent.mkdir(exist_ok=True)
    (copy / name).write_text("- nothing\n", encoding="utf-8")
    with pytest.raises(KnowledgeError) as error:
        load_knowledge(copy)
    told = name.split("/")[0] if "folder" in what else name
    assert str(error.value) == f"{copy}/{told}:1:1: {what}"


# --- laws ----------------------------------------------------------------------------------------------------------

FOREIGN = ("Input should", "Extra inputs", "Field required", "pydantic", "Value error", "tag:yaml", "{'")
"""What a library would say, and a person in a shop would not."""


@settings(max_examples=up_to(300), deadline=None)
@given(damaged())
def test_a_damaged_folder_loads_or_is_refused_in_our_own_words(contents: dict[str, bytes]) -> None:
    try:
        knowledge_from(NAME, contents)
    except KnowledgeError as error:
        for problem in error.problems:
            file = problem.file.removeprefix(f"{NAME}/")
            lines = contents[file].split(b"\n") if file in contents else [b""]
            assert 1 <= problem.line <= len(lines) + 1
            assert problem.what
            assert problem.advice
            said = str(problem)
            assert "\n" not in said
            assert not [words for words in FOREIGN if words in said]


@settings(max_examples=up_to(60), deadline=None)
@given(st.sampled_from(sorted(FILES)), st.one_of(st.text().map(str.encode), st.binary()))
def test_any_text_in_the_place_of_a_file_is_refused_without_a_traceback(file: str, content: bytes) -> None:
    with pytest.raises(KnowledgeError):
        knowledge_from(NAME, {**FILES, file: content})


# --- words that stand in two places --------------------------------------------------------------------------------


def test_the_form_and_the_model_know_the_same_words() -> None:
    assert get_args(RoleForm.model_fields["role"].annotation) == ROLES
    assert get_args(RepairForm.model_fields["needs"].annotation) == NEEDS


def test_no_written_step_can_take_the_name_of_a_fixed_state() -> None:
    assert set(machine.FIXED_STATES) <= set(RESERVED)


def words_under(file: str) -> dict[str, str]:
    path = Path(__file__).parents[3] / "faults" / "words" / f"{file}.yaml"
    return flat_texts(read_document(path.name, path.read_bytes()))


def test_each_field_of_the_form_has_its_words_and_no_words_are_of_no_field() -> None:
    forms = [form for form in vars(schema).values() if isinstance(form, type) and issubclass(form, Form)]
    fields = [field.description for form in forms for field in form.model_fields.values() if field.description]
    assert set(fields) == set(words_under("mistakes_fields"))


def test_each_kind_of_entry_has_words_for_an_id_that_is_taken() -> None:
    taken = {key.split(".")[1] for key in words_under("mistakes_form") if key.startswith("id_taken.")}
    assert taken == {kind.name for kind in TREE_FILES.values()}


def test_each_saying_of_the_parser_has_its_words_and_no_words_are_of_none() -> None:
    found = {key.split(".")[0] for key in words_under("mistakes_syntax")}
    assert found == {name for _, name in yaml_errors._SIGNS} | {"tab", "beginning", "no_fit"}
