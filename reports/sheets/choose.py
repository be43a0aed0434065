"""Which sheets a job is told on: one for the technician, or the customer's handout and then the shop's."""

from __future__ import annotations

from dataclasses import replace

from engine.knowledge.model import RoleId
from engine.quantities.unit_systems import System
from engine.session.acts import Act
from engine.session.session import Session
from reports.document import AUDIENCES, Audience, CautionBox, Document
from reports.letterhead import NO_SHOP, Letterhead
from reports.sheets.customer import customer_handout, told_in_a_line
from reports.sheets.shop import shop_sheet
from reports.sheets.technician import technician_sheet
from reports.view import JobView, job_view


def sheets(
    session: Session,
    date: str,
    audience: Audience | None = None,
    *,
    letterhead: Letterhead = NO_SHOP,
    act: Act | None = None,
    units: System = "metric",
    annex: bool = False,
) -> tuple[Document, ...]:
    """The sheets of a job, at any moment of the job.

    Args:
        session: the job, open or closed.
        date: for the sheets' heads, best as ISO 8601.
        audience: whom to tell it; by default the technician where the job was taken in the field, else the customer
            and then the shop.
        letterhead: what the shop tells of itself.
        act: the conclusion that ended the questions, where the front end had one.
        units: what every figure is shown in.
        annex: whether the shop's and the technician's sheet bring all that stands behind their first pages.
    """
    view = view_for(session, date, audience, letterhead=letterhead, act=act, units=units)
    return sheets_of(view, session.job.role, audience, letterhead, annex)


def sheets_of(
    view: JobView,
    role: RoleId | None,
    audience: Audience | None = None,
    letterhead: Letterhead = NO_SHOP,
    annex: bool = False,
) -> tuple[Document, ...]:
    """The sheets of a job whose view is there already.

    Args: the view for this audience, the role that the job was taken in; whom to tell it, whose papers these are, and
    whether with an annex, as for the sheets.
    """
    default: tuple[Audience, ...] = ("technician",) if role == "field" else ("customer", "shop")
    wanted = default if audience is None else (audience,)
    return tuple(replace(_composed(view, one, annex), letterhead=letterhead) for one in wanted)


def view_for(
    session: Session,
    date: str,
    audience: Audience | None = None,
    *,
    letterhead: Letterhead = NO_SHOP,
    act: Act | None = None,
    units: System = "metric",
) -> JobView:
    """The view that the sheet of an audience is composed from, in the words for that audience; by default the role's.

    Args: as for the sheets.
    """
    role: RoleId = session.job.role or "counter"
    voice = role
    if audience == "technician":
        voice = "field"
    elif audience is not None and role == "field":
        voice = "counter"
    return job_view(session, date, letterhead, act, voice, units)


def cautions_of_papers(session: Session, date: str, act: Act | None = None) -> dict[Audience, list[str]]:
    """The ids of the cautions that go with what each reader does by the paper: in boxes, then in the line below.

    What stands in that line because it only may matter is not among them.

    Args: the job, the date of the papers and the conclusion, as for the sheets.
    """
    found: dict[Audience, list[str]] = {}
    for reader in AUDIENCES:
        view = view_for(session, date, reader, act=act)
        lines = told_in_a_line(view) if reader == "customer" else view.in_a_line
        boxes = [block.caution for block in _composed(view, reader, annex=True).blocks if isinstance(block, CautionBox)]
        found[reader] = [*boxes, *(line.caution for line in lines if line.owed)]
    return found


def _composed(view: JobView, audience: Audience, annex: bool) -> Document:
    match audience:
        case "technician":
            return technician_sheet(view, annex)
        case "customer":
            return customer_handout(view)
        case "shop":
            return shop_sheet(view, annex)
