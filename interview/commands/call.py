"""What one call is held with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from engine.session.journal import Journal
from interview.command_line.context import Places
from interview.messages import FrontEnd

if TYPE_CHECKING:
    from interview.command_line.output import RenderOptions


@dataclass(frozen=True)
class Call:
    """What one call is held with: where, by whom, what is wished for its sheet, and the place that is usual here.

    `remember`: the place picked in it is usual from now on.
    """

    places: Places
    front: FrontEnd
    journal: Journal
    wish: RenderOptions | None = None
    piped: bool = False
    usual_role: str = ""
    remember: bool = False
