"""The command `brinecall translate`: how far a language is, what it lacks, and skeletons with the English beside."""

from __future__ import annotations

import re
from pathlib import Path

import click

from engine.foundation.problems import KnowledgeError, why_not
from engine.foundation.text_catalog import ENGLISH, LANGUAGES
from engine.foundation.texts import say
from engine.knowledge.files import contents_of
from engine.knowledge.layers import laid_contents, laid_language
from engine.knowledge.loader import without_mistakes
from engine.knowledge.overlay_file import stack_of
from engine.knowledge.translating import progress_of, skeletons_of
from engine.knowledge.translation_check import look_through
from engine.knowledge.upgrade.folder import write_files
from interview.command_line.context import BadInputError, own_folder, places_of
from interview.command_line.help import SaidCommand, SaidOption

_CODE = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
"""A code of BCP 47, from memory: two or three letters, and more behind hyphens."""


@click.command("translate", cls=SaidCommand)
@click.argument("language", metavar="LANGUAGE")
@click.option("--next", "most", cls=SaidOption, type=click.IntRange(0, 10_000), default=0)
@click.option("--write", cls=SaidOption, is_flag=True)
@click.pass_context
def translate_command(ctx: click.Context, language: str, most: int, write: bool) -> None:
    """Tell how far a language is; the help that is shown stands in the words."""
    if not _CODE.fullmatch(language) or language == ENGLISH:
        raise BadInputError(say("entries.no_language", code=language))
    folder = own_folder(ctx) if write else Path(str(places_of(ctx).faults_folder))
    contents, unread = laid_contents(folder)
    entries = without_mistakes(str(folder), contents, unread)
    place = folder / LANGUAGES / language
    laid, wrong = laid_language(folder, language)
    if wrong:
        raise KnowledgeError(wrong)
    progress = progress_of(entries, laid)
    for kind, (total, said) in progress.counts.items():
        click.echo(say("entries.progress", kind=kind, said=said, total=total))
    words = sum("/words/" in problem.file for problem in look_through(folder, entries).missing.get(language, ()))
    begun = any(layer.folder.joinpath(LANGUAGES, language).is_dir() for layer in stack_of(folder))
    if words or not begun:
        click.echo(say("entries.words_lacking", count=words) if begun else say("entries.no_words_yet"))
    click.echo(say("entries.per_cent", language=language, share=progress.per_cent()))
    for lack in progress.lacking[:most]:
        click.echo(f"{lack.kind} {lack.id}: {'.'.join(map(str, lack.path))}: {' '.join(lack.english.split())}")
    if write:
        own = contents_of(place)[0] if place.is_dir() else {}
        made = skeletons_of(entries, own, progress.lacking)
        try:
            write_files(place, made, over=True)
        except OSError as error:
            raise BadInputError(say("entries.unwritten", folder=place, why=why_not(error).lower())) from None
        click.echo(say("entries.skeletons", count=len(made), folder=place), err=True)
