"""Whether a dossier still says what its own parts say: digests, figures computed again, pages set again."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any, Final

from dossier import scratch
from dossier.assessment.assess import assess
from dossier.assessment.overview import verdict
from dossier.buildfile.configuration import read_configuration, with_configuration
from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.pages.editions.edition import EDITIONS
from dossier.reader.units import Units
from dossier.reader.wording import languages
from dossier.record.archive import Attachment, digest
from dossier.record.compare import CARRIED, Difference, differences
from dossier.record.opened import Opened, opened
from dossier.record.photos import prepared, with_findings
from dossier.record.restore import CONFIGURATION, RestoreError, files_of, write_files
from dossier.record.seal import part_digest
from dossier.record.write import PROGRAM, Paper, compose
from dossier.results.overview import Results
from dossier.style import PAPERS_MM

_BANDS: Final = ("band",)
Heard = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found.

    Attributes:
        made_with, installed: programs.
        edition, paper: of the document, as it says itself; empty when it does not.
        digest: of the parts as they are now, in groups.
        parts_changed: names of attachments that are not what the document was sealed with; with what happened.
        pages_changed: numbers of pages that show something else than they were sealed with or than is set again.
        figures: every figure that differs.
        problem: why the figures could not be computed again; empty when they could.
        same_bytes: the document as it is set again is the same, byte for byte.
    """

    made_with: str
    installed: str
    edition: str
    paper: str
    digest: str
    parts_changed: tuple[str, ...]
    pages_changed: tuple[int, ...]
    figures: tuple[Difference, ...]
    problem: str
    same_bytes: bool

    @property
    def is_same(self) -> bool:
        """Whether nothing differs; another program with the same figures is no difference."""
        return not (self.parts_changed or self.pages_changed or self.figures or self.problem)

    @property
    def other_program(self) -> bool:
        """Whether the document was made with another version than the one installed."""
        return self.made_with != self.installed


def verify(found: Opened, told: Heard = lambda what, done: None) -> Verdict:
    """Check a dossier against itself and against what the installed version computes.

    Args:
        found: the document, opened.
        told: is told what is being done.
    """
    seal = found.seal
    stored = _json(found.parts[found.results_name])
    made_with = _made_with(found, stored)
    parts_changed = _parts(found)
    pages = _pages(found)
    problem, figures, again = "", [], b""
    if not isinstance(stored, dict):
        problem = "the attached results cannot be read"
    else:
        try:
            again, computed = _again(found, stored, told)
            figures = differences(stored, computed)
        except (BuildFileError, RestoreError) as error:
            problem = f"the attached build file cannot be computed: {error}"
    same_bytes = bool(again) and again == found.data
    if again and not same_bytes and seal and made_with == PROGRAM and not parts_changed:
        fresh = opened(again).pages
        pages |= {
            number
            for number, page in enumerate(found.pages, start=1)
            if page not in fresh[number - 1 : number]
        }
        pages |= set(range(len(found.pages) + 1, len(fresh) + 1))
    return Verdict(
        made_with=made_with,
        installed=PROGRAM,
        edition=seal.edition if seal else "",
        paper=seal.paper if seal else "",
        digest=current_digest(found),
        parts_changed=parts_changed,
        pages_changed=tuple(sorted(pages)),
        figures=tuple(figures),
        problem=problem,
        same_bytes=same_bytes,
    )


def _made_with(found: Opened, stored: Any) -> str:
    if found.seal is not None:
        return found.seal.program
    return str(stored.get("program", "unknown"))[:200] if isinstance(stored, dict) else "unknown"


def current_digest(found: Opened) -> str:
    """The digest of the attachments as they are now, in the order the document was sealed in."""
    names = list(found.seal.parts) if found.seal else list(found.parts)
    order = [name for name in names if name in found.parts] + [
        name for name in found.parts if name not in names
    ]
    return digest([Attachment(name, found.parts[name], "", "", "") for name in order])


def _parts(found: Opened) -> tuple[str, ...]:
    if found.seal is None:
        return ("the document has no seal: whether an attachment was changed cannot be told",)
    sealed = found.seal.parts
    both = [(name, data) for name, data in found.parts.items() if name in sealed]
    changed = [f"{name}: changed" for name, data in both if part_digest(data) != sealed[name]]
    changed += [f"{name}: added" for name in found.parts if name not in sealed]
    changed += [f"{name}: removed" for name in sealed if name not in found.parts]
    return tuple(changed)


def _pages(found: Opened) -> set[int]:
    if found.seal is None:
        return set()
    sealed, now = found.seal.pages, found.pages
    changed = {
        number for number, (one, other) in enumerate(zip(sealed, now, strict=False), start=1) if one != other
    }
    return changed | set(range(min(len(sealed), len(now)) + 1, max(len(sealed), len(now)) + 1))


def _again(found: Opened, stored: dict[str, Any], told: Heard) -> tuple[bytes, Any]:
    """The document and its results, made again from the attachments in a folder of our own."""
    with tempfile.TemporaryDirectory(dir=scratch.folder()) as place:
        folder = Path(place)
        write_files(files_of(found), folder)
        build = read_build(folder / PurePosixPath(found.build_name).name)
        compared = stored.get("options") is not None
        results = assess(build, bands=_has_bands(stored), unasked=compared, progress=told)
        if (folder / CONFIGURATION).is_file():
            build = with_configuration(build, read_configuration(folder / CONFIGURATION))
        photos, refused = prepared(build)
        results = _as_recorded(build, with_findings(build, results, refused), stored)
        seal = found.seal
        if seal is None:
            from dossier.record.results_json import results_json

            return b"", json.loads(results_json(results, build=build.name, program=PROGRAM))
        known = (set(EDITIONS), set(PAPERS_MM), {one.value for one in Units}, set(languages()))
        named = (seal.edition, seal.paper, seal.units, seal.language)
        if not all(one in all_ for one, all_ in zip(named, known, strict=True)):
            raise RestoreError("the seal names an edition, a paper, units or a language that are not known")
        paper: Paper = "letter" if seal.paper == "letter" else "a4"
        units, language = Units(seal.units), seal.language
        document = compose(build, results, photos, paper=paper, units=units, edition=seal.edition, language=language)
        return document, json.loads(opened(document).parts[found.results_name])


def _as_recorded(build: Build, results: Results, stored: dict[str, Any]) -> Results:
    """``results`` with what the document says of files that are not attached: only where they lay could it be seen.

    A photo that was left out for privacy is not missed either.
    """
    listed = stored.get("findings")
    said = {
        (one.get("code"), one.get("path")): str(one.get("headline", ""))
        for one in (listed if isinstance(listed, list) else ())
        if isinstance(one, dict)
    }
    every = tuple(
        replace(one, headline=said[one.code, one.path]) if one.code in CARRIED else one
        for one in results.findings
        if one.code not in CARRIED or (one.code, one.path) in said
    )
    return results if every == results.findings else replace(results, findings=every, verdict=verdict(build, every))


def _has_bands(stored: Any) -> bool:
    if isinstance(stored, dict):
        return any(
            (key in _BANDS and value is not None) or _has_bands(value) for key, value in stored.items()
        )
    return isinstance(stored, list) and any(_has_bands(one) for one in stored)


def _json(data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        return None
