"""Write the published schemas anew, after a change of the forms or of the words that stand in them."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from engine.foundation.text_catalog import use_language
from engine.knowledge.editor_schema import SCHEMA, schemas, text_of


def main() -> None:
    """Write them into the shipped folder."""
    use_language("en")
    place = Path(str(files("faults"))) / SCHEMA
    place.mkdir(exist_ok=True)
    for name, schema in schemas().items():
        (place / name).write_text(text_of(schema), encoding="utf-8")


if __name__ == "__main__":
    main()
