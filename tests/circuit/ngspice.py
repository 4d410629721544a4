"""Runs a deck in ngspice, the general-purpose circuit simulator, and reads its waveforms."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

Array = NDArray[np.float64]


def required() -> None:
    """Skip without ngspice, with the reason; fail where it has to be there."""
    if shutil.which("ngspice") is None:
        if os.environ.get("DOSSIER_CI"):
            pytest.fail("ngspice is not installed")
        pytest.skip("ngspice is not installed (apt-get install ngspice)")


def stepped(deck: str, seconds: float, reltol: float | None = None) -> str:
    """The deck with another largest step, and another relative tolerance if given."""
    deck = re.sub(r"^\.tran \S+ (\S+).*$", rf".tran {seconds} \1 0 {seconds} uic", deck, flags=re.MULTILINE)
    return deck if reltol is None else re.sub(r"reltol=\S+", f"reltol={reltol}", deck)


def run(deck: str, folder: Path) -> dict[str, Array]:
    """Waveforms by name, ``time`` and ``v(node)`` among them."""
    source, raw = folder / "deck.cir", folder / "deck.raw"
    source.write_text(deck)
    done = subprocess.run(["ngspice", "-b", "-r", str(raw), str(source)], capture_output=True, text=True, timeout=120)
    assert raw.exists(), done.stdout + done.stderr
    head, _, body = raw.read_bytes().partition(b"Binary:\n")
    lines = head.decode().splitlines()
    start = lines.index("Variables:")
    names = [line.split()[1] for line in lines[start + 1 :] if line.strip()]
    table = np.frombuffer(body, dtype=np.float64).reshape(-1, len(names))
    return {name: table[:, k] for k, name in enumerate(names)}


def across(waves: dict[str, Array], p: str, n: str, ground: str = "gnd") -> Array:
    """Voltage from node p to node n."""
    zero = np.zeros(len(waves["time"]))
    return (zero if p == ground else waves[f"v({p})"]) - (zero if n == ground else waves[f"v({n})"])
