"""For shell completion: what may stand where an id of the knowledge or of a kept job is typed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

import click

from engine.foundation.text_catalog import languages_of
from engine.session.journal import job_ids
from interview.command_line.context import places_of
from interview.command_line.startup import load

Complete = Callable[[click.Context, click.Parameter, str], list[str]]


def known_ids(kind: Literal["trees", "roles", "units"]) -> Complete:
    """The ids of one kind that begin like what is typed."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
        ids: Iterable[str] = getattr(load(places_of(ctx).faults_folder).knowledge, kind)
        return [name for name in ids if name.startswith(incomplete)]

    return complete


def known_languages(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
    """The codes of the languages that the knowledge in use speaks and that begin like what is typed."""
    return [code for code in languages_of(places_of(ctx).faults_folder) if code.startswith(incomplete)]


def kept_jobs(*words: str) -> Complete:
    """The ids of the kept jobs, and `words` that may stand for one, that begin like what is typed."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
        return [name for name in (*words, *job_ids(places_of(ctx).jobs_folder)) if name.startswith(incomplete)]

    return complete
