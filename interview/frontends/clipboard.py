"""Text for the clipboard of whoever sits at a terminal, also at the far end of a connection: the sequence OSC 52."""

from __future__ import annotations

import os
import sys
from base64 import b64encode
from collections.abc import Iterable

from prompt_toolkit.output import create_output

from engine.foundation.plain_text import cleaned

_MOST_BYTES = 6000
"""More than this is not sent: some terminals drop longer sequences without a word. Judgement."""
_BEGIN, _END = "\x1b]52;c;", "\x1b\\"
"""Source: ECMA-48, 8.3.89 and 8.3.143 (OSC, ST); 52 and `c`: the control sequences of xterm (from memory)."""


def has_clipboard() -> bool:
    """Whether the output goes to a terminal that may have one."""
    return sys.stdout.isatty() and os.environ.get("TERM", "") not in ("dumb", "linux")


def put_on_clipboard(lines: Iterable[str]) -> None:
    """Send lines of plain text to the terminal's clipboard, by what knows the terminals of Windows too."""
    output = create_output(stdout=sys.stdout)
    output.write_raw(clipboard_sequence(lines))
    output.flush()


def clipboard_sequence(lines: Iterable[str]) -> str:
    """What puts lines of plain text on the clipboard: signs of base64 between two controls, whatever the lines hold."""
    text = "\n".join(cleaned(line) for line in lines).encode()[:_MOST_BYTES]
    whole = text.decode(errors="ignore").encode()
    return f"{_BEGIN}{b64encode(whole).decode()}{_END}"
