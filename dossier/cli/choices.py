"""Units, paper and configuration of a call: the option goes first, then the build file, then the configuration."""

from __future__ import annotations

import argparse
import os
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


def add_jobs(parser: argparse.ArgumentParser, what: str) -> None:
    """Declare ``-j``: the most processes of one command."""
    parser.add_argument(
        "-j", "--jobs", metavar="N", type=_positive, default=_cores(),
        help=f"most processes, {what} (default: the cores there are; 1: this one alone)",
    )


def _cores() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


def _positive(text: str) -> int:
    number = int(text) if text.isdecimal() and len(text) < 9 else 0
    if not 1 <= number <= 256:
        raise argparse.ArgumentTypeError("takes a whole number from 1 to 256")
    return number


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
