"""The environment of the templates; the only importer of jinja2."""

from __future__ import annotations

import functools

from jinja2 import Environment, PackageLoader, StrictUndefined

from engine.foundation.texts import say


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
    made.globals.update(say=say)
    return made
