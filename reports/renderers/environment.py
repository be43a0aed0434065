"""The two environments of the templates, for markup and for plain text; the only importer of jinja2."""

from __future__ import annotations

import functools

from jinja2 import Environment, PackageLoader, StrictUndefined

from engine.foundation.texts import say


@functools.cache
def markup_environment() -> Environment:
    """For HTML and what is like it: every text is escaped unless a template says otherwise."""
    return _made(escaping=True)


@functools.cache
def text_environment() -> Environment:
    """For forms that are no markup of angle brackets: nothing is escaped, so a template escapes by its own rules."""
    return _made(escaping=False)


def _made(escaping: bool) -> Environment:
    """An environment in which an unknown name is an error, and blocks leave no empty lines."""
    made = Environment(
        loader=PackageLoader("reports"),
        undefined=StrictUndefined,
        autoescape=escaping,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.globals.update(say=say)
    return made
