"""How the program ends when it is told to stop: quietly, at once, and with nothing half-made left behind.

What would be left behind (a file that is being written, a worker process) is named here by whoever makes it. A signal
then undoes all of it and ends the process, without an exception that code on its way could swallow or print.
"""

from __future__ import annotations

import os

TYPE_CHECKING = False  # as in typing, which takes long to load while nobody watches for signals yet
if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["INTERRUPTED", "forget", "undo_on_signal", "watch_signals"]

INTERRUPTED = 130  # exit code after Ctrl-C: 128 and the number of the signal, as shells count; 143 after SIGTERM

_undone: dict[int, Callable[[], object]] = {}
_number = 0
_watching = 0  # id of the process that watches; the processes it forks do not


def undo_on_signal(action: Callable[[], object]) -> int:
    """Have this done if a signal ends the process; returns the number to `forget` it by. It must not take long."""
    global _number
    _number += 1
    _undone[_number] = action
    return _number


def forget(number: int) -> None:
    """What was named under this number is complete, or undone already."""
    _undone.pop(number, None)


def watch_signals() -> None:
    """Let Ctrl-C, SIGTERM and SIGHUP end this process as this module says; for the program, not for the library."""
    import signal

    global _watching
    _watching = os.getpid()
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:  # nohup stays in force
            signal.signal(number, _end)


def _end(number: int, frame: object) -> None:
    if os.getpid() == _watching:
        for action in reversed(list(_undone.values())):
            try:
                action()
            except Exception:  # the process ends whatever cannot be undone
                continue
    os._exit(128 + number)
