"""The user's configuration file: letterhead, units, paper and edition said once; read as strictly as a build file."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Final

from dossier.buildfile.construct import made
from dossier.buildfile.file_names import check_files
from dossier.buildfile.model import Build
from dossier.buildfile.part import Part
from dossier.buildfile.positions import Positions
from dossier.buildfile.recorded import Configuration
from dossier.buildfile.schema import configuration_schema
from dossier.buildfile.source import BuildFileError, in_order, read_bytes, read_source
from dossier.buildfile.tree import read_tree
from dossier.buildfile.validate import validate

VARIABLE: Final = "DOSSIER_CONFIG"
_NAME: Final = "config.yaml"


def configuration_path(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> FilePath | None:
    """Where the user's configuration lies; None where it is switched off or there is no home to look in.

    ``DOSSIER_CONFIG`` names a file, and switches it off when it is empty. Otherwise it is ``dossier/config.yaml`` in
    ``XDG_CONFIG_HOME``, by default ``~/.config`` (XDG Base Directory Specification 0.8; MEMORY: a relative path there
    is ignored), or in ``APPDATA`` on Windows.

    Args:
        environment: variables; those of the process if None.
        platform: as ``sys.platform``.
    """
    found = os.environ if environment is None else environment
    if VARIABLE in found:
        return FilePath(found[VARIABLE]) if found[VARIABLE] else None
    if platform == "win32":
        folder = found.get("APPDATA", "")
    else:
        folder = found.get("XDG_CONFIG_HOME", "")
        if not os.path.isabs(folder):
            folder = os.path.join(found["HOME"], ".config") if os.path.isabs(found.get("HOME", "")) else ""
    return FilePath(folder, "dossier", _NAME) if folder else None


def configured(named: FilePath | None = None) -> Configuration:
    """The configuration named, else the user's, else an empty one.

    A file that is named, by option or variable, has to be there; the usual one need not.

    Args:
        named: path given with the call.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    path = named or configuration_path()
    if path is None:
        return Configuration()
    if named is None and VARIABLE not in os.environ and not _is_there(path):
        return Configuration()
    return read_configuration(path)


def read_configuration(path: FilePath) -> Configuration:
    """Read a configuration file.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    try:
        text = read_bytes(path)
    except BuildFileError as error:
        raise _called(error) from None
    return read_configuration_text(text, str(path))


def read_configuration_text(text: bytes, file: str) -> Configuration:
    """Read a configuration file that is already in memory; ``file`` is what positions call it.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    try:
        source = read_source(text, file)
        tree = read_tree(source)
        positions = Positions(source, tree.marks)
        checked = validate(tree.data, positions, configuration_schema())
        problems = [*tree.problems, *checked.problems, *check_files(tree.data, positions)]
        if problems:
            raise BuildFileError(in_order(problems, source))
    except BuildFileError as error:
        raise _called(error) from None
    return made(Configuration, Part(tree.data, (), checked.quantities), file=file, text=text)


def with_configuration(build: Build, configuration: Configuration) -> Build:
    """``build`` under the letterhead of the configuration, unless it has a workshop of its own."""
    if configuration.workshop is None or build.kept.workshop is not None or build.record.workshop:
        return build
    return replace(
        build,
        record=replace(build.record, workshop=configuration.workshop.name),
        kept=replace(build.kept, workshop=configuration.workshop),
        configuration=configuration,
    )


def _is_there(path: FilePath) -> bool:
    try:
        return path.exists()
    except OSError:
        return True  # then reading it says why it cannot be read


def _called(error: BuildFileError) -> BuildFileError:
    """The reader's words are about build files; this is another file."""
    words = ("headline", "expected", "fix")
    return BuildFileError(
        tuple(
            replace(one, **{name: getattr(one, name).replace("build file", "configuration file") for name in words})
            for one in error.diagnostics
        )
    )
