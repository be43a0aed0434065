"""The command `brinecall label`: a label for a cell or a power pack that its owner leaves at the shop."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import click

from engine.foundation.texts import say
from engine.session.outcome import outcome_of
from engine.session.session import Session
from interview.command_line.completing import kept_jobs
from interview.command_line.context import places_of
from interview.command_line.desktop import open_in_viewer, print_queue, refuse_without_viewer, send_to_print
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.output import SheetError, print_paper, refuse_to_print, write_paper
from interview.command_line.targets import inputs_of
from interview.commands.sheet import NEWEST, kept_job
from interview.storage.shop_file import shop_in_use, warn_without_name
from reports.renderers.label import Label, LabelSize, Thing, label_form

_LONGEST_NAME = 120
"""Characters of a name on a label: in the smallest letters it still takes no more than four lines there."""
_BROUGHT: dict[str, Thing] = {"cell": "cell", "bring_cell": "cell", "bring_pack": "pack"}
"""What lies at the shop, by what was brought and what was decided to bring."""


@click.command("label", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=NEWEST, shell_complete=kept_jobs(NEWEST))
@click.option("--name", cls=SaidOption, default="")
@click.option("--thing", cls=SaidOption, type=click.Choice(get_args(Thing)))
@click.option("--size", cls=SaidOption, type=click.Choice(get_args(LabelSize)), default="62mm", show_default=True)
@click.option("-o", "--output", cls=SaidOption, metavar="FILE.pdf", type=click.Path(path_type=Path))
@click.option("--open", "opened", cls=SaidOption, is_flag=True)
@click.option("--print", "printed", cls=SaidOption, is_flag=True)
@click.pass_context
def label_command(
    ctx: click.Context,
    job: str,
    name: str,
    thing: Thing | None,
    size: LabelSize,
    output: Path | None,
    opened: bool,
    printed: bool,
) -> None:
    """Make a label for what stays at the shop; the help that is shown stands in the words."""
    if len(name) > _LONGEST_NAME:
        raise SheetError(say("handing_over.label.too_long", count=len(name), most=_LONGEST_NAME))
    if output is not None and output.suffix.lower() != ".pdf":
        raise SheetError(say("handing_over.wrong_ending", path=output, ending=".pdf"))
    if opened:
        refuse_without_viewer()
    queue = print_queue() if printed else ()
    refuse_to_print("pdf", output or (Path("label.pdf") if opened or printed else None), inputs_of(places_of(ctx)))
    kept = kept_job(ctx, job)
    shop = shop_in_use()
    warn_without_name(shop)
    label = Label(name, thing or _thing(kept.session), kept.id, kept.day.isoformat(), shop)
    made = label_form(label, size)
    place = output or places_of(ctx).jobs_folder / f"{kept.id}.label.pdf"
    if output is not None or opened:
        write_paper(made, place, private=True)
        print(say("handing_over.labelled", path=place))
    if opened:
        open_in_viewer(place)
    if printed:
        print(send_to_print(made, queue))
    if not (output or opened or printed):
        print_paper(made, "pdf")


def _thing(session: Session) -> Thing | None:
    """What was brought or is to be brought; None where neither is known."""
    started = session.job.complaint is not None and session.job.role is not None
    told = (*session.job.brought, *([outcome_of(session, None).conclusion.decision] if started else []))
    return next((_BROUGHT[word] for word in told if word in _BROUGHT), None)
