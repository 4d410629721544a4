"""Whether current can flow: every amplifier between the positive and the negative of a source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from dossier.buildfile.names import Path, called, dotted, listed
from dossier.buildfile.positions import Positions
from dossier.buildfile.references import entries
from dossier.buildfile.source import error
from dossier.diagnostic import Diagnostic

_SOURCES = ("supplies", "batteries")
_DEVICES = ("supplies", "batteries", "capacitor_banks", "amplifiers")


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


def check_wiring(tree: Mapping[str, Any], positions: Positions) -> Iterator[Diagnostic]:
    """What is cut off, in words of the build file. Only for a tree without other problems."""
    cables, supplies = entries(tree, "cables").values(), entries(tree, "supplies")
    feeds = [(c["from"], c["to"]) for c in cables if c["role"] == "feed"]
    feeds += [(c["from"], c["to"]) for c in entries(tree, "couplings").values()]
    returns = [(c["from"], c["to"]) for c in cables if c["role"] == "return"]
    # A converter passes power on, and its negative is common to both sides.
    converters = [(s["from"], s["at"]) for s in supplies.values() if s["kind"] == "dc_dc"]
    at = {(section, name): e["at"] for section in _DEVICES for name, e in entries(tree, section).items()}
    own = {
        place
        for (section, name), place in at.items()
        if section in _SOURCES and not (section == "supplies" and supplies[name]["kind"] == "dc_dc")
    }
    # Converters are joined like feeds here: what lies behind one is fed if what lies before it is.
    powered = {place for source in own for place in _fed_from(source, feeds, converters)}
    base = tree["vehicle"].get("base_load", {}).get("at")
    uses: list[tuple[Path, str]] = [(key, place) for key, place in at.items()]
    uses += [(("vehicle", "base_load"), base)] if base else []
    for path, place in uses:
        if place not in powered:
            yield _cut_off(path, place, positions)
        else:
            yield from _no_return(path, place, feeds + converters, returns, at, positions)
    for name, supply in supplies.items():
        if supply["kind"] == "dc_dc" and supply["from"] not in powered:
            yield _cut_off(("supplies", name, "from"), supply["from"], positions)


def _fed_from(start: str, feeds: list[tuple[str, str]], converters: list[tuple[str, str]]) -> set[str]:
    """Locations whose positive a source feeds: both ways over feeds, one way through converters."""
    reached = _joined(start, feeds)
    while True:
        beyond = {out for before, out in converters if before in reached and out not in reached}
        if not beyond:
            return reached
        for place in beyond:
            reached |= _joined(place, feeds)


def _cut_off(path: Path, place: str, positions: Positions) -> Diagnostic:
    return error(
        "no-feed",
        f"no battery or supply feeds {called(path)}: its positive, at `{place}`, is reached from none",
        positions.key(path),
        path=dotted(path),
        expected=f"feed cables or couplings from a source to `{place}`",
        fix=f"add a cable with `role: feed` that ends at `{place}`",
    )


def _no_return(
    path: Path,
    place: str,
    feeds: list[tuple[str, str]],
    returns: list[tuple[str, str]],
    at: Mapping[tuple[str, str], str],
    positions: Positions,
) -> Iterator[Diagnostic]:
    """Whatever is joined by positives must be joined by negatives as well."""
    positives = _joined(place, feeds)
    negatives = _joined(place, returns)
    sources = sorted({there for (section, _), there in at.items() if section in _SOURCES and there in positives})
    missing = [there for there in sources if there not in negatives]
    if missing:
        yield error(
            "no-return",
            f"{called(path)} at `{place}` has no return path to {listed(missing)}",
            positions.key(path),
            path=dotted(path),
            expected=f"return cables, or the body, between the negatives of `{place}` and {listed(missing)}",
            fix=f"add a cable with `role: return` from `{place}`; for the body add `chassis: true`",
        )
