"""What holds for every test."""

from __future__ import annotations

import atexit
import os
import shutil
import signal
import tempfile
from collections import Counter

import pytest

os.environ["DOSSIER_CONFIG"] = ""  # no test reads the configuration of the person who runs it

# One thread of linear algebra, as the command line has it: the networks are small, and threads of the library only
# wait for each other, most of all beside other test processes.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

# Where Python may write no bytecode beside the sources, the programs that tests start share what is compiled elsewhere:
# compiling all of it takes longer than most of what they do. The processes of a parallel run inherit it.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="dossier-tests-")
    atexit.register(shutil.rmtree, os.environ["PYTHONPYCACHEPREFIX"], ignore_errors=True)

# In the background of a shell Ctrl-C is not heard, and what a test starts would not hear it either.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Of a sweep every so many-th case belongs to the plain tests, and all the others to the long ones."""
    met: Counter[str] = Counter()
    for item in items:
        sweep, name = item.get_closest_marker("sweep"), item.nodeid.partition("[")[0]
        if sweep is not None:
            if met[name] % sweep.args[0]:
                item.add_marker(pytest.mark.long)
            met[name] += 1
