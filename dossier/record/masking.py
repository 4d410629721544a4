"""Who it is, left out: plate, vehicle number, customer and receiver, in build file, results and photos alike."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any, Final

import yaml

from dossier.assessment.proof.recorded import recorded
from dossier.buildfile.configuration import with_configuration
from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.recorded import Region
from dossier.reader.said import Said
from dossier.record.photos import as_jpeg
from dossier.results.overview import Results
from dossier.results.pictures import Picture

MASK: Final = "masked"
_BLOCK: Final = 16  # pixels: what a JPEG with halved colour packs together; a block that is all black stays so
_SHORT: Final = 4  # signs below which a word is too common to be sought everywhere
_ID: Final = re.compile(r"[a-z][a-z0-9_]*")
_ASKED: Final = (("record", "identity", "plate"), ("record", "identity", "vehicle_number"), ("record", "customer"))


def is_masked(build: Build, edition: str) -> bool:
    """Whether this edition leaves out who it is."""
    return edition == "inspector" and build.kept.identity.masked


def masked(build: Build, results: Results) -> tuple[Build, Results]:
    """The same without plate, vehicle number, customer and receiver, wherever the build file names them.

    The fields themselves are masked, and so are their words in notes, captions, titles and comments. Build and
    results come back unchanged where the build file does not ask for it.
    """
    if not build.kept.identity.masked:
        return build, results
    hidden, pattern = _hidden(build)
    if pattern is not None:
        results = _rewritten(results, lambda words: pattern.sub(MASK, words))
    fed = {one.id: one.feed for one in results.recorded.sound if one.feed}
    ripples = results.recorded.ripples
    rows = recorded(
        hidden, results.load_cases, results.schedule, results.amplifiers, results.energy_sources, fed, ripples
    )
    return hidden, replace(results, recorded=rows)


def masked_build(build: Build) -> Build:
    """The build alone, masked."""
    return _hidden(build)[0]


def _hidden(build: Build) -> tuple[Build, re.Pattern[str] | None]:
    """The masked build, and what finds the words that were masked in other texts."""
    kept = build.kept
    receiver = kept.handover.to if kept.handover is not None else ""
    paths = [*_ASKED, *([("people", receiver, "name")] if receiver else [])]
    text = build.text.decode("utf-8-sig")
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    nodes = [node for path in paths if (node := _node(root, path)) is not None]
    for node in sorted(nodes, key=lambda one: -int(one.start_mark.index)):
        start, end = node.start_mark.index, node.end_mark.index
        # Lines stay where they are, since findings name them.
        text = text[:start] + MASK + "\n" * text[start:end].count("\n") + text[end:]
    pattern = _sought(str(node.value) for node in nodes)
    hidden = _read_again(build, text, pattern)
    if build.configuration:
        hidden = with_configuration(hidden, build.configuration)
    return hidden, pattern


def _read_again(build: Build, text: str, pattern: re.Pattern[str] | None) -> Build:
    file = next(iter(build.places.values())).file
    if pattern is not None and (everywhere := pattern.sub(MASK, text)) != text:
        try:
            return read_build_text(everywhere.encode(), build.name, file)
        except BuildFileError:
            pass  # the word was part of something else: only its own field is masked
    return read_build_text(text.encode(), build.name, file)


def _sought(words: Iterable[str]) -> re.Pattern[str] | None:
    """Finds the words wherever they stand by themselves, in capitals or not; not what may be a name in the file."""
    known = {" ".join(word.split()) for word in words}
    known = {word for word in known if len(word) >= _SHORT and not _ID.fullmatch(word) and not word.isdigit()}
    if not known:
        return None
    every = "|".join(re.escape(word).replace(r"\ ", r"[ \t]+") for word in sorted(known, key=len, reverse=True))
    return re.compile(rf"(?<!\w)(?:{every})(?!\w)", re.IGNORECASE)


def _node(root: Any, path: tuple[str, ...]) -> Any:
    """The scalar at ``path``, or None."""
    for key in path:
        if not isinstance(root, yaml.MappingNode):
            return None
        root = next((value for name, value in root.value if name.value == key), None)
    return root


def _rewritten(thing: Any, change: Callable[[str], str]) -> Any:
    """``thing`` with every text in it changed; what has none in it is itself."""
    kind = type(thing)
    if kind is str:
        return change(thing)
    if kind is Said:
        return Said(change(thing), metric=change(thing.metric), us=change(thing.us))
    if kind in (int, float, bool, bytes, type(None)):
        return thing
    if is_dataclass(kind):
        old = {name: getattr(thing, name) for name in _names(kind)}
        changed = {name: new for name, one in old.items() if (new := _rewritten(one, change)) is not one}
        return replace(thing, **changed) if changed else thing
    if kind is tuple:
        if thing and type(thing[0]) is float:
            return thing  # a trace
        items = tuple([_rewritten(one, change) for one in thing])
        return items if any(new is not one for new, one in zip(items, thing, strict=True)) else thing
    if isinstance(thing, Mapping):
        return MappingProxyType({key: _rewritten(one, change) for key, one in thing.items()})
    return thing


@cache
def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind) if one.init)


def masked_pictures(build: Build, pictures: Iterable[Picture]) -> tuple[Picture, ...]:
    """The pictures an edition may show that leaves out who it is: private ones left out, regions black.

    Args:
        build: already masked; its captions are taken.
        pictures: as prepared.
    """
    made = []
    for one in pictures:
        photo = build.kept.photos.get(one.id)
        if photo is None:  # the logo
            made.append(one)
        elif not photo.private:
            made.append(_blackened(replace(one, caption=photo.caption), photo.mask))
    return tuple(made)


def _blackened(picture: Picture, regions: tuple[Region, ...]) -> Picture:
    """The picture with its regions black, packed anew; one whose regions are black already is itself."""
    from PIL import Image

    boxes = [_box(one, picture.size) for one in regions]
    if not boxes:
        return picture
    with Image.open(io.BytesIO(picture.data)) as image:
        image.draft("L", image.size)  # brightness as it is packed, without a neighbour's colour
        if all(image.convert("L").crop(box).getextrema() == (0, 0) for box in boxes):
            return picture
    with Image.open(io.BytesIO(picture.data)) as image:
        drawn = image.convert("RGB")
    for box in boxes:
        drawn.paste((0, 0, 0), box)
    return replace(picture, data=as_jpeg(drawn))


def _box(region: Region, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Left, top, right, bottom in pixels: whole blocks, always outwards."""
    wide, high = size
    starts = [int(part * full) // _BLOCK * _BLOCK for part, full in ((region.left, wide), (region.top, high))]
    ends = [
        min(full, -(-int(part * full + 1) // _BLOCK) * _BLOCK)
        for part, full in ((region.right, wide), (region.bottom, high))
    ]
    return starts[0], starts[1], ends[0], ends[1]
