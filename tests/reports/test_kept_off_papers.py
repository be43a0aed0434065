"""What was found burnt, wet, bridged or tripping again stays off: every paper of the job says so, whoever reads it.

That whoever could switch it on is told not to: common practice, no source.
"""

from __future__ import annotations

import re
from typing import get_args

import pytest

from engine.knowledge.model import ROLES, RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.benchmarks.safety_search import speaking
from tests.reports.jobs import AT, DATE, opened
from tests.shipped import knowledge

FOUND = [
    ("pack_inside", "burnt", "too-much-chlorine"),
    *(
        (check.id, answer.id, "no-output")
        for check in knowledge().checks.values()
        for answer in check.answers
        if answer.keeps_off
    ),
]
"""Findings after which nothing is energised, and the complaint behind which they came up."""
OFF = {
    "en": r"(?i)stays off|leave (it|both) off|leave it switched off|nothing is switched on before|locked until",
    "es": r"(?i)queda cortado|sigue apagad|d[eé]je(l[ao]| el equipo) (sin corriente|cortad)|ni se conecta nada"
    r"|bloqueado hasta|ni conectar nada",
}
WHOLE = 10_000
"""Columns of a paper whose sentences are not broken."""


@pytest.mark.parametrize("language", sorted(OFF))
@pytest.mark.parametrize("role", ROLES)
def test_every_paper_says_that_it_stays_off(role: RoleId, language: str) -> None:
    with speaking(language) as models:
        jobs = {
            (check, complaint): Session(
                models, [*opened(role, complaint), Event("answered", AT, about=check, value=said)]
            )
            for check, said, complaint in FOUND
        }
        papers = {
            (*found, reader): text_form(sheets(session, DATE, reader), WHOLE)
            for found, session in jobs.items()
            for reader in get_args(Audience)
        }
    assert [paper for paper, text in papers.items() if not re.search(OFF[language], text)] == []
