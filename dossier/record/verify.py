"""Whether a dossier still says what its own parts say: digests, figures computed again, pages set again."""

from __future__ import annotations

import errno
import json
import os
import re
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any, Final

from dossier import scratch
from dossier.assessment.assess import assess
from dossier.assessment.overview import verdict
from dossier.buildfile.attached_files import NOT_THERE
from dossier.buildfile.configuration import read_configuration, with_configuration
from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.frozen import dataclass
from dossier.pages.editions.edition import EDITIONS
from dossier.reader.units import Units
from dossier.reader.wording import languages
from dossier.record.archive import Attachment, digest
from dossier.record.compare import CARRIED, Difference, differences
from dossier.record.confined import confined
from dossier.record.drawn_with import drawn_with
from dossier.record.looks.documents import Look, looks
from dossier.record.masking import is_masked, masked
from dossier.record.opened import Opened
from dossier.record.photos import prepared, with_findings
from dossier.record.restore import CONFIGURATION, RestoreError, files_of, write_files
from dossier.record.results_json import results_json, stored_results
from dossier.record.seal import Seal, part_digest
from dossier.record.streams import HostileError
from dossier.record.write import PROGRAM, Original, compose
from dossier.results.overview import Results
from dossier.style import PAPERS_MM

_BANDS: Final = ("band",)
_PROGRAM: Final = re.compile(r"install-dossier \d{1,4}(\.\d{1,4}){1,3}")  # it is printed
# Why a file is left out (``buildfile.beside``, ``pictures``, ``logo``): what a document says of it is printed again.
_REASON: Final = re.compile(
    r"leads out of the folder of the (build file|file that names it)|is no file|is larger than \d{1,4} MiB|is damaged"
    r"|has \d{1,9} megapixels, at most \d{1,4}|has several pictures in one file|takes more memory than there is"
    r"|is no JPEG, PNG, WebP or TIFF picture|is one too many: all photos have more than \d{1,6} megapixels"
    r"|is also a photo of this record; give it a file of its own"
)
_SYSTEM: Final = frozenset(f"cannot be read: {os.strerror(number)}" for number in errno.errorcode)
Heard = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What was found.

    Attributes:
        made_with, installed: programs.
        edition, paper: of the document, as it says itself; empty when it does not.
        digest: of the parts as they are now, in groups.
        parts_changed: names of attachments that are not what the document was sealed with; with what happened.
        looks: every place that shows, holds or does something else than the document set again.
        figures: every figure that differs.
        problem: why the figures could not be computed again; empty when they could.
        same_bytes: the document as it is set again is the same, byte for byte.
        drawn_otherwise: what draws here in another version than the document says; with both.
        saved: what was done to the file as a whole: appended to, saved again; empty when nothing was.
        compared: whether the document was set again and compared.
    """

    made_with: str
    installed: str
    edition: str
    paper: str
    digest: str
    parts_changed: tuple[str, ...]
    looks: tuple[Look, ...]
    figures: tuple[Difference, ...]
    problem: str
    same_bytes: bool
    drawn_otherwise: tuple[str, ...]
    saved: str
    compared: bool

    @property
    def pages_changed(self) -> tuple[int, ...]:
        """Numbers of pages that look otherwise."""
        return tuple(sorted({one.page for one in self.looks if one.page}))

    @property
    def is_same(self) -> bool:
        """Whether nothing differs; another program with the same figures and the same look is no difference."""
        return self.compared and not (self.parts_changed or self.looks or self.figures or self.problem or self.saved)

    @property
    def other_program(self) -> bool:
        """Whether the document was made with another version than the one installed."""
        return self.made_with != self.installed


def verify(found: Opened, told: Heard = lambda what, done: None) -> Verdict:
    """Check a dossier against itself and against what the installed version computes and sets.

    Args:
        found: the document, opened.
        told: is told what is being done.
    """
    seal = found.seal
    stored = stored_results(found.parts[found.results_name])
    parts_changed = _parts(found)
    problem, figures, again = "", [], b""
    otherwise = _drawn_otherwise(seal)
    if not isinstance(stored, dict):
        problem = "the attached results cannot be read"
    else:
        try:
            again, computed = _again(found, stored, told, strict=not otherwise)
            figures = differences(stored, computed)
        except BuildFileError as error:
            problem = f"the attached build file cannot be computed: {error.diagnostics[0].headline}"
        except RestoreError as error:
            problem = f"the attached build file cannot be computed: {error}"
    same_bytes = bool(again) and again == found.data
    seen: tuple[Look, ...] = ()
    saved, compared = "", same_bytes
    if again and not same_bytes and not parts_changed:
        told("comparing what is seen", 1.0)
        seen, compared = _seen(found.data, again, exact=not otherwise)
        saved = _saved(found.data, again, exact=not otherwise, seen=bool(seen))
    return Verdict(
        made_with=_made_with(found, stored),
        installed=PROGRAM,
        edition=seal.edition if seal else "",
        paper=seal.paper if seal else "",
        digest=current_digest(found),
        parts_changed=parts_changed,
        looks=seen,
        figures=tuple(figures),
        problem=problem,
        same_bytes=same_bytes,
        drawn_otherwise=otherwise,
        saved=saved,
        compared=compared,
    )


def _drawn_otherwise(seal: Seal | None) -> tuple[str, ...]:
    """What draws here in another version than the document says it was drawn with."""
    here, there = drawn_with(), seal.made if seal else {}
    names = dict.fromkeys([*there, *here])
    return tuple(
        f"{name} {there.get(name, 'not stated')}, here {here.get(name, 'not used')}"
        for name in names
        if there.get(name) != here.get(name)
    ) + (() if seal is None or seal.program == PROGRAM else (f"{seal.program}, here {PROGRAM}",))


def _seen(data: bytes, again: bytes, *, exact: bool) -> tuple[tuple[Look, ...], bool]:
    """What looks otherwise, and whether it could be compared to the end."""
    try:
        return confined(lambda: looks(data, again, exact=exact)), True
    except HostileError as why:
        return (Look(0, "", "not compared", f"it {why}"),), False


def _saved(data: bytes, again: bytes, *, exact: bool, seen: bool) -> str:
    """What was done to a file as a whole; another way of packing is none elsewhere, nor where it looks otherwise."""
    ends = data.count(b"%%EOF") - (b"/Linearized" in data[:1024])
    if data.startswith(again) or (ends > 1 and not seen):
        what = "a signature" if b"/ByteRange" in data[data.find(b"%%EOF") :] else "something"
        more = "" if seen else "; nothing that is seen comes from it"
        return f"{what} was appended after it was written{more}"
    return "it was saved again by another program; nothing that is seen is otherwise" if exact and not seen else ""


def _made_with(found: Opened, stored: Any) -> str:
    if found.seal is not None:
        return found.seal.program
    return str(stored.get("program", "unknown"))[:200] if isinstance(stored, dict) else "unknown"


def current_digest(found: Opened) -> str:
    """The digest of the attachments as they are now, in the order the document was sealed in."""
    names = list(found.seal.parts) if found.seal else list(found.parts)
    order = [name for name in names if name in found.parts] + [name for name in found.parts if name not in names]
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


def _again(found: Opened, stored: dict[str, Any], told: Heard, *, strict: bool) -> tuple[bytes, Any]:
    """The document and its results, made again from the attachments in a folder of our own.

    Made elsewhere, it carries the attached results as they are and the name of the program that made it: their last
    digits may differ, and they are part of the digest that it prints.
    """
    with tempfile.TemporaryDirectory(dir=scratch.folder()) as place:
        folder = Path(place)
        write_files(files_of(found), folder)
        build = read_build(folder / PurePosixPath(found.build_name).name)
        compared = stored.get("options") is not None
        results = assess(build, bands=_has_bands(stored), unasked=compared, progress=told)
        if (folder / CONFIGURATION).is_file():
            build = with_configuration(build, read_configuration(folder / CONFIGURATION))
        photos, refused = prepared(build)
        seal = found.seal
        results = _as_recorded(build, with_findings(build, results, refused), stored, seal.edition if seal else "")
        computed = json.loads(results_json(results, build=build.name, program=PROGRAM))
        if seal is None:
            return b"", computed
        known = (set(EDITIONS), set(PAPERS_MM), {one.value for one in Units}, set(languages()))
        named = (seal.edition, seal.paper, seal.units, seal.language)
        if not all(one in all_ for one, all_ in zip(named, known, strict=True)) or not _PROGRAM.fullmatch(seal.program):
            raise RestoreError("the seal names a program, an edition, a paper, units or a language that are not known")
        document = compose(
            build, results, photos, paper="letter" if seal.paper == "letter" else "a4", units=Units(seal.units),
            edition=seal.edition, language=seal.language,
            original=None if strict else Original(seal.program, found.parts[found.results_name]),
        )  # fmt: skip
        if is_masked(build, seal.edition):
            computed = json.loads(results_json(masked(build, results)[1], build=build.name, program=PROGRAM))
        return document, computed


def _as_recorded(build: Build, results: Results, stored: dict[str, Any], edition: str) -> Results:
    """``results`` with what the document says of files that are not attached: only where they lay could it be seen.

    A photo that was left out for privacy is not missed either. What is said is printed: it has to be one of the
    reasons this program gives.
    """
    listed = stored.get("findings")
    said = {
        (code, path): headline
        for one in (listed if isinstance(listed, list) else ())
        if isinstance(one, dict)
        and isinstance(code := one.get("code"), str)
        and isinstance(path := one.get("path"), str)
        and isinstance(headline := one.get("headline"), str)
    }
    every = []
    for one in results.findings:
        headline = said.get((one.code, one.path), "")
        if one.code not in CARRIED or not one.missing:
            every.append(one)
        elif headline or not is_masked(build, edition):
            before = one.headline.removesuffix(NOT_THERE)
            reason = headline.removeprefix(before)
            is_ours = headline.startswith(before) and (_REASON.fullmatch(reason) or reason in _SYSTEM)
            every.append(replace(one, headline=headline) if is_ours else one)
    changed = tuple(every)
    if changed == results.findings:
        return results
    return replace(results, findings=changed, verdict=verdict(build, changed, results.recorded))


def _has_bands(stored: Any) -> bool:
    stack = [stored]
    while stack:
        one = stack.pop()
        if isinstance(one, dict):
            if any(key in _BANDS and value is not None for key, value in one.items()):
                return True
            stack += one.values()
        elif isinstance(one, list):
            stack += one
    return False
