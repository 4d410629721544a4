"""The tags of an installation: one letter and number for every device, conductor and fuse, the same on every page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from dossier.buildfile.model import Build

LETTERS = ("G", "B", "C", "X", "A", "LS", "T", "K", "Q", "W", "F")
BASE_LOAD = "vehicle.base_load"  # the path of what the vehicle itself draws


def tags_of(build: Build) -> Mapping[str, str]:
    """Tag of every dotted path that has one: ``cables.feed`` -> W1, ``cables.feed.fuses.front`` -> F1."""
    counts: Counter[str] = Counter()
    tags = {}
    for letter, path in _tagged(build):
        counts[letter] += 1
        tags[path] = f"{letter}{counts[letter]}"
    return tags


def tag_at(tags: Mapping[str, str], path: str) -> str:
    """Tag of the tagged thing that a path lies in; empty where there is none."""
    parts = path.split(".")
    return next((tags[at] for n in range(len(parts), 0, -1) if (at := ".".join(parts[:n])) in tags), "")


def is_in_line(build: Build, supply: str) -> bool:
    """Whether a supply is a converter drawn in a line from its input to its output."""
    one = build.supplies[supply]
    return one.kind == "dc_dc" and bool(one.input_from)


def base_load_at(build: Build) -> str:
    """Where the vehicle's own loads are; empty where nothing is said of them."""
    at = build.vehicle.base_load_at or next((b.at for b in build.batteries.values() if b.starts_engine), "")
    return at if build.vehicle.base_load and at in build.locations else ""


def _tagged(build: Build) -> Iterator[tuple[str, str]]:
    yield from (("T" if is_in_line(build, id_) else "G", f"supplies.{id_}") for id_ in build.supplies)
    yield from (("B", f"batteries.{id_}") for id_ in build.batteries)
    yield from (("C", f"capacitor_banks.{id_}") for id_ in build.capacitor_banks)
    if base_load_at(build):
        yield "X", BASE_LOAD
    yield from (("LS", f"speakers.{id_}") for id_ in build.speakers)
    yield from (("A", f"amplifiers.{id_}") for id_ in build.amplifiers)
    for cable in build.cables.values():
        yield "W", f"cables.{cable.id}"
        yield from (("F", f"cables.{cable.id}.fuses.{id_}") for id_ in cable.fuses)
    for one in build.couplings.values():
        yield ("Q" if one.kind == "switch" else "K"), f"couplings.{one.id}"
