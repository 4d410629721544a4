"""No environment variable reaches the paper."""

from __future__ import annotations

import os
import subprocess
import sys

SHOW = (
    "import dossier.pdf; from reportlab import rl_config as c;"
    "print(c.useA85, c.pageCompression, c.ttfAsciiReadable)"
)


def test_environment_settings_of_the_layout_library_are_undone() -> None:
    """RL_ variables that would change the bytes are overruled in code."""
    environment = {
        **os.environ,
        "RL_useA85": "1",
        "RL_pageCompression": "0",
        "RL_ttfAsciiReadable": "1",
        "RL_invariant": "0",
    }
    done = subprocess.run([sys.executable, "-c", SHOW], capture_output=True, text=True, env=environment, check=True)
    assert done.stdout.split() == ["0", "1", "0"]
