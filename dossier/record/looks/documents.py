"""Two documents side by side: every place where one shows, holds or does something else than the other.

Everything that can be reached from the pages and the catalog counts. ``exact`` asks for the same objects, to the last
byte of every stream unpacked; without it pages are compared by what they draw, numbers within a hundredth of a point.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import islice, zip_longest
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

from dossier.frozen import dataclass
from dossier.record.looks.drawing import Drawing, Item
from dossier.record.looks.plain import PACKING, number
from dossier.record.opened import foreign
from dossier.record.pictures import PhotoRefusedError, opened_picture
from dossier.record.streams import HostileError, Work

NEAR: Final = 0.01  # pt
_NEAR_COLOUR: Final = 0.002  # half a step of eight bits
_STEP: Final = 1  # of a picture's samples
MOST: Final = 40  # places named
_INHERITED: Final = ("/Resources", "/MediaBox", "/CropBox", "/Rotate")  # ISO 32000-1, 7.7.3.4
_DRAWN: Final = frozenset({"/Contents", "/Resources", "/Parent", "/Thumb"})
# What a place is called, by a key on the way to it; the first that fits.
_KINDS: Final = (
    ("signature or form field", ("/AcroForm", "/SigFlags", "/Perms", "/DSS")),
    ("action", ("/AA", "/OpenAction", "/JavaScript", "/JS")),
    ("layers", ("/OCProperties", "/OC")),
    ("appearance of an annotation", ("/AP",)),
    ("annotation", ("/Annots",)),
    ("font", ("/Font",)),
    ("page box", ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox", "/ArtBox", "/Rotate", "/UserUnit")),
    ("drawn form or picture", ("/XObject",)),
    ("drawing", ("/Contents", "/Resources")),
    ("structure", ("/StructTreeRoot", "/MarkInfo", "/Lang", "/RoleMap", "/StructParents", "/Tabs")),
    ("bookmark", ("/Outlines",)),
    ("attachment", ("/EmbeddedFiles", "/AF")),
    ("colour profile", ("/OutputIntents",)),
    ("seal", ("/PieceInfo",)),
    ("document information", ("/Metadata", "/Info", "/ViewerPreferences", "/PageLabels", "/PageMode")),
)
_SAID: Final = {
    "sign": "words",
    "path": "drawn shape",
    "clip": "drawn shape",
    "picture": "picture",
    "mark": "structure",
}


@dataclass(frozen=True, slots=True)
class Look:
    """One place that is otherwise."""

    page: int  # number; 0 for the document as a whole
    where: str  # the keys that lead to the object
    kind: str  # what it is
    detail: str = ""  # what stands there and what was set again; may be empty


def looks(found: bytes, fresh: bytes, *, exact: bool) -> tuple[Look, ...]:
    """Every place in which ``found`` is otherwise than ``fresh``, at most ``MOST``; only inside ``confined``.

    Raises:
        HostileError: ``found`` asks for more work than any dossier.
    """
    with foreign(found) as old, Pdf.open(io.BytesIO(fresh)) as new:
        try:
            return tuple(_Pair(old, new, exact).differences())
        except (
            pikepdf.PdfError, RuntimeError, ValueError, TypeError, AttributeError, KeyError, IndexError, AssertionError,
            EOFError, ArithmeticError,
        ) as error:  # fmt: skip
            raise HostileError(f"holds something that cannot be read ({type(error).__name__})") from None


class _Pair:
    def __init__(self, old: Pdf, new: Pdf, exact: bool) -> None:
        self.old, self.new, self.exact = old, new, exact
        self.work, self.ours = Work(), Work()
        self.pages = [{page.obj.objgen: i for i, page in enumerate(pdf.pages, start=1)} for pdf in (old, new)]
        self.seen: set[tuple[Any, Any]] = set()

    def differences(self) -> Iterator[Look]:
        yield from islice(self._all(), MOST)

    def _all(self) -> Iterator[Look]:
        old, new = list(self.old.pages), list(self.new.pages)
        drawings = Drawing(self.old, self.work), Drawing(self.new, self.ours)
        for page, (one, other) in enumerate(zip(old, new, strict=False), start=1):
            inner = [{key: _effective(each.obj, key) for key in _INHERITED} for each in (one, other)]
            if not self.exact:
                yield from _drawn(
                    page,
                    *(d.page(p.obj, i["/Resources"]) for d, p, i in zip(drawings, (one, other), inner, strict=True)),
                )
            for key in _INHERITED[0 if self.exact else 1 :]:
                yield from self._walk(inner[0][key], inner[1][key], page, key)
            skipped = frozenset({"/Parent"}) if self.exact else _DRAWN
            yield from self._walk_keys(one.obj, other.obj, page, "", skipped | set(_INHERITED))
        for page in range(min(len(old), len(new)) + 1, max(len(old), len(new)) + 1):
            yield Look(page, "", "page", "is missing" if len(old) < len(new) else "was added")
        without = frozenset() if self.exact else frozenset({"/Pages", "/PieceInfo"})
        yield from self._walk_keys(self.old.Root, self.new.Root, 0, "", without)
        yield from self._walk(self.old.trailer.get("/Info"), self.new.trailer.get("/Info"), 0, "/Info")

    def _walk_keys(self, old: Any, new: Any, page: int, where: str, without: frozenset[str]) -> Iterator[Look]:
        for key in sorted({*old.keys(), *new.keys()} - without):
            yield from self._walk(old.get(key), new.get(key), page, f"{where}{key}")

    def _walk(self, old: Any, new: Any, page: int, start: str) -> Iterator[Look]:
        """Whatever differs from here on; a stack and not a call for each, since lists of siblings are long."""
        stack = [(old, new, start)]
        while stack:
            old, new, where = stack.pop()
            self.work.step()
            homes = [home.get(getattr(one, "objgen", (0, 0))) for one, home in zip((old, new), self.pages, strict=True)]
            if homes != [None, None] and isinstance(old, Dictionary) and isinstance(new, Dictionary):
                if homes[0] != homes[1]:
                    yield _look(page, where, f"leads to page {homes[0]} instead of {homes[1]}")
                continue
            if not _same_kind(old, new):
                yield _look(page, where, "was added" if new is None else "is missing" if old is None else "")
                continue
            if isinstance(old, (Dictionary, Stream, Array)):
                pair = (old.objgen, new.objgen)
                if (0, 0) not in pair:
                    if pair in self.seen:
                        continue
                    self.seen.add(pair)
                if isinstance(old, Array):
                    if len(old) != len(new):
                        yield _look(page, where, f"{len(old)} entries instead of {len(new)}")
                    stack += [
                        (a, b, f"{where}[{i}]") for i, (a, b) in enumerate(zip(list(old), list(new), strict=False))
                    ]
                    continue
                if isinstance(old, Stream) and self.work.unpacked(old) != self.ours.unpacked(new):
                    yield _look(page, where)
                keys = {*old.keys(), *new.keys()} - (PACKING if isinstance(old, Stream) else frozenset())
                stack += [(old.get(key), new.get(key), f"{where}{key}") for key in sorted(keys, reverse=True)]
            elif not self._same(old, new):
                yield _look(page, where, f"{_shown(old)} instead of {_shown(new)}")

    def _same(self, old: Any, new: Any) -> bool:
        one, other = number(old), number(new)
        if one is not None and other is not None:
            return one == other if self.exact else abs(one - other) <= NEAR
        return bytes(old) == bytes(new) if isinstance(old, String) else bool(old == new)


def _same_kind(old: Any, new: Any) -> bool:
    if number(old) is not None and number(new) is not None:
        return True
    kinds = (Stream, Dictionary, Array, Name, String, bool)
    return next((k for k in kinds if isinstance(old, k)), type(old)) is next(
        (k for k in kinds if isinstance(new, k)), type(new)
    )


def _effective(page: Any, key: str) -> Any:
    """An attribute of a page, its own or that of a node above it."""
    for _ in range(64):
        if key in page:
            return page[key]
        page = page.get("/Parent")
        if not isinstance(page, Dictionary):
            return None
    return None


def _look(page: int, where: str, detail: str = "") -> Look:
    keys = set(where.replace("[", "/[").split("/"))
    action = {"Annots", "Outlines"} & keys and {"A"} & keys
    kind = next(
        (kind for kind, marks in _KINDS if any(mark[1:] in keys for mark in marks)), "catalog" if not page else "page"
    )
    return Look(page, where[-160:], "action" if action else kind, detail)


def _shown(value: Any) -> str:
    text = str(value)
    return f"`{text[:60]}`"


def _drawn(page: int, old: Iterator[Item], new: Iterator[Item]) -> Iterator[Look]:
    """The first thing in which two pages differ, and what was read before it."""
    before = ""
    for one, other in zip_longest(old, new):
        if one is None or other is None or not _alike(one, other):
            there, here = (
                item.kind if item and item.kind != "sign" else (item and f"`{item.text}`") or "nothing"
                for item in (one, other)
            )
            kind = _SAID.get((one or other).kind, "drawing")
            if one and other and one.kind == other.kind:
                same = (one.exact == other.exact, one.text == other.text)
                if kind == "words" and same == (False, True):
                    kind = "outline, face or colour of a letter"
                elif kind == "words" and same == (True, True):
                    kind = "place or colour of a letter"
            yield Look(page, "", kind, f"{there} instead of {here}" + (f" after `{before}`" if before.strip() else ""))
            return
        before = (before + one.text)[-24:]


def _alike(one: Item, other: Item) -> bool:
    return (
        one.kind == other.kind
        and one.exact == other.exact
        and one.text == other.text
        and _near(one.points, other.points, NEAR)
        and _near(one.fine, other.fine, _NEAR_COLOUR)
        and (one.data is None or other.data is None or _same_samples(one.data(), other.data()))
    )


def _near(one: tuple[float, ...], other: tuple[float, ...], step: float) -> bool:
    return len(one) == len(other) and all(abs(a - b) <= step for a, b in zip(one, other, strict=True))


def _same_samples(one: tuple[Any, bytes], other: tuple[Any, bytes]) -> bool:
    """Whether two pictures differ by no more than one step anywhere."""
    if one[1] == other[1]:
        return True
    from PIL import Image, ImageChops

    flat = []
    for stream, data in (one, other):
        if "/DCTDecode" not in str(stream.get("/Filter")):
            flat.append(data)
            continue
        try:
            with opened_picture(data, len(data)) as image:
                if image.format != "JPEG" or image.size != (int(stream.Width), int(stream.Height)):
                    return False
                flat.append(image.convert("RGB").tobytes())
        except PhotoRefusedError:
            return False
    if len(flat[0]) != len(flat[1]) or not flat[0]:
        return False
    pictures = [Image.frombytes("L", (len(data), 1), data) for data in flat]
    return ImageChops.difference(*pictures).getextrema()[1] <= _STEP  # type: ignore[operator]
