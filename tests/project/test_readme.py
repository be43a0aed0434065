"""README is true word for word: its blocks of commands run in a clean copy, in order, and print what it claims."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.interview.people import LIMIT_S

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"(?:<!-- (\w+) -->\n)?```(\w+)\n(.*?)```", re.DOTALL)
NOT_COPIED = shutil.ignore_patterns(
    ".git", ".venv", "*_cache", ".hypothesis", "__pycache__", "*.egg-info", ".coverage*"
)


def blocks(kind: str, named: str = "") -> list[str]:
    """The blocks of one kind, as they stand; those with a name in a comment before them are asked for by it."""
    return [text for name, of_kind, text in BLOCK.findall(README) if (name, of_kind) == (named, kind)]


def in_order() -> Iterator[tuple[str, str]]:
    """Every block that is typed, but for the one that runs these very tests."""
    for name, kind, text in BLOCK.findall(README):
        if kind in ("sh", "console") and name != "test":
            yield kind, text


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clean copy of the project, on an account where nothing of it is installed."""
    folder = tmp_path_factory.mktemp("account") / "brinecall"
    shutil.copytree(ROOT, folder, ignore=NOT_COPIED)
    return folder


def typed(copy: Path, script: str, **more: str) -> subprocess.CompletedProcess[str]:
    """What a shell makes of some lines, with both its outputs in one.

    What pip would fetch is here already: it takes it from the environment of the tests, and asks no index.
    """
    home = copy.parent / "home"
    home.mkdir(exist_ok=True)
    return subprocess.run(
        ["bash", "-euc", script],
        cwd=copy,
        env={
            "HOME": str(home),
            "PATH": os.pathsep.join([str(Path(sys.executable).parent), "/usr/local/bin", "/usr/bin", "/bin"]),
            "LANG": "C.UTF-8",
            "PIP_NO_DEPS": "1",
            "PIP_NO_BUILD_ISOLATION": "0",
            "PIP_NO_INDEX": "1",
            "PIP_DISABLE_PIP_VERSION_CHECK": "1",
            **more,
        },
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        timeout=LIMIT_S,
        check=False,
    )


def with_what_is_here(install: str) -> str:
    """The lines of the installation, with what the tests have installed at hand in the new environment."""
    made, *others = install.splitlines()
    packages = sysconfig.get_paths()["purelib"]
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    return "\n".join([made, f"echo {packages} > .venv/lib/{version}/site-packages/here.pth", *others])


def matches(shown: str, claimed: str) -> bool:
    """Whether an output is as claimed: a line of three dots stands for any lines, and `…` for anything in a line."""
    lines = [re.escape(line).replace("…", ".*") + "\n" for line in claimed.splitlines()]
    pattern = "".join("(?:.*\n)*?" if line == re.escape("...") + "\n" else line for line in lines)
    return re.fullmatch(pattern, shown) is not None


def commands_of(block: str) -> Iterator[tuple[str, str]]:
    """Each command of a console block with the output that is claimed for it."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, claimed = part.partition("\n")
        yield command, claimed


@pytest.mark.e2e
def test_every_block_of_commands_runs_in_a_clean_copy_and_prints_what_it_claims(copy: Path) -> None:
    install, *others = list(in_order())
    done = typed(copy, with_what_is_here(install[1]))
    assert done.returncode == 0, done.stdout
    assert f"brinecall, version {project_version()}" in done.stdout
    assert str(copy / ".venv") in done.stdout, "the knowledge that is used is that of the installed program"
    for kind, block in others:
        for command, claimed in [(block, "...\n")] if kind == "sh" else commands_of(block):
            done = typed(copy, f". .venv/bin/activate\n{command}")
            assert done.returncode == 0, (command, done.stdout)
            assert matches(done.stdout, claimed), (command, done.stdout[:2000])
    handout(copy)
    session(copy)
    removed(copy)


def project_version() -> str:
    """The version that the project says it has."""
    found = re.search(r'^version = "(.*)"', (ROOT / "pyproject.toml").read_text(encoding="utf-8"), re.MULTILINE)
    assert found is not None
    return found[1]


def handout(copy: Path) -> None:
    """The picture of the handout is what the program prints."""
    (claimed,) = blocks("text", "handout")
    assert claimed in typed(copy, ". .venv/bin/activate\nbrinecall ask --facts call.yaml --for customer").stdout


def session(copy: Path) -> None:
    """What the program says in the session stands in its output, in this order, when the lines with `>` are typed."""
    (claimed,) = blocks("text", "session")
    replies = "\n".join(line[2:] for line in claimed.splitlines() if line.startswith("> "))
    done = typed(copy, f". .venv/bin/activate\nbrinecall <<'END'\n{replies}\nEND")
    rest = done.stdout
    for line in (line for line in claimed.splitlines() if not line.startswith("> ")):
        assert line in rest, (line, done.stdout)
        rest = rest.partition(line)[2]


def removed(copy: Path) -> None:
    """The folders that README names hold all that was kept outside the copy."""
    home = copy.parent / "home"
    on_linux = re.findall(r"^\|.*`~/([^`]+/brinecall)`", README, re.MULTILINE)
    on_macos = re.findall(r"macOS: `~/([^`]+/brinecall)`", README)
    assert (len(on_linux), len(on_macos)) == (2, 1)
    named = on_macos if sys.platform == "darwin" else on_linux
    kept = [path.relative_to(home).as_posix() for path in home.rglob("*") if path.is_file()]
    assert kept
    assert [path for path in kept if not path.startswith((*named, ".cache/pip"))] == []


def test_the_lines_of_an_output_are_held_against_what_is_claimed() -> None:
    assert matches("a\nb\nc\n", "a\n...\nc\n")
    assert matches("a 12 b\n", "a … b\n")
    assert not matches("a\nb\n", "a\n")
    assert not matches("a\nb\n", "...\nc\n")


def test_the_first_things_said_are_what_it_does_and_that_it_must_not_hurt() -> None:
    head = README.split("\n## ")[1]
    assert head.startswith("Safety first")
    assert all(word in head for word in ("trained people", "local code", "licensed electrician", "handbook"))


def test_every_command_that_the_tables_name_is_there() -> None:
    from interview.commands.app import PARTS

    named = {name for name in re.findall(r"`brinecall ([a-z-]+)", README) if not name.startswith("-")}
    known = {name for names in PARTS.values() for name in names}
    assert named == known
