"""Names that nothing in the program uses: each is told, and ends the run, unless it stands below with its reason."""

from __future__ import annotations

import sys
from fnmatch import fnmatch
from pathlib import Path

from vulture import Vulture

ROOT = Path(__file__).parents[1]
DECORATED = ["@click.command", "@_lines.register", "@_markdown.register"]
ALIVE = {
    # The line editor asks for it by this name.
    "interview/frontends/line_editor.py": ("get_completions",),
    # Rules are found by being public functions of their modules.
    "engine/knowledge/rules/*.py": ("*",),
    "engine/knowledge/second_look/*.py": ("*",),
    # pydantic calls it by this name.
    "engine/knowledge/editor_schema.py": ("function_before_schema",),
    # Fields of forms are read by their names, in a loop.
    "engine/knowledge/schema.py": ("*",),
    "engine/knowledge/schema_parts.py": ("model_config",),
    # A rule holds the units to the one, and no dose of acid aims as low as the other.
    "engine/chlorinator/dose_limits.py": ("salt_most", "ph_least"),
    # click calls or reads these by their names.
    "interview/command_line/help.py": ("help", "get_help", "allow_extra_args"),
    "interview/commands/app.py": ("obj",),
    # The sheet as data shows every field.
    "reports/view/model.py": ("times_rarer",),
    # Tests hold the program to these: the ids that code may name, that a drawing is the machine, the published schema.
    "engine/knowledge/required.py": ("NAMED",),
    "reports/tree_diagram/chart.py": ("stands_for",),
    "reports/page_fit.py": ("TWO_CLOSE",),
    "reports/renderers/text.py": ("RECEIPT",),
    # Tests read journals and ask the strategy by these.
    "engine/knowledge/loader.py": ("knowledge_from",),
    "engine/session/journal.py": ("read_events",),
    "engine/strategy/lookahead.py": ("next_step",),
    # Tests and benchmarks put small problems together by it.
    "engine/strategy/decision.py": ("decision_model",),
    # Python asks for the names that a package offers by this one.
    "engine/__init__.py": ("__getattr__",),
    # SQLite's driver reads it by this name.
    "engine/store/connect.py": ("isolation_level",),
    # Tests hold to it that nothing of somebody forgotten is left there.
    "engine/store/tables.py": ("PERSONAL",),
    # How an interview ended, for whoever runs one.
    "interview/dialogue/manager.py": ("sheet_shown",),
}


def main() -> int:
    """Print what is dead; 1 where something is."""
    vulture = Vulture(ignore_decorators=DECORATED)
    vulture.scavenge([ROOT / folder for folder in ("engine", "interview", "reports")])
    dead = []
    for item in vulture.get_unused_code(min_confidence=60):
        place = Path(item.filename).relative_to(ROOT).as_posix()
        kept = (name for where, names in ALIVE.items() if fnmatch(place, where) for name in names)
        if not any(fnmatch(item.name, name) for name in kept):
            dead.append(f"{place}:{item.first_lineno}: nothing uses the {item.typ} `{item.name}`")
    print("\n".join(dead) or "Nothing is dead.")
    return int(bool(dead))


if __name__ == "__main__":
    sys.exit(main())
