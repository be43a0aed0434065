"""Whose rules win over a sheet: the law, the label and the licensed trades, for each work in which they have a say.

Which work touches mains, acid, waste water or a public pool's limits: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from engine.knowledge.model import RoleId
from engine.session.acts import Act
from engine.session.models import Models
from engine.session.session import Session
from reports.document import Audience
from reports.sheets.choose import view_for
from tests.benchmarks.safety_search import speaking
from tests.paper_rules import ACID_WORK
from tests.reports.jobs import DATE, opened

VOICES: tuple[tuple[Audience, RoleId], ...] = (("customer", "phone"), ("shop", "counter"), ("technician", "field"))
ON_MAINS = (
    "renew_power_pack dry_power_pack new_pack_fuse cool_pack find_insulation_fault restore_supply correct_supply "
    "repair_pump new_pump larger_unit reset_and_watch"
)
LETS_WATER_OUT = "replace_water air_and_swap live_with_hardness superchlorinate clean_filter new_filter_media"
CHANGES_CHLORINE = "superchlorinate add_stabiliser raise_output replace_water"
RULES: list[tuple[str, tuple[Audience, ...], str, str]] = [
    (ON_MAINS, ("customer", "shop", "technician"), r"licensed electrician", r"electricista autorizado"),
    (
        " ".join(sorted(ACID_WORK)),
        ("customer", "shop"),
        r"acid.*label and your local rules",
        r"ácido.*etiqueta.*local",
    ),
    (
        " ".join(sorted(ACID_WORK)),
        ("technician",),
        r"in the van: closed.*transport rules",
        r"furgoneta,? cerrado.*transporte",
    ),
    (LETS_WATER_OUT, ("customer", "shop"), r"local rules.*backwash water.*Ask before", r"local(es)? dice.*Pregunte"),
    (LETS_WATER_OUT, ("technician",), r"discharge as local rules allow", r"desagüe según .* local"),
    (CHANGES_CHLORINE, ("technician",), r"Public.*health authority", r"pública.*autoridad sanitaria"),
]
ALWAYS = {"en": r"(?i)local code.*label.*handbook", "es": r"(?i)norma(tiva)? local.*etiqueta.*manual"}


def told(models: Models, work: str, reader: Audience, role: RoleId) -> tuple[str, ...]:
    """The rules on the paper of a job that is decided for a work."""
    known = models.knowledge
    tree = next(tree for tree in known.trees.values() if {*known.repairs[work].cures} & {*tree.singles})
    decided = Act("conclude", known.repairs[work].decision[role], repair=work, why="settled")
    return view_for(Session(models, opened(role, tree.id)), DATE, reader, act=decided).advice.local_code


def missing(models: Models, language: str) -> Iterator[tuple[str, Audience, str]]:
    """Each work, reader and rule where the rule is not told."""
    roles = dict(VOICES)
    for works, readers, english, spanish in RULES:
        wanted = english if language == "en" else spanish
        for work in works.split():
            for reader in readers:
                lines = told(models, work, reader, roles[reader])
                for rule in (wanted, ALWAYS[language]):
                    if not any(re.search(rule, line) for line in lines):
                        yield work, reader, rule


@pytest.mark.parametrize("language", sorted(ALWAYS))
def test_each_work_in_which_others_have_a_say_says_so(language: str) -> None:
    with speaking(language) as models:
        assert list(missing(models, language)) == []
