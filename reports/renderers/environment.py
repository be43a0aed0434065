"""The environment of the templates; the only importer of jinja2."""

from __future__ import annotations

import functools

from jinja2 import Environment, PackageLoader, StrictUndefined

from engine.foundation.texts import say
from reports.document import Table, kind_of


@functools.cache
def markup_environment() -> Environment:
    """For HTML: texts are escaped unless a template says otherwise, an unknown name is an error."""
    made = Environment(
        loader=PackageLoader("reports"),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.globals.update(say=say, kind_of=kind_of, widths_of=_widths_of)
    return made


def _widths_of(table: Table) -> tuple[int, ...]:
    """Per cent of the width for each column: by its longest text, within bounds, so that none is squeezed out."""
    columns = zip(table.columns, *table.rows, strict=True)
    wanted = [min(max(7, *(len(cell) for cell in cells), 0), 36) for cells in columns]
    return tuple(round(100 * width / sum(wanted)) for width in wanted)
