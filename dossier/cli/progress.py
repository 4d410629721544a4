"""A line that says what is going on, how much is done and how long it will take; only on a terminal, only on stderr."""

from __future__ import annotations

import sys
import threading
import time
from types import TracebackType
from typing import Final

_PATIENCE: Final = 1.0  # s without a word
_PERIOD: Final = 0.25  # s between two looks at the clock
_TELLING: Final = 0.05  # of all; before that nobody can say how long the rest will take
_CLEAR: Final = "\r\x1b[K"  # back to the first column, erase to the end of the line (ECMA-48, 8.3.41)


class Progress:
    """Shows ``what`` and the seconds while the body runs, and removes the line afterwards."""

    def __init__(self, what: str, *, quiet: bool = False) -> None:
        self.what, self.share = what, 0.0
        stream = sys.stderr
        self._shown = not quiet and stream is not None and stream.isatty()
        self._done = threading.Event()
        self._thread: threading.Thread | None = None

    def __enter__(self) -> Progress:
        if self._shown:
            self._done.clear()
            self._thread = threading.Thread(target=self._show, daemon=True)
            self._thread.start()
        return self

    def tell(self, what: str, done: float) -> None:
        """Say what is being done now, and how much of all is done (0..1)."""
        self.what, self.share = what, done

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._done.set()
        if self._thread:
            self._thread.join()

    def _show(self) -> None:
        started = time.monotonic()
        drawn = False
        while not self._done.wait(_PERIOD):
            if (seconds := time.monotonic() - started) >= _PATIENCE:
                sys.stderr.write(f"{_CLEAR}{self.what} … {words(seconds, self.share)}")
                sys.stderr.flush()
                drawn = True
        if drawn:
            sys.stderr.write(_CLEAR)
            sys.stderr.flush()


def words(seconds: float, done: float) -> str:
    """How long it took so far, how much of all (0..1) is done, and how long the rest will take at this pace."""
    if done < _TELLING:
        return f"{seconds:.0f} s"
    return f"{seconds:.0f} s, {done:.0%}, about {seconds * (1.0 - done) / done:.0f} s left"
