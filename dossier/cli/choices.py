"""Units, paper and configuration of a call: the option goes first, then the build file, then the configuration."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Literal

from dossier.buildfile.configuration import configured
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import Configuration
from dossier.reader.units import Units


def add_units(parser: argparse.ArgumentParser) -> None:
    """Declare ``--units`` and ``--config``."""
    parser.add_argument(
        "--units", choices=[one.value for one in Units],
        help="units of the reader (default: those of the build file or the configuration, else metric)",
    )
    parser.add_argument(
        "--config", metavar="FILE", type=Path,
        help="configuration file instead of the user's own; DOSSIER_CONFIG does the same, empty it switches it off",
    )


def configuration_of(arguments: argparse.Namespace) -> Configuration:
    """The configuration of a call.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    named: Path | None = arguments.config
    return configured(named)


def units_of(build: Build, configuration: Configuration, asked: str | None) -> Units:
    """Whose units are used."""
    return Units(asked or build.record.units or configuration.units or Units.METRIC.value)


def paper_of(build: Build, configuration: Configuration, asked: str | None) -> Literal["a4", "letter"]:
    """Which paper is used."""
    return "letter" if (asked or build.record.paper or configuration.paper) == "letter" else "a4"
