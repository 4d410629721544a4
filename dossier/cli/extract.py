"""``dossier extract``: the build file, logs, photos and results of a dossier, back as files."""

from __future__ import annotations

import argparse
from pathlib import Path

from dossier.cli.exit_codes import Exit
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import visible
from dossier.diagnostic import Diagnostic, Severity


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("pdf", metavar="FILE.pdf", type=Path, help="a dossier, any edition")
    parser.add_argument("-o", "--output", metavar="DIR", type=Path, required=True, help="where to; made if missing")
    parser.add_argument("--force", action="store_true", help="overwrite files that are there")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing that is not an error")


def run(arguments: argparse.Namespace) -> int:
    """Run the command: 0 written, 2 not a dossier or something is there already, 3 cannot be written."""
    from dossier.record.files import OutputError
    from dossier.record.opened import NotADossierError, open_dossier
    from dossier.record.restore import RestoreError, files_of, write_files

    path: Path = arguments.pdf
    try:
        files = files_of(open_dossier(path))
        written = write_files(files, arguments.output, overwrite=arguments.force)
    except NotADossierError as why:
        print_diagnostics((Diagnostic("not-a-dossier", Severity.ERROR, f"{path} {why}"),))
        return Exit.UNUSABLE
    except RestoreError as why:
        fix = "choose an empty folder with -o, or overwrite with --force"
        print_diagnostics((Diagnostic("not-extracted", Severity.ERROR, f"{path}: {why}", fix=fix),))
        return Exit.UNUSABLE
    except OutputError as error:
        print_diagnostics((error.diagnostic,))
        return Exit.NOT_WRITTEN
    except OSError as error:
        reason = error.strerror or str(error)
        print_diagnostics((Diagnostic("output-not-written", Severity.ERROR, f"cannot write: {reason}"),))
        return Exit.NOT_WRITTEN
    if not arguments.quiet:
        for file in written:
            print(visible(f"wrote {file}"))
    return Exit.OK
