"""The voltage log of the demo van is what ngspice gives, and the program can read it."""

from __future__ import annotations

import demo_log
import ngspice
import numpy as np
import pytest

from dossier.buildfile.logs.read import read_log


@pytest.mark.long
@pytest.mark.independent
def test_the_log_can_be_made_again() -> None:
    """Every channel of the log lies within 5 mV, or 0.5 A, of the one made now."""
    ngspice.required()
    kept, again = (read_log(text.encode(), "log") for text in (demo_log.LOG.read_text(), demo_log.as_csv()))
    assert [c.name for c in kept.columns] == [c.name for c in again.columns]
    for old, new in zip(kept.columns, again.columns, strict=True):
        most = 0.5 if old.kind == "current" else 0.005
        assert np.abs(np.array(old.values) - np.array(new.values)).max() < most, old.name
