"""Several builds side by side: one process each, at most so many at a time, results in the order asked for.

Not a pool: a build that takes its process down with it (out of memory) is reported and stops no other.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from types import FrameType
from typing import NoReturn

from dossier import scratch
from dossier.cli.one_build import Request, Written, failed, load, not_written, write_one


def write_all(paths: Sequence[Path], request: Request, jobs: int) -> Iterator[Written]:
    """What came of every build, in the order of ``paths``, each as soon as it and those before it are done.

    Args:
        paths: the build files.
        request: what is asked for.
        jobs: most processes at a time.
    """
    if jobs == 1 or len(paths) == 1:
        for path in paths:
            yield _guarded(path, request)
        return
    # Where processes can divide, they divide after everything is imported; elsewhere each imports for itself.
    divides = sys.platform == "linux"
    context: BaseContext = multiprocessing.get_context("fork" if divides else "spawn")
    if divides:
        load()
    running: dict[Connection, tuple[int, BaseProcess]] = {}
    done: dict[int, Written] = {}
    following, shown = 0, 0
    try:
        while shown < len(paths):
            while following < len(paths) and len(running) < jobs:
                receive, send = context.Pipe(duplex=False)
                process: BaseProcess = context.Process(  # type: ignore[attr-defined]  # every context has it
                    target=_work, args=(send, paths[following], request), daemon=True
                )
                process.start()
                send.close()
                running[receive] = (following, process)
                following += 1
            for ready in wait(list(running)):
                assert isinstance(ready, Connection)
                number, process = running.pop(ready)
                done[number] = _received(ready, process, paths[number])
            while shown in done:
                yield done.pop(shown)
                shown += 1
    finally:
        for _, process in running.values():
            process.terminate()
        for _, process in running.values():
            process.join()


def _guarded(path: Path, request: Request) -> Written:
    try:
        return write_one(path, request)
    except OSError as problem:  # the surroundings, not the program
        return not_written(path, problem)
    except Exception as problem:  # one broken build does not stop the others
        if os.environ.get("DOSSIER_TRACEBACK"):
            raise
        return failed(path, problem)


def _work(send: Connection, path: Path, request: Request) -> None:
    """The whole life of a process: Ctrl-C is the parent's to hear; when it ends us, we clean up."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _end)
    try:
        send.send(_guarded(path, request))
        send.close()
    finally:
        scratch.remove()


def _end(_number: int, _frame: FrameType | None) -> NoReturn:
    raise SystemExit(130)


def _received(receive: Connection, process: BaseProcess, path: Path) -> Written:
    try:
        result = receive.recv()
        assert isinstance(result, Written)
    except EOFError:
        process.join()
        result = failed(path, RuntimeError(f"its process ended with exit code {process.exitcode}"))
    receive.close()
    process.join()
    return result
