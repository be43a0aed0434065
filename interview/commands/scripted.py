"""A worked call interviewed without a person, to its sheet."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from engine.evaluation.simulate import run_facts
from interview.command_line.context import BadInputError, Places, clock
from interview.command_line.job_sheet import JobSheet, give_out
from interview.command_line.output import RenderOptions
from interview.command_line.startup import load
from interview.commands.run import refuse_unknown
from interview.storage.jobs import stamp


def scripted(places: Places, file: Path, call: int, said: Mapping[str, str], wish: RenderOptions) -> int:
    """Interview one worked call of a file and print its sheet, or write it as wished. Returns the exit code."""
    models = load(places.faults_folder)
    refuse_unknown(models, said)
    try:
        run = run_facts(models, file, call, said, stamp(clock))
    except LookupError as error:
        if type(error) is not LookupError:
            raise
        raise BadInputError(str(error)) from error
    give_out(JobSheet(run.session, clock().date(), run.ended, wish))
    return 0
