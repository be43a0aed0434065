"""The job sheet of a session, made only when a front end asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.session import Act, Session
    from interview.frontend import Sheet
    from reports.view import JobView

__all__ = ["JobSheet", "keep_sheet"]


class JobSheet:
    """A session's sheet of one day. The templates are imported here: no question needs them."""

    def __init__(self, session: Session, day: date, act: Act | None = None) -> None:
        """Args: the session, the date that the sheet bears, and the act that ended the questions, where one did."""
        self._session = session
        self._day = day
        self._act = act

    def decision(self) -> str:
        """The id of what is decided."""
        return self._view().decision.decision

    def headline(self) -> str:
        """What is decided, in one sentence."""
        return f"{self._view().decision.title.rstrip('.')}."

    def text(self) -> str:
        """The sheet as plain text."""
        from reports.render import text_sheet

        return text_sheet(self._view())

    def data(self) -> Mapping[str, object]:
        """The sheet as plain data."""
        from reports.view import view_data

        return view_data(self._view())

    def _view(self) -> JobView:
        from reports.view import job_view

        return job_view(self._session, self._day.isoformat(), act=self._act)


def keep_sheet(sheet: Sheet, folder: Path, job: str) -> str:
    """Write the sheet beside its job, for printing; a sentence that says where, or why not."""
    path = folder / f"{job}.txt"
    try:
        path.write_text(sheet.text(), encoding="utf-8")
    except OSError as error:
        return f"The sheet could not be kept as {path} ({error.strerror})."
    return f"The sheet is kept as {path}."
