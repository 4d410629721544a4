"""What one part of the build file says about another: names exist, ends match, figures agree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from dossier.buildfile.budget import check_budget
from dossier.buildfile.model import Quantity
from dossier.buildfile.names import Path, called, listed, nearest
from dossier.buildfile.positions import Positions
from dossier.buildfile.references_kept import check_kept
from dossier.buildfile.schema import build_schema
from dossier.buildfile.source import error
from dossier.buildfile.validate import Checked
from dossier.diagnostic import Diagnostic
from dossier.reference.fuses import MOST_BREAKING, RATINGS

_SECTION_WORD = {
    "locations": "location",
    "amplifiers": "amplifier",
    "people": "person",
    "instruments": "instrument",
    "load_cases": "load case",
    "cables": "cable",
    "options": "option",
}

# What a load case can play; a test holds them to the programmes of the floor above.
MOST_BURSTS = 1000  # of one load case: half a minute to compute
SHORTEST_MUSIC = 2.0  # s
SHORTEST_GAP = 0.002  # s between two bursts: their edges


def entries(tree: Mapping[str, Any], section: str) -> dict[str, Mapping[str, Any]]:
    """The well-formed entries of a section; whatever else stands there has been reported already."""
    found = tree.get(section)
    if not isinstance(found, Mapping):
        return {}
    return {name: entry for name, entry in found.items() if isinstance(entry, Mapping)}


def check_references(tree: Mapping[str, Any], checked: Checked, positions: Positions) -> list[Diagnostic]:
    """Everything that one part says wrongly about another."""
    checks = _References(tree, checked, positions)
    return [
        *checks.names(),
        *checks.speakers(),
        *checks.ends(),
        *checks.fuses(),
        *checks.doubles(),
        *checks.signals(),
        *checks.thresholds(),
        *checks.curves(),
        *checks.sources(),
        *checks.starter(),
        *check_kept(tree, positions),
        *check_budget(tree, checked.quantities, positions),
    ]


class _References:
    def __init__(self, tree: Mapping[str, Any], checked: Checked, positions: Positions) -> None:
        self.tree = tree
        self.checked = checked
        self.positions = positions
        self.wrong = positions.wrong

    def quantity(self, *path: str) -> Quantity | None:
        return self.checked.quantities.get(path)

    def names(self) -> Iterator[Diagnostic]:
        """Whatever is referred to exists."""
        for path, section, name in self.checked.references:
            known = self.tree.get(section, None if section in build_schema()["required"] else {})
            if not isinstance(known, Mapping) or name in known:
                continue
            word = _SECTION_WORD[section]
            close = nearest(name, known)
            there = f"write `{close}` if that is meant" if close else f"write one of {listed(known)}" if known else ""
            fix = f"{there}, or add `{name}` under `{section}`" if there else f"add `{name}` under `{section}`"
            headline = f"{called(path)} names {word} `{name}`, which does not exist"
            expected = f"one of {listed(known)}" if known else f"an entry under `{section}`"
            yield self.wrong(f"unknown-{word.replace(' ', '-')}", path, headline, expected, fix)

    def speakers(self) -> Iterator[Diagnostic]:
        """Every amplifier has speakers."""
        driven: set[str] = set()
        for speaker in entries(self.tree, "speakers").values():
            named = speaker.get("amplifier")
            several = named if isinstance(named, list) else [named]
            driven.update(one for one in several if isinstance(one, str))
        for name in entries(self.tree, "amplifiers"):
            if name not in driven and self.tree.get("speakers"):
                path = ("amplifiers", name)
                yield self.positions.wrong_key(
                    "amplifier-without-speakers",
                    path,
                    f"amplifier `{name}` has no speakers",
                    "a set under `speakers` with this amplifier: the load decides what it draws",
                    f"add `set: {{amplifier: {name}, coil_impedance: N ohm}}` under `speakers`, "
                    "with its own figure for N",
                )

    def ends(self) -> Iterator[Diagnostic]:
        """Cables, couplings and converters join two different places."""
        for section, first in (("cables", "to"), ("couplings", "to"), ("supplies", "at")):
            for name, entry in entries(self.tree, section).items():
                if isinstance(entry.get("from"), str) and entry["from"] == entry.get(first):
                    path: Path = (section, name, first)
                    headline = f"{called(path[:2])} begins and ends at `{entry['from']}`"
                    fix = "within one location nothing needs to be joined: split the location, or delete this"
                    yield self.wrong("joined-to-itself", path, headline, "two different locations", fix)

    def fuses(self) -> Iterator[Diagnostic]:
        """Fuses sit in feeds, near an end, and no farther from it than the cable is long."""
        for name, cable in entries(self.tree, "cables").items():
            fuses = entries(cable, "fuses")
            if fuses and cable.get("role") == "return":
                path: Path = ("cables", name, "fuses")
                yield self.positions.wrong_key(
                    "fuse-in-return",
                    path,
                    f"cable `{name}` is a return and has fuses",
                    "fuses in feeds only; a fused return that opens leaves the positive live",
                    "move the fuses to the feed, or correct `role`",
                )
            ends = (cable.get("from"), cable.get("to"))
            for fuse_name, fuse in fuses.items():
                path = ("cables", name, "fuses", fuse_name, "near")
                if isinstance(fuse.get("near"), str) and all(ends) and fuse["near"] not in ends:
                    headline = f"{called(path[:-1])} is near `{fuse['near']}`, which is no end of the cable"
                    yield self.wrong("fuse-not-at-an-end", path, headline, f"`{ends[0]}` or `{ends[1]}`")
                distance = self.quantity("cables", name, "fuses", fuse_name, "distance")
                length = self.quantity("cables", name, "length")
                if distance and length and distance.si > length.si:
                    path = (*path[:-1], "distance")
                    headline = f"{called(path[:-1])} sits `{distance.text}` along a cable of `{length.text}`"
                    yield self.wrong("fuse-beyond-cable", path, headline, f"at most `{length.text}`")
                yield from self._made(("cables", name, "fuses", fuse_name), fuse.get("style"))

    def _made(self, path: tuple[str, ...], style: object) -> Iterator[Diagnostic]:
        """A fuse of a style is no larger, and breaks no more, than that style is made."""
        if not isinstance(style, str) or style not in RATINGS:
            return
        asked = (
            ("rating", "fuse-rating-not-made", RATINGS[style][-1], f"{RATINGS[style][-1]:g} A"),
            ("breaking_capacity", "fuse-breaking-not-made", MOST_BREAKING[style], f"{MOST_BREAKING[style] / 1e3:g} kA"),
        )
        for key, code, most, text in asked:
            said = self.quantity(*path, key)
            if said and said.si > most * 1.0001:
                headline = f"{called(path)} is a `{style}` of `{said.text}`; none is made above {text}"
                fix = "read style and figure on the fuse and its data sheet again: one of the two is not what it is"
                yield self.wrong(code, (*path, key), headline, f"at most `{text}` for a `{style}`", fix)

    def doubles(self) -> Iterator[Diagnostic]:
        """The same impedance or speed is not given twice in different spellings."""
        seen: dict[tuple[Path, float], str] = {}
        for path, quantity in self.checked.quantities.items():
            last = path[-1]
            if not (isinstance(last, str) and last.startswith("=")):
                continue
            key = (path[:-1], round(quantity.si, 9))
            if key in seen:
                inner = (*path[:-1], last[1:])
                headline = f"{called(path[:-1])} gives `{seen[key]}` and `{last[1:]}`, which are the same"
                yield self.positions.wrong_key("given-twice", inner, headline, fix="delete one of the two")
            seen.setdefault(key, last[1:])

    def signals(self) -> Iterator[Diagnostic]:
        """Bursts fit into their period, periods into the load case."""
        for name in entries(self.tree, "load_cases"):
            at = ("load_cases", name, "signal")
            burst, every, lasts = (self.quantity(*at, key) for key in ("burst", "every", "for"))
            if burst and every and burst.si > every.si:
                headline = f"bursts of `{burst.text}` do not fit into every `{every.text}`"
                yield self.wrong("burst-too-long", (*at, "burst"), headline, f"at most `{every.text}`")
            if every and lasts and every.si > lasts.si:
                headline = f"`{lasts.text}` hold no whole period of `{every.text}`"
                yield self.wrong("signal-too-short", (*at, "for"), headline, f"at least `{every.text}`")
            if burst and every and lasts and lasts.si > MOST_BURSTS * every.si:
                headline = f"`{lasts.text}` hold {lasts.si / every.si:.0f} bursts; at most {MOST_BURSTS} are played"
                most = f"at most `{MOST_BURSTS * every.si:g} s`"
                yield self.wrong("signal-too-long", (*at, "for"), headline, most, "what repeats is settled long before")
            if burst and every and 0.0 <= every.si - burst.si < SHORTEST_GAP:
                headline = f"bursts of `{burst.text}` every `{every.text}` leave no gap between them"
                cure = "for a tone without gaps leave out `burst` and `every`"
                yield self.wrong("burst-without-gap", (*at, "burst"), headline, f"less than `{every.text}`", cure)
            if self.quantity(*at, "music", "crest_factor") and lasts and lasts.si < SHORTEST_MUSIC:
                headline = f"`{lasts.text}` are too short for music"
                yield self.wrong("signal-too-short", (*at, "for"), headline, f"at least `{SHORTEST_MUSIC:g} s`")

    def thresholds(self) -> Iterator[Diagnostic]:
        """Of two thresholds, or of the efficiencies at two outputs, the right one is higher."""
        pairs = (
            ("couplings", "opens", "closes"),
            ("amplifiers", "low_voltage_shutdown", "restart_voltage"),
            ("amplifiers", "efficiency_third", "efficiency"),
            ("amplifiers", "efficiency_eighth", "efficiency"),
            ("amplifiers", "efficiency_eighth", "efficiency_third"),
        )
        for section, lower, higher in pairs:
            for name in entries(self.tree, section):
                low, high = self.quantity(section, name, lower), self.quantity(section, name, higher)
                if low and high and low.si > high.si:
                    path = (section, name, lower)
                    headline = f"{called(path)} is `{low.text}`, above `{higher}`, `{high.text}`"
                    yield self.wrong("thresholds-crossed", path, headline, f"`{lower}` at or below `{higher}`")

    def curves(self) -> Iterator[Diagnostic]:
        """Points of a fuse's data sheet: more current, less time."""
        for name, cable in entries(self.tree, "cables").items():
            fuses = cable.get("fuses")
            for fuse_name, fuse in fuses.items() if isinstance(fuses, Mapping) else ():
                for field in ("opens_within", "holds_for"):
                    points = fuse.get(field) if isinstance(fuse, Mapping) else None
                    if isinstance(points, Mapping):
                        yield from self._falls(("cables", name, "fuses", fuse_name, field), points)

    def _falls(self, path: tuple[str, ...], points: Mapping[str, Any]) -> Iterator[Diagnostic]:
        read = [(self.quantity(*path, "=" + key), self.quantity(*path, key)) for key in points]
        known = sorted(((a, t) for a, t in read if a and t), key=lambda point: point[0].si)
        for (less, longer), (more, shorter) in pairwise(known):
            if shorter.si > longer.si or more.si <= less.si:
                headline = (
                    f"{called(path)} says `{longer.text}` at `{less.text}` but `{shorter.text}` at `{more.text}`"
                )
                yield self.wrong("curve-not-falling", path, headline, "less time at more current, as on the data sheet")

    def sources(self) -> Iterator[Diagnostic]:
        """There is something that delivers current, and a place for what the vehicle draws."""
        batteries = entries(self.tree, "batteries")
        if not batteries and not entries(self.tree, "supplies"):
            known = [section for section in ("supplies", "batteries") if section in self.tree]
            if any(not isinstance(self.tree[section], Mapping) or self.tree[section] for section in known):
                return  # something stands there, in a shape that has been complained about
            yield error(
                "no-source",
                "the build has no battery and no supply",
                self.positions.key((known[0],) if known else ()),
                expected="at least one entry under `batteries` or `supplies`",
                fix="add the battery that starts the engine",
            )
            return
        vehicle = self.tree.get("vehicle")
        base = vehicle.get("base_load") if isinstance(vehicle, Mapping) else None
        starters = {str(b.get("at")) for b in batteries.values() if b.get("starts_engine") is True}
        if isinstance(base, Mapping) and "at" not in base and len(starters) != 1 and len(batteries) != 1:
            path = ("vehicle", "base_load")
            yield self.positions.wrong_key(
                "base-load-without-place",
                path,
                "it cannot be told where the vehicle's own loads are connected",
                "one battery with `starts_engine: true`, or `at` in `base_load`",
                f"add `at: NAME` with one of {listed(entries(self.tree, 'locations'))} for NAME",
            )

    def starter(self) -> Iterator[Diagnostic]:
        """The starter hangs on a cable, or on the battery that starts the engine."""
        vehicle = self.tree.get("vehicle")
        place = vehicle.get("starter_at") if isinstance(vehicle, Mapping) else None
        if not isinstance(place, str) or place not in entries(self.tree, "locations"):
            return
        feeds = [c for c in entries(self.tree, "cables").values() if c.get("role") == "feed"]
        wired = {c.get(end) for c in feeds for end in ("from", "to")}
        starts = [b for b in entries(self.tree, "batteries").values() if b.get("starts_engine") is True]
        if not starts or (place not in wired and all(b.get("at") != place for b in starts)):
            path = ("vehicle", "starter_at")
            lacking = f"no feed cable ends at `{place}`" if starts else "no battery has `starts_engine: true`"
            yield self.wrong(
                "starter-not-connected",
                path,
                f"the starter is connected at `{place}`, but {lacking}",
                "a place that a feed cable joins to the battery with `starts_engine: true`",
                f"add the cable: `starter_lead: {{role: feed, from: BATTERY'S PLACE, to: {place}, size: …, length: …}}`"
                if starts
                else "add `starts_engine: true` to the battery that does",
            )
