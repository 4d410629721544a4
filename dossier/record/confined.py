"""Work on a foreign file in a process of its own, with bounds that the system keeps whatever a library does."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import warnings
from collections.abc import Callable
from typing import Final, TypeVar

from dossier.record.streams import HostileError

MOST_SECONDS: Final = 10  # of processor time
MOST_MEMORY: Final = 420 * 10**6  # bytes beyond what the process has already
_Answer = TypeVar("_Answer")


def confined(work: Callable[[], _Answer]) -> _Answer:
    """What ``work`` gives, or raises; it must be possible to pickle.

    Only Linux has processes that divide and such bounds; elsewhere the work is done here, within its own bounds.

    Raises:
        HostileError: it takes more time or memory than any dossier needs.
    """
    if sys.platform != "linux":
        return work()
    ours, theirs = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # the child takes no lock another thread could hold
        child = os.fork()
    if not child:
        os.close(ours)
        _child(work, theirs)
    os.close(theirs)
    try:
        with os.fdopen(ours, "rb") as pipe:
            said = pipe.read()
    except BaseException:
        os.kill(child, signal.SIGKILL)
        raise
    finally:
        status = os.waitpid(child, 0)[1]
    if not said or status:
        raise HostileError("takes more time or memory than any dossier")
    good, answer = pickle.loads(said)
    if not good:
        raise answer
    return answer  # type: ignore[no-any-return]


def _child(work: Callable[[], object], pipe: int) -> None:
    """The life of the child: never returns."""
    import resource

    code = 1
    try:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        with open("/proc/self/statm", encoding="ascii") as said:
            room = int(said.read().split()[0]) * resource.getpagesize() + MOST_MEMORY
        resource.setrlimit(resource.RLIMIT_AS, (room, resource.getrlimit(resource.RLIMIT_AS)[1]))
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
        try:
            answer: tuple[bool, object] = (True, work())
        except MemoryError:
            answer = (False, HostileError("takes more memory than any dossier"))
        except Exception as error:
            answer = (False, error)
        with os.fdopen(pipe, "wb") as out:
            pickle.dump(answer, out, protocol=5)
        code = 0
    finally:
        os._exit(code)
