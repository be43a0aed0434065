"""Commands, options and pages of help whose words are looked up when they are shown, and that fit a narrow screen."""

from __future__ import annotations

import re
import shutil
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import click

from engine.foundation.texts import said, say
from interview.command_line.errors import no_such_command
from interview.command_line.placeholders import in_their_words

_MOST_COLUMNS, _LEAST_COLUMNS, _MARGIN = 80, 30, 2
_NARROW, _TERM_COLUMNS = 60, 30
"""On a screen of fewer columns each option stands above its words, and not beside them."""


class _Page(click.Command):
    """A command whose page of help is put together from the words."""

    def said_text(self) -> str:
        """What it does, in paragraphs; one with an indented line is laid out already."""
        return say(f"help.text.{self.name}")

    def shown_examples(self, ctx: click.Context) -> str:
        """What stands at the end of its page of help; empty where nothing does."""
        del ctx
        # Of words that have no field no brace is taken away yet.
        return said("help.examples").get(self.name or "", "").replace("{{", "{").replace("}}", "}")

    def shown_text(self, ctx: click.Context) -> str:
        """What stands on its page of help: what it does."""
        del ctx
        return self.said_text()

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the options and arguments. Raises UsageError for what is none of them."""
        try:
            return super().parse_args(ctx, args)
        except click.BadOptionUsage as error:
            # Without its command a refusal cannot say whether the option takes a value.
            error.ctx = error.ctx or ctx
            raise

    def get_short_help_str(self, limit: int = 45) -> str:
        """What stands beside its name in the list of commands: a sentence that is short enough to stand whole."""
        del limit
        short = said("help.short").get(self.name or "")
        return short or self.said_text().partition(". ")[0]

    def get_help(self, ctx: click.Context) -> str:
        """Its page of help, for the width of this screen."""
        columns = shutil.get_terminal_size().columns
        formatter = click.HelpFormatter(width=max(min(columns, _MOST_COLUMNS), _LEAST_COLUMNS) - _MARGIN)
        self.format_help(ctx, formatter)
        return formatter.getvalue().rstrip("\n")

    def collect_usage_pieces(self, ctx: click.Context) -> list[str]:
        """The parts of the line that shows how it is typed."""
        return [in_their_words(piece) for piece in super().collect_usage_pieces(ctx)]

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write how it is typed, what it does, its options and its examples."""
        pieces = " ".join(self.collect_usage_pieces(ctx))
        formatter.write_usage(ctx.command_path, pieces, prefix=f"{say('help.headings.usage')} ")
        _write(formatter, self.shown_text(ctx))
        self.format_options(ctx, formatter)
        if examples := self.shown_examples(ctx):
            _write(formatter, examples)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write its options, and those of its commands that it may have."""
        helping = self.get_help_option(ctx)
        rows = []
        for param in self.get_params(ctx):
            record = param.get_help_record(ctx)
            if record is None or isinstance(param, click.Argument):
                continue
            shows_help = helping is not None and param.opts == helping.opts
            rows.append((record[0], say("help.show_help")) if shows_help else record)
        with formatter.section(say("help.headings.options")):
            write_rows(formatter, rows)


class SaidCommand(_Page):
    """A command whose help and refusals are in the language in use."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the options and arguments. Raises UsageError where some are left over."""
        if ctx.resilient_parsing:
            return super().parse_args(ctx, args)
        ctx.allow_extra_args = True
        left = super().parse_args(ctx, args)
        if left:
            words = " ".join(left)
            ctx.fail(say("command_line.extra" if len(left) == 1 else "command_line.extra_several", words=words))
        return left


class SaidGroup(_Page, click.Group):
    """A command of commands, its list of them in the language in use."""

    parts: Mapping[str, Sequence[str]] = {}
    """Its commands by what they are for, in the order they are listed in; left out where they are few."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is asked for. Raises UsageError where there is none of that name."""
        if not ctx.resilient_parsing and args[0] not in self.list_commands(ctx):
            ctx.fail(no_such_command(args[0], self.list_commands(ctx), ctx.command_path))
        return super().resolve_command(ctx, args)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write its options and its commands, the commands first."""
        for heading, names in self._by_part(ctx):
            found = [(name, self.get_command(ctx, name)) for name in names]
            rows = [(name, command.get_short_help_str()) for name, command in found if command is not None]
            with formatter.section(heading):
                write_rows(formatter, rows)
        super().format_options(ctx, formatter)

    def _by_part(self, ctx: click.Context) -> Iterator[tuple[str, Sequence[str]]]:
        if not self.parts:
            yield say("help.headings.commands"), self.list_commands(ctx)
        for part, names in self.parts.items():
            yield say(f"help.parts.{part}"), names


class _Said(click.Parameter):
    """What is typed for a command, refused in the language in use."""

    def type_cast_value(self, ctx: click.Context, value: Any) -> Any:
        """The value as its type has it. Raises BadParameter where it is none of its type."""
        try:
            return super().type_cast_value(ctx, value)
        except click.BadParameter as error:
            raise click.BadParameter(_why(self.type, value) or error.message, ctx, self) from error


class SaidArgument(_Said, click.Argument):
    """An argument that is refused in the language in use."""


class SaidOption(_Said, click.Option):
    """An option whose help is looked up when it is shown; `of` names the group of words it is in, if several share it.

    Usually that group is called like the command.
    """

    def __init__(self, *args: Any, of: str = "", **attributes: Any) -> None:
        super().__init__(*args, **attributes)
        self._of = of

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """Its line on a page of help: how it is typed, and what it is for."""
        record = super().get_help_record(ctx)
        if record is None:
            return None
        text = say(f"help.options.{self._of or ctx.command.name}.{self.name}")
        more = [say("help.default", value=self.default)] if self.show_default else []
        if (limits := range_shown(self.type)) is not None:
            more.append(limits)
        return in_their_words(record[0]), f"{text}  [{'; '.join(more)}]" if more else text


def range_shown(kind: object) -> str | None:
    """The limits of a number, such as `30<=x<=200`; None where it has none."""
    if not isinstance(kind, click.IntRange | click.FloatRange):
        return None
    low = "" if kind.min is None else f"{kind.min}<="
    high = "" if kind.max is None else f"<={kind.max}"
    return f"{low}x{high}" if high else f"x>={kind.min}"


def _why(kind: object, value: object) -> str | None:
    """What is wrong with a value, where its type can refuse one."""
    typed = str(value)
    if isinstance(kind, click.Choice):
        return say("command_line.not_one_of", typed=repr(typed), known=", ".join(map(repr, kind.choices)))
    limits = range_shown(kind)
    if limits is None:
        return None
    if re.fullmatch(r"[+-]?[0-9]+" if isinstance(kind, click.IntRange) else r"[+-]?[0-9.]+", typed):
        return say("command_line.not_in_range", typed=typed, limits=limits)
    whole = isinstance(kind, click.IntRange)
    return say("command_line.no_whole_number" if whole else "command_line.no_number", typed=repr(typed))


def _write(formatter: click.HelpFormatter, text: str) -> None:
    """Write paragraphs; those that are laid out already line by line, folded only where the screen is too narrow."""
    formatter.write_paragraph()
    with formatter.indentation():
        # A line that is laid out already may go to the edge of the screen.
        width = formatter.width + _MARGIN - formatter.current_indent
        formatter.write_text("\n\n".join(_laid_out(part, width) for part in text.strip("\n").split("\n\n")))


def _laid_out(paragraph: str, width: int) -> str:
    lines = paragraph.splitlines()
    if not any(line.startswith("  ") for line in lines):
        return paragraph
    # This mark of click's keeps the lines of a paragraph as they are.
    return "\n".join(["\b", *(folded for line in lines for folded in _folded(line, width))])


def _folded(line: str, width: int) -> Sequence[str]:
    """A line, and where it is too long its parts: what stands behind a gap below, and a command folded by a stroke."""
    if len(line) <= width:
        return [line]
    indent = " " * (len(line) - len(line.lstrip()))
    deeper = f"{indent}    "
    first, *behind = re.split(r" {3,}", line.strip())
    if first.startswith("brinecall "):
        *folded, last = _wrapped(first, width - 2, indent, deeper)
        parts = [*(f"{part} \\" for part in folded), last]
    else:
        parts = _wrapped(first, width, indent, indent if len(indent) > 2 else deeper)
    return [*parts, *(part for text in behind for part in _wrapped(text, width, deeper, deeper))]


def _wrapped(text: str, width: int, first: str, rest: str) -> list[str]:
    # Words that may be chosen from are parted too where they are longer than a line.
    loose = " ".join(word.replace("|", "| ") if len(rest + word) > width else word for word in text.split())
    parts = textwrap.wrap(
        loose, width, initial_indent=first, subsequent_indent=rest, break_long_words=False, break_on_hyphens=False
    )
    return [part.replace("| ", "|") for part in parts]


def write_rows(formatter: click.HelpFormatter, rows: Sequence[tuple[str, str]]) -> None:
    """Write rows of a term and what it means, beside each other or, where the screen is narrow, below."""
    formatter.write_dl(rows, col_max=_TERM_COLUMNS if formatter.width >= _NARROW else 2)
