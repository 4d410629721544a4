"""The inspector's list: what to see, in the order of the vehicle, with what is recorded beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from dossier.buildfile.model import Build, Cable, Fuse
from dossier.buildfile.tags import tag_at, tags_of
from dossier.diagnostic import Severity
from dossier.pages.appendix.sources import counted, turning, with_place
from dossier.pages.delivery.rescue import opened
from dossier.pages.delivery.signoff import state_of, who
from dossier.pages.opening.open_points import reserved
from dossier.pages.words import NONE, count, fixed, high_v, low_v, name, stated, word
from dossier.pdf.flow import rich
from dossier.pdf.marks import TICK_BOX
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import markup, plain
from dossier.reader.wording import rows_of, say
from dossier.results.overview import Results
from dossier.results.recorded import CheckRow
from dossier.results.sag import LoadCaseResult, Reading

# Where on the way round the vehicle a point of the checklist is seen; the points of the user's own come last.
_STEPS: Final[Mapping[str, tuple[str, ...]]] = {
    "sources": (),
    "stores": (),
    "front": ("fuse_distance", "fuse_rating", "size_steps", "torque_marked", "negatives"),
    "route": ("routing", "strain_relief", "fuse_both_ends", "aluminium_body", "body_return"),
    "rear": (
        "restraint", "posts_covered", "venting", "acid", "lithium_place", "lithium_smoke", "lithium_opens",
        "bank_precharge", "bank_discharge_kit", "bank_cells", "coupling_tried",
    ),
    "outputs": ("outputs_covered", "polarity", "insulation"),
    "meter": ("first_power", "voltages_noted", "key_off"),
    "tone": (),
    "open": (),
}  # fmt: skip
_LIVE: Final = ("meter", "tone")  # steps under power
_GROUPS: Final = ("cables", "batteries", "power", "own")


def walk(build: Build, results: Results) -> Any:
    """The list as a table; while a stop is open nothing in it asks for power."""
    facts = _facts(build, results)
    stopped = any(one.severity is Severity.STOP for one in results.findings)
    checks = [one for one in results.recorded.checklist if one.group in _GROUPS]
    placed = {one for step in _STEPS.values() for one in step}
    rows: list[list[Any]] = []
    for (what, see), (key, points) in zip(rows_of("inspector.steps"), _STEPS.items(), strict=True):
        if stopped and key in _LIVE:
            if key == _LIVE[0]:
                rows.append(["", rich(f"<b>{markup(say('inspector.not_to_be_done'))}</b>", "cell"), NONE])
            continue
        asked = see.format(revision=plain(build.record.revision, 20))
        rows.append([_box(), rich(f"<b>{markup(what)}.</b> {markup(asked)}", "cell"), plain(facts[key], 420)])
        mine = [one for one in checks if one.id in points or (key == "open" and one.id not in placed)]
        rows += [[_box(), one.words, _recorded(one)] for one in mine]
    return data_table(
        [Column("", share=0.06), Column(say("inspector.to_see"), share=1.3), Column(say("columns.recorded"))], rows
    )


def _box() -> Any:
    return rich(f'<font size="10">{markup(TICK_BOX)}</font>', "cell")


def _recorded(one: CheckRow) -> Any:
    if not one.state:
        return NONE
    return rich(": ".join(part for part in (state_of(one), markup(who(one))) if part), "cell")


def _facts(build: Build, results: Results) -> dict[str, str]:
    """What is recorded for each step of the inspection."""
    tags = tags_of(build)
    stores = results.energy_sources
    starters = {one.at for one in build.batteries.values() if one.starts_engine}
    inside = {one.at for one in build.batteries.values()} | {one.at for one in build.capacitor_banks.values()}
    front = [_fuse(tags, c, f) for c in build.cables.values() for f in c.fuses.values() if f.near in starters]
    rear = [_fuse(tags, c, f) for c in build.cables.values() for f in c.fuses.values() if f.near in inside - starters]
    feeds = [
        f"{name(c.title, 40)} {stated(c.size)}"
        for c in build.cables.values()
        if c.role == "feed" and c.size is not None
    ]
    hot = [
        say("inspector.v_rms", title=name(one.title, 40), terminal_v=high_v(one.terminal_v))
        for one in results.amplifiers
        if one.covered
    ]
    found, held = results.findings, reserved(results)
    checks = say("inspector.checks_reserved", points=count(len(held), "point")) if held else ""
    stops, cautions = (sum(one.severity is grade for one in found) for grade in (Severity.STOP, Severity.CAUTION))
    return {
        "sources": f"{counted(results)}: {with_place(results.energy_sources)}. {turning(results)}",
        "stores": ". ".join(
            f"{name(one.title, 40)}: {plain(one.location, 40)}, {one.detail}"
            + (f"; {opened(build, one)}" if one.disconnect else "")
            for one in stores
        )
        or NONE,
        "front": "; ".join(front) or say("inspector.no_fuse_recorded_at_the_starter"),
        "route": "; ".join(feeds) or NONE,
        "rear": "; ".join(rear)
        or (
            say("inspector.no_fuse_recorded_at_a_rear") if inside - starters else say("inspector.no_source_at_the_rear")
        ),
        "outputs": "; ".join(hot) or say("inspector.none_over_50_v_rms"),
        "meter": _meter(results),
        "tone": _tone(build, results),
        "open": say("inspector.open", stops=count(stops, "stop"), cautions=count(cautions, "caution"), checks=checks)
        if stops or cautions
        else say("inspector.no_stop_no_caution_open", checks=checks),
    }


def _fuse(tags: Mapping[str, str], cable: Cable, fuse: Fuse) -> str:
    distance = (
        say("inspector.from_its_terminal", distance=stated(fuse.distance))
        if fuse.distance
        else say("inspector.distance_not_recorded")
    )
    breaking = (
        say("inspector.breaks", breaking_capacity=stated(fuse.breaking_capacity))
        if fuse.breaking_capacity
        else say("inspector.breaking_capacity_not_recorded")
    )
    each = f"{cable.runs} × " if cable.runs > 1 and not fuse.shared else ""
    tag = tag_at(tags, f"cables.{cable.id}.fuses.{fuse.id}")
    return f"{tag} {name(cable.title, 40)}: {each}{stated(fuse.rating)} {word(fuse.style)}{distance}{breaking}"


def _meter(results: Results) -> str:
    rests = [
        say(
            "inspector.volts_at",
            title=name(case.title, 40),
            rest=low_v(amplifier.rest),
            amplifier=name(amplifier.title, 30),
        )
        for case in results.load_cases
        for amplifier in case.amplifiers
        if amplifier.id == case.worst
    ]
    return say("inspector.before_the_sound_computed") + "; ".join(rests) if rests else say("inspector.not_verified")


def _tone(build: Build, results: Results) -> str:
    """What a meter's lowest reading, its 100 ms minimum, must lie in, of the tones that can be played in a yard."""
    parts = []
    for case in results.load_cases:
        asked = build.load_cases.get(case.id)
        if asked is None or asked.engine.state == "cruise" or asked.signal.kind == "music":
            continue
        worst = next(one for one in case.amplifiers if one.id == case.worst)
        reading = worst.minimum_100ms
        if reading.volts is None:
            parts.append(say("inspector.a_collapse_is_computed", title=name(case.title, 40)))
        elif reading.band is not None and reading.band.low is not None and reading.band.high is not None:
            parts.append(
                say(
                    "inspector.to_v",
                    title=_as_played(case),
                    at=fixed(reading.at or 0.0, 0),
                    low=low_v(reading.band.low),
                    high=high_v(reading.band.high),
                )
            )
        else:
            parts.append(_unbanded(case, reading))
    return "; ".join(parts) or say("inspector.no_tone_in_a_yard")


def _as_played(case: LoadCaseResult) -> str:
    return f"{name(case.title, 40)} ({case.engine})"


def _unbanded(case: LoadCaseResult, reading: Reading) -> str:
    at = fixed(reading.at or 0.0, 0)
    return say("inspector.v_no_band_computed", title=_as_played(case), at=at, volts=low_v(reading.volts))


