"""How a job stands, in words that every question shares: who is spoken to, what is likely, what must be minded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from engine.foundation.texts import said, say
from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.session.job import SET_UP
from engine.session.journal import PLANT
from engine.session.session import Session
from interview.dialogue.phrasing import set_up_text, standing
from interview.messages import CautionText, Choice, Likely


def title(session: Session, about: str) -> str:
    """What something said was about, in the words of the role: a check, a repair, a danger, a question of the start.

    What the knowledge does not know (any more) is called by its id.
    """
    knowledge, role = session.knowledge, session.job.role
    if about in SET_UP:
        return set_up_text(about, role)
    if about == PLANT:
        return say("asking.plant.name")
    item = knowledge.checks.get(about) or knowledge.repairs.get(about) or knowledge.dangers.get(about)
    return about.replace("_", " ") if item is None else item.wording.for_role(role or "counter")


def caution_texts(knowledge: Knowledge, ids: Iterable[str], role: RoleId) -> tuple[CautionText, ...]:
    """Cautions in the words of this role, in the given order."""
    found = (knowledge.cautions[name] for name in ids)
    return tuple(CautionText(c.id, c.signal, c.wording.for_role(role)) for c in found)


def in_short(knowledge: Knowledge, caution: CautionText, role: RoleId) -> CautionText:
    """A caution that was told already, in a line."""
    return replace(caution, text=knowledge.cautions[caution.id].in_short.for_role(role))


def ranked(session: Session, most: int = 5) -> tuple[Likely, ...]:
    """The most probable hypotheses; none before there is evidence."""
    if not _has_evidence(session):
        return ()
    return tuple(Likely(causes, share) for causes, share in session.hypotheses()[:most])


def standing_line(session: Session) -> str:
    """The likeliest causes in one short line; empty before there is evidence."""
    if not _has_evidence(session):
        return ""
    unknown = sum(share for causes, share in session.hypotheses() if not causes)
    return standing(session.knowledge, session.marginals(), unknown)


def progress_line(session: Session, counted: bool = False) -> str:
    """What must be kept in mind (danger not ruled out, the supply off), and for a `counted` question how far along."""
    job = session.job
    parts = []
    if counted:
        limit = session.role.limit
        parts.append(say("asking.progress.question", number=min(job.questions + 1, limit), limit=limit))
    if job.danger_unsaid:
        parts.append(say("asking.progress.danger_open"))
    if job.plant in ("isolated", "off"):
        parts.append(say("asking.progress.supply_off"))
    return " ".join(parts)


def choices_of(key: str, *ids: str, cannot: str = "") -> tuple[Choice, ...]:
    """The answers below a key of the words; `cannot`, the last one, goes with a reason."""
    words = said(f"asking.choices.{key}")
    plain = tuple(Choice(name, words[name]) for name in ids)
    return (*plain, Choice(cannot, words[cannot], needs_reason=True)) if cannot else plain


def role_of(session: Session) -> RoleId:
    """The role; before it was said, the words for everybody."""
    return session.job.role or "counter"


def _has_evidence(session: Session) -> bool:
    return session.job.complaint is not None and any(found.id != DANGER_CHECK for found in session.evidence)
