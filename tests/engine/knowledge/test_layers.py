"""A folder laid over others: it loads as the whole folder would, and what is wrong is told in the shop's own file."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.evaluation.look_over import look_over
from engine.foundation.problems import KnowledgeError
from engine.foundation.yaml_reader import compose
from engine.knowledge.files import FILES, contents_of
from engine.knowledge.layers import laid_contents
from engine.knowledge.loader import load_knowledge, read_folder
from tests.overlay import GOOD
from tests.shipped import knowledge

Whole = dict[str, dict[str, dict[str, Any]]]
"""By kind and id, the fields of every entry."""
LISTED = {kind.name: kind.listed for kind in FILES.values()}


@cache
def good() -> Whole:
    found: Whole = {kind: {} for kind in LISTED}
    contents, _ = contents_of(GOOD)
    for where, kind in FILES.items():
        for name, content in contents.items():
            if name == where or (where.endswith("/") and name.startswith(where)):
                data: Any = compose(name, content)[0].data
                for entry in data if kind.listed else [data]:
                    found[kind.name][entry[kind.name]] = entry
    return found


def yaml_of(entry: Mapping[str, Any], listed: bool) -> str:
    """An entry as YAML; JSON is YAML 1.2 (YAML 1.2.2, 1.3: "every JSON file is also a valid YAML file")."""
    lines = [
        f"{name}: {'' if value is None else json.dumps(value, ensure_ascii=False)}" for name, value in entry.items()
    ]
    return "\n".join(f"{'- ' if not number else '  '}{line}" if listed else line for number, line in enumerate(lines))


def write(folder: Path, entries: Whole, over: str = "", remove: Mapping[str, list[str]] | None = None) -> Path:
    folder.mkdir()
    (folder / "format.yaml").write_text("version: 2\n", encoding="utf-8")
    for where, kind in FILES.items():
        for number, entry in enumerate(entries.get(kind.name, {}).values()):
            file = folder / (
                where if not where.endswith("/") else f"{where}{number if not kind.listed else 'all'}.yaml"
            )
            file.parent.mkdir(exist_ok=True)
            with file.open("a", encoding="utf-8") as lines:
                lines.write(yaml_of(entry, kind.listed) + "\n")
    if over:
        said = {"overlay": "shop", "over": over, **({"remove": dict(remove)} if remove else {})}
        (folder / "overlay.yaml").write_text(yaml_of(said, listed=False) + "\n", encoding="utf-8")
    return folder


def difference(below: Whole, above: Whole) -> tuple[Whole, dict[str, list[str]]]:
    """What an overlay must say so that `below` becomes `above`."""
    said: Whole = {}
    gone: dict[str, list[str]] = {}
    for kind, entries in above.items():
        gone[kind] = [name for name in below[kind] if name not in entries]
        for name, entry in entries.items():
            former = below[kind].get(name, {})
            fields = {field: value for field, value in entry.items() if field == kind or former.get(field) != value}
            lost = dict.fromkeys(former.keys() - entry.keys())
            if former != entry:
                said.setdefault(kind, {})[name] = {**fields, **lost}
    return said, {kind: ids for kind, ids in gone.items() if ids}


@st.composite
def changed(draw: st.DrawFn, below: Whole) -> Whole:
    """A folder in which entries were changed, added and left out, whether or not it makes sense."""
    above = {kind: {name: dict(entry) for name, entry in entries.items()} for kind, entries in below.items()}
    for _ in range(draw(st.integers(1, 6))):
        kind = draw(st.sampled_from([kind for kind, entries in above.items() if len(entries) > 1]))
        name, other = draw(st.sampled_from(sorted(above[kind]))), draw(st.sampled_from(sorted(above[kind])))
        field = draw(st.sampled_from(sorted({*above[kind][name], *above[kind][other]} - {kind})))
        match draw(st.sampled_from(["change", "lose", "add", "remove"])):
            case "change" if field in above[kind][other]:
                above[kind][name][field] = above[kind][other][field]
            case "lose":
                above[kind][name].pop(field, None)
            case "add":
                new = f"{name}x"
                above[kind].setdefault(new, {**above[kind][name], kind: new})
            case "remove":
                del above[kind][name]
            case _:
                pass
    return above


def forms(folder: Path) -> dict[str, dict[str, Any]]:
    contents, problems = laid_contents(folder)
    assert problems == []
    read, _ = read_folder(str(folder), contents)
    return {kind: {name: placed.form for name, placed in read.of_kind(kind).items()} for kind in LISTED}


@given(st.data())
def test_what_an_overlay_says_loads_as_the_whole_folder_does(data: st.DataObject) -> None:
    middle = data.draw(changed(good()))
    upper = data.draw(changed(middle))
    with TemporaryDirectory() as place:
        root = Path(place)
        shutil.copytree(GOOD, root / "lowest")
        for name, (below, above), over in (
            ("chain", (good(), middle), "../lowest"),
            ("shop", (middle, upper), "../chain"),
        ):
            said, gone = difference(below, above)
            write(root / name, said, over, gone)
        assert forms(root / "chain") == forms(write(root / "whole chain", middle))
        assert forms(root / "shop") == forms(write(root / "whole shop", upper))


def test_an_overlay_that_says_nothing_is_what_lies_below(tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {}, "shipped")
    for language in ("en", "es"):
        laid, below = load_knowledge(shop, language), load_knowledge(Path(str(knowledge().folder)), language)
        assert replace(laid, fingerprint="", folder=None) == replace(below, fingerprint="", folder=None)
    assert not look_over(shop).stops()


def test_each_folder_of_a_stack_shows_in_the_fingerprint(tmp_path: Path) -> None:
    prints = {knowledge().fingerprint}
    chain = write(tmp_path / "chain", {}, "shipped")
    shop = write(tmp_path / "shop", {}, "../chain")
    for file, text in (("parts.yaml", "- part: cell\n  customer: Our own\n"), ("overlay.yaml", "overlay: other\n")):
        prints.add(load_knowledge(shop).fingerprint)
        (chain / file).write_text(text, encoding="utf-8")
    prints.add(load_knowledge(shop).fingerprint)
    assert len(prints) == 4


def test_a_file_may_be_called_like_one_below_that_holds_another_entry(tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {}, "shipped")
    shutil.copytree(Path(str(knowledge().folder)) / "units", shop / "units")
    for file in (shop / "units").iterdir():
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace("unit: ", "unit: our_", 1), encoding="utf-8")
    assert load_knowledge(shop).units.keys() == {*knowledge().units, *(f"our_{name}" for name in knowledge().units)}


def told(folder: Path) -> Iterator[str]:
    for problem in look_over(folder).found:
        file = Path(problem.file)
        # What no longer hangs together below is told there.
        if file.is_relative_to(folder):
            yield f"{file.relative_to(folder).as_posix()}:{problem.line}: {problem.what}"


def test_what_is_wrong_is_told_where_the_shop_wrote_it(tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {}, "shipped", {"part": ["no_such"], "cuase": ["x"]})
    (shop / "causes").mkdir()
    (shop / "causes" / "ours.yaml").write_text(
        "# ours\n- cause: salt_low\n  shears: 3\n\n- cause: cell_worn\n  repairs: [no_repair]\n", encoding="utf-8"
    )
    (shop / "causes" / "new.yaml").write_text("- cause: quite_new\n", encoding="utf-8")
    found = "\n".join(told(shop))
    for place in ("causes/ours.yaml:3: `shears`", "causes/ours.yaml:6: ", "causes/new.yaml:1: ", "overlay.yaml:3: "):
        assert place in found, found
    assert "`no_such`" in found
    assert "`cuase`" in found


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("overlay: a\nover: nowhere\n", 2),
        (f"overlay: a\nover: {'far too long ' * 400}\n", 2),
        ("overlay: a\nover: ../shop\n", 2),
        ("overlay: a\nabove: shipped\n", 2),
        ("overlay: [a]\n", 1),
        ("overlay: a\nremove: [cell]\n", 2),
        ("overlay: a\nremove:\n  part: cell\n", 3),
        ("- a\n", 1),
        ("", 1),
        ("overlay: a: b\n", 1),
    ],
)
def test_an_overlay_file_that_cannot_be_used_is_told_with_its_line(tmp_path: Path, text: str, line: int) -> None:
    shop = write(tmp_path / "shop", {}, "shipped")
    (shop / "overlay.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(KnowledgeError) as refused:
        load_knowledge(shop)
    (problem,) = refused.value.problems
    assert (Path(problem.file).name, problem.line) == ("overlay.yaml", line)
    assert problem.advice


def test_a_folder_of_another_form_is_refused_by_its_name(tmp_path: Path) -> None:
    shop = write(tmp_path / "shop", {}, "shipped")
    (shop / "format.yaml").unlink()
    with pytest.raises(KnowledgeError) as refused:
        load_knowledge(shop)
    assert str(shop) in str(refused.value)


def test_a_translation_below_never_speaks_of_steps_that_the_shop_changed(tmp_path: Path) -> None:
    repair = next(iter(knowledge().repairs))
    steps = ["Do as this shop does it.", "Then look again."]
    both = {"customer": steps, "technician": steps}
    shop = write(tmp_path / "shop", {"repair": {repair: {"repair": repair, "steps": both}}}, "shipped")
    (shop / "parts.yaml").write_text("- part: cell\n  customer: Our own cell\n", encoding="utf-8")
    english, spanish = load_knowledge(shop), load_knowledge(shop, "es")
    assert spanish.repairs[repair].steps == english.repairs[repair].steps
    # The former Spanish stands, and is told of where the shop wrote, with where its own translation goes.
    assert spanish.parts["cell"].wording.customer != "Our own cell"
    found = [problem for problem in look_over(shop).found if problem.rule == "translations"]
    assert {Path(problem.file) for problem in found} == {shop / "parts.yaml", shop / "repairs.yaml"}
    for problem in found:
        assert f"{shop}/languages/es/{Path(problem.file).name}" in problem.advice
    (shop / "languages" / "es").mkdir(parents=True)
    (shop / "languages" / "es" / "parts.yaml").write_text("- part: cell\n  customer: Nuestra celda\n", encoding="utf-8")
    assert load_knowledge(shop, "es").parts["cell"].wording.customer == "Nuestra celda"


def test_what_the_shop_does_without_is_gone_in_every_language(tmp_path: Path) -> None:
    unused = sorted(knowledge().units.keys() - {"default"})[0]
    shop = write(tmp_path / "shop", {}, "shipped", {"unit": [unused]})
    for language in ("en", "es"):
        assert unused not in load_knowledge(shop, language).units
