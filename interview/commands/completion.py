"""The command `brinecall completion`: what makes a shell complete commands, options and ids."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from interview.command_line.help import SaidArgument, SaidCommand


@click.command("completion", cls=SaidCommand)
@click.argument("shell", cls=SaidArgument, type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def completion(ctx: click.Context, shell: str) -> None:
    """Print what makes a shell complete commands, options and ids."""
    found = get_completion_class(shell)
    assert found is not None, shell
    click.echo(found(ctx.find_root().command, {}, "brinecall", "_BRINECALL_COMPLETE").source())
