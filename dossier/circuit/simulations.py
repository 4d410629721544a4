"""The simulations of one computation: each played once, and those asked for ahead side by side on several processes.

Played where it is needed, whoever plays it: a result is taken by its question, never by the order in which it came,
so that the bytes of a dossier are the same on one core and on many. Whoever needs a result that another process is
still at plays the next one that nobody has begun. Questions and results are files: no pipe can fill.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from contextvars import ContextVar
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from dossier import scratch
from dossier.circuit.network import Network
from dossier.circuit.programme import Programme
from dossier.circuit.run import Run
from dossier.circuit.settings import Settings
from dossier.circuit.trace import Cycle, Transient

if TYPE_CHECKING:  # imported where processes are started: who plays alone starts sooner
    from multiprocessing.connection import Connection
    from multiprocessing.context import BaseContext
    from multiprocessing.process import BaseProcess

Question = tuple[Network, Programme, Settings]

class Simulations:
    """Those of one computation, played by this process and ``others`` beside it.

    Args:
        others: how many processes to start; where none can be started this one plays alone.
        method: how they start: fork, spawn, or None: as this system does it best. To be called before any thread.
    """

    def __init__(self, others: int = 0, method: str | None = None) -> None:
        self._known: dict[bytes, Transient] = {}
        self._asked: dict[bytes, tuple[int, Question]] = {}
        self._count = 0
        self._helpers: list[tuple[BaseProcess, Connection]] = []
        self._place: Path | None = None
        with contextlib.suppress(OSError, ImportError, ValueError):  # no processes here: alone
            if others > 0:
                import multiprocessing

                self._place = Path(tempfile.mkdtemp(dir=scratch.folder()))
                # where processes can divide they do, and find everything imported
                context = multiprocessing.get_context(method or ("fork" if sys.platform == "linux" else "spawn"))
                for _ in range(others):
                    self._helpers.append(_started(context, self._place))

    @property
    def helped(self) -> bool:
        """Whether anybody plays what is asked for ahead."""
        return bool(self._helpers)

    def ask(self, network: Network, programme: Programme, settings: Settings) -> None:
        """Let another process play this, for its result will be needed."""
        if not self._helpers:
            return
        key = _packed(network, programme, settings)
        if key in self._known or key in self._asked:
            return
        assert self._place is not None  # as long as there are helpers
        number, self._count = self._count, self._count + 1
        self._asked[key] = number, (network, programme, settings)
        made = self._place / f"{number}.new"
        made.write_bytes(key)
        made.rename(self._place / f"{number}.asked")
        for _, connection in self._helpers:
            with contextlib.suppress(OSError):  # it has ended; we play it ourselves
                connection.send(number)

    def result(self, network: Network, programme: Programme, settings: Settings) -> Transient:
        """What comes of this question, played now unless it is known.

        Raises:
            NetworkError, ConvergenceError: see ``transient.simulate``.
        """
        key = _packed(network, programme, settings)
        if key in self._asked:
            self._fetch(key)
        elif key not in self._known:
            self._known[key] = Run(network, programme, settings, None).go()
        return self._known[key]

    def forget(self) -> None:
        """Keep no result, and have nothing played that was asked for; the computation is over."""
        for number, _ in self._asked.values():
            self._claimed(number)
        self._known, self._asked = {}, {}

    def close(self) -> None:
        """End the other processes."""
        for process, _ in self._helpers:
            process.terminate()
        for process, connection in self._helpers:
            process.join()
            connection.close()
        self._helpers = []
        if self._place is not None:
            shutil.rmtree(self._place, ignore_errors=True)

    def _fetch(self, key: bytes) -> None:
        """Wait until a question is answered, and meanwhile play what nobody has begun."""
        from multiprocessing.connection import wait

        if self._claimed(self._asked[key][0]):
            return self._play(key)
        while not self._collected(key):
            free = next((other for other, (n, _) in self._asked.items() if self._claimed(n)), None)
            if free is not None:
                self._play(free)
            elif not all(process.is_alive() for process, _ in self._helpers):
                return self._play(key)  # who had begun it may be gone
            else:
                ready = wait([connection for _, connection in self._helpers], timeout=1.0)
                for connection in (c for _, c in self._helpers if c in ready):
                    with contextlib.suppress(EOFError, OSError):
                        connection.recv()  # that some result is there; which one is seen by its file
        return None

    def _claimed(self, number: int) -> bool:
        assert self._place is not None
        return _claim(self._place, number)

    def _play(self, key: bytes) -> None:
        _, question = self._asked.pop(key)
        self._known[key] = Run(*question, None).go()

    def _collected(self, key: bytes) -> bool:
        """Whether the result has come; an error in the other process is raised here."""
        assert self._place is not None
        number, (network, _, _) = self._asked[key]
        try:
            made = pickle.loads((self._place / f"{number}.done").read_bytes())
        except FileNotFoundError:
            return False
        (self._place / f"{number}.done").unlink()
        del self._asked[key]
        if isinstance(made, Exception):
            raise made
        self._known[key] = _read_only(replace(made, network=network))
        return True


_current: ContextVar[Simulations | None] = ContextVar("simulations", default=None)


@contextlib.contextmanager
def side_by_side(processes: int, method: str | None = None) -> Iterator[Simulations]:
    """Simulations on at most so many processes, this one among them, for the computations within."""
    made = Simulations(processes - 1, method)
    before = _current.set(made)
    try:
        yield made
    finally:
        _current.reset(before)
        made.close()


@contextlib.contextmanager
def each_once() -> Iterator[Simulations]:
    """One computation: within it no simulation is played twice, after it none is kept."""
    found = _current.get()
    made = found or Simulations()
    before = _current.set(made)
    try:
        yield made
    finally:
        _current.reset(before)
        made.forget()


def current() -> Simulations:
    """Those of the computation that is going on; outside of one, such as know nothing."""
    return _current.get() or Simulations()


def _packed(network: Network, programme: Programme, settings: Settings) -> bytes:
    """A question as bytes: the same only for what is the same."""
    return pickle.dumps((network, programme, settings), pickle.HIGHEST_PROTOCOL)


def _claim(place: Path, number: int) -> bool:
    """Take a question on; one process alone can."""
    try:
        (place / f"{number}.asked").rename(place / f"{number}.begun")
    except FileNotFoundError:
        return False
    return True


def _read_only(made: Transient) -> Transient:
    """Arrays lose that on their way from another process."""
    for cycle in (made.volts, made.amps, made.node_volts, made.branch_amps):
        if cycle is not None:
            for field in fields(Cycle):
                getattr(cycle, field.name).setflags(write=False)
    made.t.setflags(write=False)
    made.output.setflags(write=False)
    return made


def _started(context: BaseContext, place: Path) -> tuple[BaseProcess, Connection]:
    ours, theirs = context.Pipe()
    process: BaseProcess = context.Process(  # type: ignore[attr-defined]  # every context has it
        target=_work, args=(theirs, str(place)), daemon=True
    )
    process.start()
    theirs.close()
    return process, ours


def _work(connection: Connection, place: str) -> None:
    """The whole life of another process: Ctrl-C is the parent's to hear; when it ends us, or dies, we end."""
    import multiprocessing
    from multiprocessing.connection import wait

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    parent = multiprocessing.parent_process()
    assert parent is not None
    folder = Path(place)
    try:
        while connection in wait([connection, parent.sentinel]):
            number = connection.recv()
            if not _claim(folder, number):
                continue
            network, programme, settings = pickle.loads((folder / f"{number}.begun").read_bytes())
            made: Transient | Exception
            try:
                made = replace(Run(network, programme, settings, None).go(), network=None)  # type: ignore[arg-type]
            except Exception as problem:  # raised again by who needs the result
                made = problem
            (folder / f"{number}.part").write_bytes(pickle.dumps(made, pickle.HIGHEST_PROTOCOL))
            os.rename(folder / f"{number}.part", folder / f"{number}.done")
            connection.send(number)
    except (EOFError, OSError):
        pass  # the parent is gone, or its folder
