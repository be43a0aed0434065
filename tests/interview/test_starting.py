"""The first moments of the program."""

from __future__ import annotations

import importlib
import signal
import sys
import types

import pytest


def test_until_all_is_imported_ctrl_c_ends_the_process_without_a_word(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[object] = []

    class Imported(types.ModuleType):
        def __getattr__(self, name: str) -> object:
            if name == "main":
                seen.append(signal.getsignal(signal.SIGINT))
                return lambda: 0
            raise AttributeError(name)

    monkeypatch.setitem(sys.modules, "interview.commands.app", Imported("interview.commands.app"))
    monkeypatch.delitem(sys.modules, "interview.__main__", raising=False)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        importlib.import_module("interview.__main__")
        assert seen == [signal.SIG_DFL]
        # Whoever has the program ignore it, as `nohup` and `&` do, is heeded.
        monkeypatch.delitem(sys.modules, "interview.__main__")
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        importlib.import_module("interview.__main__")
        assert seen[1] == signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)
        sys.modules.pop("interview.__main__", None)
