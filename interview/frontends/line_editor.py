"""The line editor of the terminal: keys, and colour as a second signal; loaded while the first question is read."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence

from prompt_toolkit import PromptSession, print_formatted_text
from prompt_toolkit.application import Application
from prompt_toolkit.application.current import get_app
from prompt_toolkit.filters import Condition
from prompt_toolkit.formatted_text import FormattedText
from prompt_toolkit.history import DummyHistory
from prompt_toolkit.input import Input
from prompt_toolkit.input.typeahead import clear_typeahead
from prompt_toolkit.key_binding import KeyBindings, KeyPressEvent
from prompt_toolkit.keys import Keys
from prompt_toolkit.output import Output
from prompt_toolkit.styles import Style

from engine.foundation.texts import said
from interview.frontends.layout import Line
from interview.understanding.normalize import LONGEST

_STYLE = Style.from_dict(
    {
        "quiet": "ansibrightblack",
        "strong": "bold",
        "danger": "ansired bold",
        "warning": "ansiyellow bold",
        "caution": "ansiyellow",
        "notice": "ansiblue",
    }
)


class TerminalLines:
    """A terminal that edits a line. On an empty line `?` or F1 asks for help and `<` goes back."""

    def __init__(self, input: Input | None = None, output: Output | None = None) -> None:
        """Args: the keyboard and the screen; by default the terminal of this process."""
        # The answer to "where is the cursor" comes in among the typed keys on slow lines, and nothing here needs it.
        os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")
        self._session: PromptSession[str] = PromptSession(
            input=input,
            output=output,
            history=DummyHistory(),
        )

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
        print_formatted_text(FormattedText(parts), end="", style=_STYLE, output=self._session.output)

    def forget_keys(self) -> None:
        """Forget what was typed before now: keys that the editor has taken in, and those that the terminal holds."""
        keyboard = self._session.input
        clear_typeahead(keyboard)
        if sys.platform != "win32" and os.isatty(keyboard.fileno()):
            # Late: no such module is on Windows, whose keys wait in the editor alone.
            import termios

            termios.tcflush(keyboard.fileno(), termios.TCIFLUSH)

    def read(self, prompt: str, shown: Callable[[], None], at_once: str = "", /) -> str:
        """Read one line, or one of the keys `at_once`. Raises EOFError on Ctrl-D and KeyboardInterrupt on Ctrl-C."""
        told = False

        def after_render(_: Application[str]) -> None:
            nonlocal told
            if not told:
                told = True
                shown()

        self._session.app.after_render += after_render
        try:
            return self._session.prompt(prompt, key_bindings=_keys(at_once))
        finally:
            self._session.app.after_render -= after_render


def _keys(at_once: str) -> KeyBindings:
    """The keys that do something by themselves on an empty line.

    Args: `at_once`, those that are the whole reply where nothing stands behind them: what comes in one go, as from a
    clipboard, is a line. Where there are such, Return alone does nothing, as it may come from habit.
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
    for key in at_once:
        keys.add(key, filter=nothing_typed & nothing_behind)(reply(key))
    if at_once:
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
