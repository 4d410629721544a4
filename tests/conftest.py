"""What holds for every test."""

from __future__ import annotations

import os

os.environ["DOSSIER_CONFIG"] = ""  # no test reads the configuration of the person who runs it
