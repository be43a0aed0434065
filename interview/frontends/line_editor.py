"""The line editor of the terminal: keys, and colour as a second signal; loaded while the first question is read."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.application import Application
from prompt_toolkit.application.current import get_app
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.filters import Condition
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.input.typeahead import clear_typeahead
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.output import ColorDepth, Output
from prompt_toolkit.styles import Style

from engine.foundation.texts import said
from interview.frontends.layout import Line
from interview.frontends.lines import NOTHING_OFFERED, Offer
from interview.frontends.paging import show_paged
from interview.understanding.completing import completions
from interview.understanding.normalize import LONGEST

COLOURS: Mapping[str, str] = {
    "quiet": "#767676",
    "danger": "#d7005f",
    "warning": "#af5f00",
    "caution": "#af5f00",
    "notice": "#5f5fff",
}
"""Colours of the 256 that terminals share, each with a contrast of 4 to 1 at least on black and on white alike.

More than 4.58 to 1 on both is not to be had by any colour. Source: the contrast ratio of WCAG 2.2, section 1.4.3; a
test works it out. The sixteen colours with names are whatever a theme makes of them, so none of them is used.
"""
_BOLD = ("strong", "danger", "warning")
_MENU: Mapping[str, str] = {
    "completion-menu": "noinherit",
    "completion-menu.completion": "noinherit",
    "completion-menu.completion.current": "noinherit reverse",
    "scrollbar.background": "noinherit",
    "scrollbar.button": "noinherit reverse",
}
"""What Tab shows, in the terminal's own two colours."""
_PLAIN_DEPTHS = (ColorDepth.DEPTH_1_BIT, ColorDepth.DEPTH_4_BIT)
"""Here a colour would be one of the sixteen that a theme may have made unreadable, so there is none."""


def style_for(depth: ColorDepth) -> Style:
    """How tones look on a screen with so many colours."""
    coloured = {} if depth in _PLAIN_DEPTHS else COLOURS
    tones = {tone: f"{coloured.get(tone, '')}{' bold' if tone in _BOLD else ''}" for tone in ("strong", *COLOURS)}
    return Style.from_dict({**_MENU, **tones})


_SHORTEST_KEPT = 3


class TerminalLines:
    """A terminal that edits a line. On an empty line `?` or F1 asks for help and `<` goes back."""

    def __init__(self, input: Input | None = None, output: Output | None = None) -> None:
        """Args: the keyboard and the screen; by default the terminal of this process."""
        # The answer to "where is the cursor" comes in among the typed keys on slow lines, and nothing here needs it.
        os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")
        self._session: PromptSession[str] = PromptSession(
            input=input,
            output=output,
            history=_Said(),
            completer=_Offered(lambda: self._offer.words()),
            complete_while_typing=False,
        )
        self._session.style = style_for(self._session.output.get_default_color_depth())
        self._offer = NOTHING_OFFERED

    @property
    def by_key(self) -> bool:
        """Whether single keys are read: they are."""
        return True

    @property
    def width(self) -> int:
        """Columns of the screen now."""
        return self._session.output.get_size().columns

    @property
    def height(self) -> int | None:
        """Rows of the screen now."""
        return self._session.output.get_size().rows

    def write(self, lines: Sequence[Line]) -> None:
        """Show lines above the prompt to come."""
        plain = bool(os.environ.get("NO_COLOR"))
        styles = ("" if plain or line.tone == "plain" else f"class:{line.tone.lower()}" for line in lines)
        parts = [(style, f"{line.text}\n") for style, line in zip(styles, lines, strict=True)]
        print_formatted_text(FormattedText(parts), end="", style=self._session.style, output=self._session.output)

    def forget_keys(self) -> None:
        """Forget what was typed before now: keys that the editor has taken in, and those that the terminal holds."""
        keyboard = self._session.input
        clear_typeahead(keyboard)
        if sys.platform != "win32" and os.isatty(keyboard.fileno()):
            # Late: no such module is on Windows, whose keys wait in the editor alone.
            import termios

            termios.tcflush(keyboard.fileno(), termios.TCIFLUSH)

    def page(self, lines: Sequence[Line]) -> None:
        """Show lines that are more than a screen, through the pager that this machine has."""
        show_paged("\n".join(line.text for line in lines) + "\n")

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = NOTHING_OFFERED, /) -> str:
        """Read one line, or one of the keys `at_once`. Raises EOFError on Ctrl-D and KeyboardInterrupt on Ctrl-C."""
        told, self._offer = False, offer

        def after_render(_: Application[str]) -> None:
            nonlocal told
            if not told:
                told = True
                shown()

        self._session.app.after_render += after_render
        try:
            return self._session.prompt(prompt, key_bindings=_keys(offer))
        finally:
            self._session.app.after_render -= after_render


class _Said(InMemoryHistory):
    """The lines of this process, for the Up key; single keys and what is hardly longer are no lines."""

    def append_string(self, string: str) -> None:
        """Keep a line."""
        if len(string) >= _SHORTEST_KEPT:
            super().append_string(string)


class _Offered(Completer):
    """What Tab completes: the words that the question at hand offers."""

    def __init__(self, words: Callable[[], Sequence[str]]) -> None:
        self._words = words

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        """The words that go on as the line before the cursor ends."""
        del complete_event
        for word, replaced in completions(document.text_before_cursor, self._words()):
            yield Completion(word, start_position=-replaced)


def _keys(offer: Offer) -> KeyBindings:
    """The keys that do something by themselves on an empty line.

    Those that answer at once are the whole reply where nothing stands behind them: what comes in one go, as from a
    clipboard, is a line. Where there are such, Return alone does nothing, as it may come from habit, unless it is said
    to pick a choice.
    """
    keys = KeyBindings()

    @Condition
    def nothing_typed() -> bool:
        return not get_app().current_buffer.text

    @Condition
    def nothing_behind() -> bool:
        return not get_app().key_processor.input_queue

    def reply(word: str) -> Callable[[KeyPressEvent], None]:
        def give(event: KeyPressEvent) -> None:
            # The word stands on the line as if it had been typed, so that what happened can be read afterwards.
            event.current_buffer.text = word
            event.current_buffer.validate_and_handle()

        return give

    # Typed keys come one by one, a paste by the thousand: one at a time each would cost as much as all before it.
    keys.add(Keys.Any, filter=~nothing_behind, save_before=lambda _: False)(_take_all)
    # What looks like a mouse's report is typed or pasted here, as no mouse is asked for.
    keys.add(Keys.Vt100MouseEvent)(lambda _: None)
    words = said("commands.shown")
    for key, name in (("?", "why"), ("f1", "why"), ("<", "back")):
        keys.add(key, filter=nothing_typed)(reply(words[name]))
    for key in offer.at_once:
        keys.add(key, filter=nothing_typed & nothing_behind)(reply(key))
    if offer.at_once and not offer.passes:
        keys.add("enter", filter=nothing_typed)(lambda _: None)
    return keys


def _take_all(event: KeyPressEvent) -> None:
    """Put in all the plain signs that wait at once; of a line that is too long no more than shows that it is."""
    waiting, signs = event.key_processor.input_queue, [event.data]
    while waiting and len(waiting[0].key) == 1:
        signs.append(waiting.popleft().data)
    buffer = event.current_buffer
    typed = "".join(sign for sign in signs if sign.isprintable())
    buffer.insert_text(typed[: max(0, LONGEST + 1 - len(buffer.text))])
