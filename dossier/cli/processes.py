"""Several builds side by side: so many processes, each with one build at a time, results in the order asked for.

Not a pool of the library: a build that takes its process down with it (out of memory) is reported and stops no other.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from types import FrameType
from typing import NoReturn

from dossier import scratch
from dossier.cli.one_build import Request, Written, failed, load, not_written, write_one


def write_all(
    paths: Sequence[Path], request: Request, jobs: int, progress: Callable[[str, float], None] | None = None
) -> Iterator[Written]:
    """What came of every build, in the order of ``paths``, each as soon as it and those before it are done.

    Args:
        paths: the build files.
        request: what is asked for.
        jobs: most processes.
        progress: told what is being done, and how much of one build is (0..1), where this process writes them.
    """
    if jobs == 1 or len(paths) == 1:
        for path in paths:
            yield _guarded(path, request, progress)
        return
    # Where processes can divide, they divide after everything is imported; elsewhere each imports for itself.
    divides = sys.platform == "linux"
    context: BaseContext = multiprocessing.get_context("fork" if divides else "spawn")
    if divides:
        load()
    workers = [_Worker(context, request) for _ in range(min(jobs, len(paths)))]
    done: dict[int, Written] = {}
    waiting = iter(enumerate(paths))
    try:
        for worker in workers:
            worker.take(*next(waiting))
        for number in range(len(paths)):
            while number not in done:
                ready = wait([worker.connection for worker in workers if worker.path is not None])
                for worker in [w for w in workers if w.connection in ready]:
                    done[worker.number] = worker.result()
                    if following := next(waiting, None):
                        worker.take(*following)
            yield done.pop(number)
    finally:
        for worker in workers:
            worker.process.terminate()
        for worker in workers:
            worker.process.join()


class _Worker:
    """A process that writes one build after another, so that what one has loaded serves the next."""

    def __init__(self, context: BaseContext, request: Request) -> None:
        self.context, self.request = context, request
        self.number = -1
        self.path: Path | None = None  # what it writes at the moment
        self._start()

    def _start(self) -> None:
        self.connection, theirs = self.context.Pipe()
        self.process: BaseProcess = self.context.Process(  # type: ignore[attr-defined]  # every context has it
            target=_work, args=(theirs, self.request), daemon=True
        )
        self.process.start()
        theirs.close()

    def take(self, number: int, path: Path) -> None:
        """Begin a build; a process that is dead is followed by a new one."""
        self.number, self.path = number, path
        try:
            self.connection.send(path)
        except OSError:
            self._start()
            self.connection.send(path)

    def result(self) -> Written:
        """What came of the build; one that took its process down with it is reported."""
        path, self.path = self.path, None
        assert path is not None  # only those at work are asked
        try:
            result = self.connection.recv()
            assert isinstance(result, Written)
        except (EOFError, ConnectionResetError):
            self.process.join()
            result = failed(path, RuntimeError(f"its process ended with exit code {self.process.exitcode}"))
            self.connection.close()
        return result


def _guarded(path: Path, request: Request, progress: Callable[[str, float], None] | None = None) -> Written:
    try:
        return write_one(path, request, progress)
    except (OSError, MemoryError) as problem:  # the surroundings, not the program
        return not_written(path, problem)
    except Exception as problem:  # one broken build does not stop the others
        if os.environ.get("DOSSIER_TRACEBACK"):
            raise
        return failed(path, problem)


def _work(connection: Connection, request: Request) -> None:
    """The whole life of a process: Ctrl-C is the parent's to hear; when it ends us, or dies, we clean up."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _end)
    parent = multiprocessing.parent_process()
    assert parent is not None
    try:
        while connection in wait([connection, parent.sentinel]):
            connection.send(_guarded(connection.recv(), request))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        pass  # the parent is gone
    finally:
        scratch.remove()


def _end(_number: int, _frame: FrameType | None) -> NoReturn:
    raise SystemExit(130)
