"""Everything a page draws, in order: signs, paths, clips and pictures in points of the page (ISO 32000-1, 8 and 9).

How a document says it (nested forms, names of resources, numbers of fonts, order of a font's codes) does not show in
it; what is not known here is given as it stands.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from dataclasses import replace
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream, String

from dossier.frozen import dataclass
from dossier.record.looks.glyphs import Face
from dossier.record.looks.plain import PACKING, number, numbers, plain
from dossier.record.streams import HostileError, Work

Matrix = tuple[float, float, float, float, float, float]
_UNIT: Final[Matrix] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_DEEPEST: Final = 8
_PAINTS: Final = frozenset({"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"})
_POINTS: Final = {"m": 1, "l": 1, "c": 3, "v": 2, "y": 2, "h": 0}
_COLOURS: Final = {"g": (0, 1), "rg": (0, 3), "k": (0, 4), "G": (1, 1), "RG": (1, 3), "K": (1, 4)}
_SPACES: Final = {1: "/DeviceGray", 3: "/DeviceRGB", 4: "/DeviceCMYK"}
_SET: Final = {
    "J": "cap",
    "j": "join",
    "M": "miter",
    "Tc": "spacing",
    "Tw": "words",
    "TL": "leading",
    "Ts": "rise",
    "Tr": "mode",
}
_FORM: Final = PACKING | {"/Resources", "/BBox", "/Matrix", "/Name", "/Type", "/Subtype", "/FormType"}


@dataclass(frozen=True, slots=True)
class Item:
    """One thing drawn."""

    kind: str  # sign, path, clip, picture, mark or other
    exact: tuple[Any, ...]  # what has to be the same
    points: tuple[float, ...] = ()  # lengths and places [pt]
    fine: tuple[float, ...] = ()  # parts of colours, 0 to 1
    text: str = ""  # what a sign is read as
    data: Callable[[], tuple[Any, bytes]] | None = None  # samples of a picture, as kept: call it


@dataclass(frozen=True, slots=True)
class _State:
    matrix: Matrix = _UNIT
    colours: tuple[Any, Any] = ((("/DeviceGray",), (0.0,)),) * 2  # to fill, to stroke: space and pattern, parts
    width: float = 1.0
    cap: float = 0.0
    join: float = 0.0
    miter: float = 10.0
    dash: tuple[float, ...] = ()
    extra: tuple[Any, ...] = ()
    clip: int = 0
    font: Face | None = None
    size: float = 0.0
    spacing: float = 0.0
    words: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: float = 0.0


def _times(one: Matrix, other: Matrix) -> Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


class Drawing:
    """Draws the pages of one document.

    Args:
        pdf: the document.
        work: what may be done with it.
    """

    def __init__(self, pdf: pikepdf.Pdf, work: Work) -> None:
        self.pdf, self.work = pdf, work
        self._faces: dict[tuple[int, int], Face] = {}

    def page(self, page: Any, resources: Any) -> Iterator[Item]:
        """What a page draws."""
        contents = page.get("/Contents")
        streams = list(contents) if isinstance(contents, Array) else [contents]
        data = b"\n".join(self.work.unpacked(one) for one in streams if isinstance(one, Stream))
        self._clips = 0
        yield from self._run(data, resources, _State(), 0)

    def _run(self, data: bytes, resources: Any, state: _State, depth: int) -> Iterator[Item]:
        if depth > _DEEPEST:
            raise HostileError("holds forms nested deeper than any dossier has")
        stack: list[_State] = []
        path: list[Any] = []
        at: list[float] = []
        clip = ""
        text = line = _UNIT
        for instruction in pikepdf.parse_content_stream(self.pdf.make_stream(data)):
            self.work.step()
            op, given = str(instruction.operator), instruction.operands
            values: list[Any] = [number(one) for one in given]
            plainly = None not in values
            if op == "q":
                stack.append(state)
            elif op == "Q":
                state = stack.pop() if stack else state
            elif op == "cm" and plainly and len(values) == 6:
                state = replace(state, matrix=_times(tuple(values), state.matrix))
            elif op in _POINTS and plainly and len(values) == 2 * _POINTS[op]:
                path.append(op)
                at += self._placed(values, state.matrix)
            elif op == "re" and plainly and len(values) == 4:
                x, y, wide, high = (float(v or 0.0) for v in values)
                path.append(op)
                at += self._placed([x, y, x + wide, y, x + wide, y + high, x, y + high], state.matrix)
            elif op in ("W", "W*"):
                clip = op
            elif op in _PAINTS:
                if path and op != "n":
                    yield self._painted(op, path, at, state)
                if clip:
                    state = yield from self._clipped(clip, path, at, state)
                path, at, clip = [], [], ""
            elif op in _COLOURS and plainly and len(values) == _COLOURS[op][1]:
                place, count = _COLOURS[op]
                state = self._coloured(state, place, ((_SPACES[count],), tuple(values)))
            elif op in ("cs", "CS") and given:
                space = plain(self._resource(resources, "/ColorSpace", given[0]) or given[0], self.work)
                none = (0.0,) * {"/DeviceRGB": 3, "/DeviceCMYK": 4}.get(str(given[0]), 1)
                state = self._coloured(state, int(op == "CS"), ((space,), none))
            elif op in ("sc", "scn", "SC", "SCN"):
                place = int(op.isupper())
                (space, *_), _ = state.colours[place]
                pattern = plain(self._resource(resources, "/Pattern", given[-1]), self.work) if not plainly else None
                kept = tuple(v for v in values if v is not None)
                state = self._coloured(state, place, ((space,) if plainly else (space, pattern), kept))
            elif op == "w" and plainly and values:
                state = replace(state, width=values[0])
            elif op == "d" and len(given) == 2 and isinstance(given[0], Array):
                state = replace(state, dash=tuple(number(one) or 0.0 for one in (*given[0], given[1])))
            elif op in _SET and plainly and len(values) == 1:
                state = replace(state, **{_SET[op]: values[0]})
            elif op == "Tz" and plainly and values:
                state = replace(state, stretch=(values[0] or 0.0) / 100.0)
            elif op == "gs" and given:
                state = self._with_extra(state, self._resource(resources, "/ExtGState", given[0]))
            elif op in ("i", "ri"):
                state = replace(
                    state, extra=(*(one for one in state.extra if one[0] != op), (op, plain(given, self.work)))
                )
            elif op == "BT":
                text = line = _UNIT
            elif op == "ET":
                pass
            elif op == "Tf" and len(given) == 2:
                state = replace(
                    state, font=self._face(self._resource(resources, "/Font", given[0])), size=values[1] or 0.0
                )
            elif op in ("Td", "TD") and plainly and len(values) == 2:
                if op == "TD":
                    state = replace(state, leading=-(values[1] or 0.0))
                text = line = _times((1.0, 0.0, 0.0, 1.0, values[0] or 0.0, values[1] or 0.0), line)
            elif op == "Tm" and plainly and len(values) == 6:
                text = line = tuple(values)
            elif op == "T*":
                text = line = _times((1.0, 0.0, 0.0, 1.0, 0.0, -state.leading), line)
            elif op in ("Tj", "'", '"', "TJ") and given:
                if op in "'\"":
                    if op == '"' and len(values) == 3:
                        state = replace(state, words=values[0] or 0.0, spacing=values[1] or 0.0)
                    text = line = _times((1.0, 0.0, 0.0, 1.0, 0.0, -state.leading), line)
                text = yield from self._shown(given[-1], text, state)
            elif op == "Do" and given:
                yield from self._object(self._resource(resources, "/XObject", given[0]), state, depth)
            elif op in ("BMC", "BDC", "MP", "DP", "EMC"):
                named = given[1] if len(given) > 1 else None
                if isinstance(named, Name):
                    named = self._resource(resources, "/Properties", named)
                yield Item("mark", (op, str(given[0]) if given else "", plain(named, self.work)))
            else:
                yield Item("other", (op, repr(given)[:10_000]))

    @staticmethod
    def _placed(values: list[Any], matrix: Matrix) -> list[float]:
        a, b, c, d, e, f = matrix
        pairs = zip(values[::2], values[1::2], strict=True)
        return [v for x, y in pairs for v in (a * x + c * y + e, b * x + d * y + f)]

    @staticmethod
    def _coloured(state: _State, place: int, colour: Any) -> _State:
        return replace(state, colours=(colour, state.colours[1]) if place == 0 else (state.colours[0], colour))

    def _with_extra(self, state: _State, found: Any) -> _State:
        """A graphics state dictionary: what it sets replaces what was set."""
        said = dict(plain(found, self.work, frozenset({"/Type"}))) if isinstance(found, Dictionary) else {"?": "?"}
        return replace(state, extra=tuple(sorted({**dict(state.extra), **said}.items(), key=lambda item: item[0])))

    @staticmethod
    def _look(
        state: _State, fills: bool, strokes: bool
    ) -> tuple[tuple[Any, ...], tuple[float, ...], tuple[float, ...]]:
        """Everything besides the shape: what is exact, lengths, parts of colours."""
        colours = [colour for colour, used in zip(state.colours, (fills, strokes), strict=True) if used]
        exact = (*(one[0] for one in colours), state.extra, state.clip)
        fine = tuple(float(part) for one in colours for part in one[1])
        if not strokes:
            return exact, (), fine
        a, b, c, d, _, _ = state.matrix
        scale = abs(a * d - b * c) ** 0.5
        lengths = tuple(scale * value for value in (state.width, *state.dash))
        return (*exact, state.cap, state.join, state.miter, len(state.dash)), lengths, fine

    def _painted(self, op: str, path: list[Any], at: list[float], state: _State) -> Item:
        exact, lengths, fine = self._look(state, op not in "Ss", op not in ("f", "F", "f*"))
        return Item("path", (op, *path, exact), (*at, *lengths), fine)

    def _clipped(self, rule: str, path: list[Any], at: list[float], state: _State) -> Generator[Item, None, _State]:
        yield Item("clip", (rule, state.clip, *path), tuple(at))
        self._clips += 1
        return replace(state, clip=self._clips)

    def _face(self, font: Any) -> Face | None:
        if not isinstance(font, Dictionary):
            return None
        if font.objgen == (0, 0) or font.objgen not in self._faces:
            self._faces[font.objgen] = Face(font, self.work)
        return self._faces[font.objgen]

    def _shown(self, given: Any, text: Matrix, state: _State) -> Generator[Item, None, Matrix]:
        exact, lengths, fine = self._look(state, state.mode % 4 in (0, 2), state.mode % 4 in (1, 2))
        for part in given if isinstance(given, Array) else (given,):
            if not isinstance(part, String) or state.font is None:
                move = -(number(part) or 0.0) / 1000.0 * state.size * state.stretch
                text = _times((1.0, 0.0, 0.0, 1.0, move, 0.0), text)
                continue
            for code in state.font.codes(bytes(part)):
                self.work.step()
                sign = state.font.sign(code)
                scale = (state.size * state.stretch, 0.0, 0.0, state.size, 0.0, state.rise)
                points = _times(_times(scale, text), state.matrix)
                yield Item(
                    "sign", (sign.outline, state.font.kind, state.mode, exact), (*points, *lengths), fine, sign.text
                )
                move = sign.width / 1000.0 * state.size + state.spacing
                if code == 32 and not state.font.wide:
                    move += state.words
                text = _times((1.0, 0.0, 0.0, 1.0, move * state.stretch, 0.0), text)
        return text

    def _object(self, found: Any, state: _State, depth: int) -> Iterator[Item]:
        if not isinstance(found, Stream):
            yield Item("other", ("Do", plain(found, self.work)))
        elif found.get("/Subtype") == Name.Form:
            matrix = numbers(found.get("/Matrix"), 6) or _UNIT
            inner = replace(state, matrix=_times(matrix, state.matrix))  # type: ignore[arg-type]
            box = numbers(found.get("/BBox"), 4)
            others = tuple((key, plain(found[key], self.work)) for key in sorted(found.keys()) if key not in _FORM)
            if others or box is None:
                yield Item("other", ("form", *others))
            if box is not None:
                x0, y0, x1, y1 = box
                corners = self._placed([x0, y0, x1, y0, x1, y1, x0, y1], inner.matrix)
                inner = yield from self._clipped("box", ["re"], corners, inner)
            yield from self._run(self.work.unpacked(found), found.get("/Resources"), inner, depth + 1)
        else:
            exact = tuple(
                (key, plain(found[key], self.work)) for key in sorted(found.keys()) if key not in PACKING | {"/Name"}
            )
            yield Item(
                "picture", (exact, self._look(state, True, False)), state.matrix, data=lambda: self._samples(found)
            )

    def _samples(self, found: Any) -> tuple[Any, bytes]:
        return found, self.work.unpacked(found)

    @staticmethod
    def _resource(resources: Any, kind: str, name: Any) -> Any:
        group = resources.get(kind) if isinstance(resources, Dictionary) else None
        return group.get(str(name)) if isinstance(group, (Dictionary, Stream)) and isinstance(name, Name) else None
