"""Whether current can flow: every device between the positive and the negative of a source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from dossier.buildfile.names import Path, called
from dossier.buildfile.positions import Positions
from dossier.buildfile.references import entries
from dossier.diagnostic import Diagnostic
from dossier.frozen import dataclass

_SECTIONS = ("amplifiers", "batteries", "supplies", "capacitor_banks")
Links = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class _Device:
    """Something that needs both poles: where it is, and whether it delivers by itself."""

    path: Path
    at: str
    source: bool

    @property
    def name(self) -> str:
        return f"{called(self.path)} at `{self.at}`"


def check_wiring(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    """What is cut off, in words of the build file. Only for a tree without other problems."""
    cables = entries(tree, "cables").values()
    supplies = entries(tree, "supplies")
    feeds = [_ends(c) for c in cables if c["role"] == "feed"]
    feeds += [_ends(c) for c in entries(tree, "couplings").values()]
    returns = [_ends(c) for c in cables if c["role"] == "return"]
    converters = {name: s for name, s in supplies.items() if s["kind"] == "dc_dc"}
    links = [(s["from"], s["at"]) for s in converters.values()]
    devices = list(_devices(tree, set(converters)))
    powered = {place for d in devices if d.source for place in _fed_from(d.at, feeds, links)}
    cut_off = [(d.path, d.at) for d in devices if d.at not in powered]
    cut_off += [(("supplies", n, "from"), s["from"]) for n, s in converters.items() if s["from"] not in powered]
    for path, place in cut_off:
        yield _no_feed(path, place, positions)
    used = {d.at for d in devices if d.path[0] != "supplies"} | {before for before, _ in links}
    for name, supply in supplies.items():
        if not used & _joined(supply["at"], feeds):
            yield _feeds_nothing(("supplies", name), supply["at"], positions)
    fed = [d for d in devices if d.at in powered]
    while fed:
        # A converter's negative is common to both sides: what it joins must share a return as well.
        together = _joined(fed[0].at, feeds + links)
        yield from _no_return([d for d in fed if d.at in together], returns, positions)
        fed = [d for d in fed if d.at not in together]


def _ends(entry: Mapping[str, Any]) -> tuple[str, str]:
    return entry["from"], entry["to"]


def _devices(tree: Mapping[str, Any], converters: set[str]) -> Iterator[_Device]:
    for section in _SECTIONS:
        for name, entry in entries(tree, section).items():
            source = section == "batteries" or (section == "supplies" and name not in converters)
            yield _Device((section, name), entry["at"], source)
    if place := tree["vehicle"].get("base_load", {}).get("at"):
        yield _Device(("vehicle", "base_load"), place, False)
    if place := tree["vehicle"].get("starter_at"):
        yield _Device(("vehicle", "starter_at"), place, False)


def _joined(start: str, links: Iterable[tuple[str, str]]) -> set[str]:
    """Every location that can be reached from ``start`` over links, in either direction."""
    neighbours: dict[str, set[str]] = {}
    for one, other in links:
        neighbours.setdefault(one, set()).add(other)
        neighbours.setdefault(other, set()).add(one)
    reached, open_ends = {start}, [start]
    while open_ends:
        for place in neighbours.get(open_ends.pop(), ()):
            if place not in reached:
                reached.add(place)
                open_ends.append(place)
    return reached


def _fed_from(start: str, feeds: Links, converters: Links) -> set[str]:
    """Locations whose positive a source feeds: both ways over feeds, one way through converters."""
    reached = _joined(start, feeds)
    while beyond := {out for before, out in converters if before in reached and out not in reached}:
        for place in beyond:
            reached |= _joined(place, feeds)
    return reached


def _no_feed(path: Path, place: str, positions: Positions) -> Diagnostic:
    return positions.wrong_key(
        "no-feed",
        path,
        f"nothing feeds {called(path)}: no battery or supply reaches the positive of `{place}`",
        f"feed cables or couplings from a source to `{place}`",
        f"add a cable with `role: feed` that ends at `{place}`",
    )


def _feeds_nothing(path: Path, place: str, positions: Positions) -> Diagnostic:
    return positions.wrong(
        "feeds-nothing",
        (*path, "at"),
        f"{called(path)} feeds nothing: no battery, amplifier or load is joined to the positive of `{place}`",
        f"a feed cable from `{place}` to what it charges",
        f"add a cable with `role: feed` that begins at `{place}`, or correct `at`",
    )


def _no_return(devices: list[_Device], returns: Links, positions: Positions) -> Iterator[Diagnostic]:
    """Devices whose positives are joined need joined negatives; one complaint for each group left out."""
    groups: list[list[_Device]] = []
    rest = devices
    while rest:
        reached = _joined(rest[0].at, returns)
        groups.append([d for d in rest if d.at in reached])
        rest = [d for d in rest if d.at not in reached]
    groups.sort(key=len, reverse=True)
    main = next((group for group in groups if any(d.source for d in group)), groups[0])
    source = next((d for d in main if d.source), main[0])
    for group in groups:
        if group is main:
            continue
        first, *others = group
        also = f"; nor has {', '.join(d.name for d in others)}" if others else ""
        yield positions.wrong_key(
            "no-return",
            first.path,
            f"{first.name} has no return path to {source.name}, though its positive is joined to it{also}",
            f"return cables, or the body, between the negatives of `{first.at}` and `{source.at}`",
            f"add a cable with `role: return` from `{first.at}`; for the body add `chassis: true`",
        )
