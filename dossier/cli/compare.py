"""``dossier compare``: the build and its options side by side, in the terminal."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.buildfile.budget import with_budget
from dossier.buildfile.reader import BuildFileError, read_build
from dossier.buildfile.recorded import NO_CONFIGURATION, Configuration
from dossier.cli.choices import add_jobs, add_units, configuration_of, units_of
from dossier.cli.exit_codes import Exit
from dossier.cli.progress import Progress
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import columns, terminal, visible
from dossier.reader.promised import as_fine_as, low_v, minutes, spare
from dossier.reader.reading import read_by
from dossier.reader.units import Units, Way

if TYPE_CHECKING:
    from dossier.results.options import Combination, NoteReading, OptionComparison, OptionRow, Use
    from dossier.results.overview import Results
    from dossier.results.sag import Band, Reading
    from dossier.results.sensitivity import Sensitivity


MOST_COLUMNS = 80  # wider tables are hard to follow
LEAST_TITLE = 12  # columns that a title keeps, however narrow the terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("build", metavar="BUILD.yaml", type=Path, help="build file")
    add_units(parser)
    parser.add_argument("--budget", metavar="MONEY", help="what may be spent on options, for example `900 EUR`")
    parser.add_argument("--quick", action="store_true", help="leave out the uncertainty bands")
    add_jobs(parser, "for the simulations")
    parser.add_argument("--show", choices=("table", "json"), default="table", help="how (default: table)")
    parser.add_argument("-q", "--quiet", action="store_true", help="show no progress")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    try:
        configuration = configuration_of(arguments)
    except BuildFileError as error:
        print_diagnostics(error.diagnostics)
        return Exit.UNUSABLE
    return compare(
        arguments.build,
        quick=arguments.quick,
        show=arguments.show,
        quiet=arguments.quiet,
        jobs=arguments.jobs,
        configuration=configuration,
        units=arguments.units,
        budget=arguments.budget,
    )


def compare(
    path: Path,
    *,
    quick: bool = False,
    show: str = "table",
    quiet: bool = False,
    jobs: int = 1,
    configuration: Configuration = NO_CONFIGURATION,
    units: str | None = None,
    budget: str | None = None,
) -> int:
    """Print the options of a build beside the build as it stands.

    Args:
        path: the build file.
        quick: whether to leave out the uncertainty bands.
        show: table or json.
        quiet: whether to show no progress.
        jobs: most processes.
        configuration: the user's, with the units used where the build file says nothing of them.
        units: whose units the table is printed in, before all others; JSON stays SI.
        budget: what may be spent on options, before what the build file says.

    Returns:
        the exit code: 0, or 2 if the build file cannot be used. Findings are the business of ``check``.
    """
    try:
        build = read_build(path)
        if budget is not None:
            build = with_budget(build, budget)
        from dossier.assessment.assess import assess
        from dossier.circuit.simulations import side_by_side

        with side_by_side(jobs), Progress("comparing", quiet=quiet) as line:
            results = assess(build, bands=not quick, progress=lambda what, done: line.tell(visible(what), done))
    except BuildFileError as error:
        print_diagnostics(error.diagnostics, "full")
        return Exit.UNUSABLE
    if show == "json":
        from dossier import __version__
        from dossier.record.results_json import results_json

        whole = json.loads(results_json(results, build=build.name, program=f"install-dossier {__version__}"))
        print(json.dumps({k: whole[k] for k in ("options", "sensitivity")}, ensure_ascii=False, indent=1))
    else:
        reader = units_of(build, configuration, units)
        with as_fine_as(build.voltage_limits):
            print(as_text(read_by(reader, results), terminal(sys.stdout)[1], reader))
    return Exit.OK


def as_text(results: Results, width: int, units: Units = Units.METRIC) -> str:
    """The comparison as text, within ``width`` columns and never more than 80."""
    width = min(width, MOST_COLUMNS)
    found = results.options
    assert found is not None  # asked for above
    base = found.rows[0]
    short, long = f"{base.short.seconds:.0f} s", f"{base.long.seconds:.0f} s"
    sums = found.within_budget
    parts = [_wrapped([visible(s) for s in (*found.answer, *found.by_use)], width)]
    if found.with_readings:
        parts.append(_wrapped(["Bands and shares are those that the recorded readings leave."], width))
    if sums:
        parts.append(_wrapped([visible(s) for s in sums.words], width))
        parts.append(
            _table(
                f"Combinations that fit into {sums.amount:g} {sums.currency}, nominal: load cases in which every limit "
                "is kept, and what is above the limits at worst. * = nothing as cheap does as well.",
                ("", "cost", "kept", "V above", "adds", "stops", ""),
                [_bought(one) for one in sums.combinations],
                width,
            )
        )
    for k, use in enumerate(base.uses):
        rows = [(r, u) for r in found.rows for u in r.uses if u.case == use.case]
        parts.append(
            _table(
                f"{k + 1}. {use.title}: lowest mean at the worst amplifier, and the limits stated for it.",
                ("", "V", "gain V", "limits", *(("kept in", "best in") if found.samples else ()), "cost"),
                [_judged(r, u, sampled=found.samples > 0) for r, u in rows],
                width,
            )
        )
    played = f"A note, longer and longer ({visible(found.conditions)}); music: {visible(found.music_conditions)}."
    parts.append(textwrap.fill(played, max(width, 40)))
    for which, shows in (("mean", "a voltmeter"), ("trough", "the lowest instant, on an oscilloscope")):
        parts.append(
            _table(
                f"{which.capitalize()} voltage ({shows}) {short} and {long} into the note, and lowest in the music.",
                ("V", short, long, "music"),
                [(r.title, *(_volts(getattr(what, which)) for what in (r.short, r.long, r.music))) for r in found.rows],
                width,
            )
        )
    parts.append(
        _table(
            f"Gain in mean voltage {short} and {long} into the note, and cost per volt of the one and the other.",
            ("", f"V at {short}", f"V at {long}", "cost", "per V", "per V"),
            [_money(r, base) for r in found.rows],
            width,
        )
    )
    parts.append(
        _table(
            f"Output against rated {short} and {long} into the note (dB), added mass, current to spare at idle and "
            "cruise with music at 1/8 power (A), playing time with the engine off, largest fault current (kA), stops "
            "and cautions added and cured.",
            ("", f"dB {short}", f"dB {long}", units.sign("mass"), "idle", "cruise", "off", "kA", "found"),
            [_further(r, units) for r in found.rows],
            width,
        )
    )
    adds = [f"{visible(r.title)} adds {visible(words)}" for r in found.rows for words in r.adds]
    parts.append(_wrapped(adds, width))
    parts.append(_wrapped(_crossed(found), width))
    parts.append(_wrapped([visible(s) for s in found.verdict], width))
    if results.sensitivity is not None:
        parts.append(_next(results.sensitivity, width))
    return "\n\n".join(p for p in parts if p)


_KEPT = {"NOMINAL": "kept", "SAMPLES": "kept", "NOT": "missed"}


def _judged(r: OptionRow, use: Use, *, sampled: bool) -> tuple[str, ...]:
    shares = tuple("" if s is None else f"{100.0 * s:.0f} %" for s in (use.kept_share, use.best_share))
    return (
        r.title,
        _volts(use.mean),
        _number(use.gain, "+z.1f") if r.kind == "option" else "",
        "none" if use.kept is None else _KEPT[use.kept.name],
        *(shares if sampled else ()),
        _cost(r),
    )


def _bought(one: Combination) -> tuple[str, ...]:
    margin = "fails" if one.margin is None else low_v(one.margin)
    found = (str(len(one.adds)), str(len(one.stops)))
    return (one.title, f"{one.cost:g}", str(one.kept), margin, *found, "*" if one.on_front else "")


def _cost(r: OptionRow) -> str:
    return "" if r.cost is None else f"{r.cost:.0f} {r.currency}"


def _volts(reading: Reading | None) -> str:
    if reading is None:
        return ""
    return ("fails" if reading.volts is None else low_v(reading.volts)) + _edges(reading.band)


def _edges(band: Band | None) -> str:
    return "" if band is None else f" ({_edge(band.low)}..{_edge(band.high)})"


def _edge(volts: float | None) -> str:
    return "fails" if volts is None else low_v(volts)


def _money(r: OptionRow, base: OptionRow) -> tuple[str, ...]:
    per = (
        "no use" if r.is_no_use(base, name) else _number(getattr(r, f"cost_per_volt_{name}"), ".0f")
        for name in ("short", "long")
    )
    return (r.title, _gain(r.short, base.short), _gain(r.long, base.long), _cost(r), *per)


def _further(r: OptionRow, units: Units) -> tuple[str, ...]:
    return (
        r.title,
        _number(r.short.output_db, "+z.1f"),
        _number(r.long.output_db, "+z.1f"),
        _added(units, r.mass),
        spare(r.balance_idle),
        spare(r.balance_cruise),
        "" if r.engine_off is None else minutes(r.engine_off),
        _number(None if r.fault_current is None else r.fault_current / 1e3, ".1f"),
        f"+{len(r.adds)} -{len(r.cures)}" if r.is_judged else "",
    )


def _added(units: Units, mass: float | None) -> str:
    if mass is None:
        return ""
    number = units.number("mass", mass, Way.UP, 0)
    return number if number.startswith("-") else f"+{number}"


def _number(value: float | None, form: str) -> str:
    return "" if value is None else format(value, form)


def _gain(here: NoteReading, there: NoteReading) -> str:
    if here is there or here.mean.volts is None or there.mean.volts is None:
        return ""
    words = f"{here.mean.volts - there.mean.volts:+z.1f}"
    if here.gain is None or here.gain.low is None or here.gain.high is None:
        return words
    return f"{words} ({here.gain.low:+z.1f}..{here.gain.high:+z.1f})"


def _crossed(found: OptionComparison) -> list[str]:
    titles = {r.id: visible(r.title) for r in found.rows}
    said = []
    for c in found.crossovers:
        at = "in some samples only" if c.at is None else f"from {c.at:.1f} s"
        band = "" if c.low is None or c.high is None else f" (5 to 95 %: {c.low:.1f} to {c.high:.1f} s)"
        said.append(f"{titles[c.late]} overtakes {titles[c.early]} {at}{band}, {c.statistic}")
    return said


def _next(found: Sensitivity, width: int) -> str:
    rows = [(f"{e.device}: {e.quantity}", f"{e.swing:.1f} V", e.basis, e.how) for e in found.measure_next]
    if not rows:
        return ""
    about = f"Measure these next; they move the {visible(found.words)} most and rest on estimates:"
    lines = [textwrap.fill(about, max(width, 40))]
    for what, swing, basis, how in rows:
        lines.append(_wrapped([f"{visible(what)}: {swing}, {basis}: {visible(how)}"], width))
    return "\n".join(lines)


def _wrapped(lines: list[str], width: int) -> str:
    return "\n".join(
        textwrap.fill(line, max(width, 40), initial_indent="  ", subsequent_indent="    ") for line in lines
    )


def _table(about: str, head: tuple[str, ...], rows: list[tuple[str, ...]], width: int) -> str:
    """What it shows, then first column flush left, the others flush right; titles give way to the width."""
    shown = [head, *((visible(row[0]), *row[1:]) for row in rows)]
    widths = [max(columns(row[i]) for row in shown) for i in range(len(head))]
    widths[0] = max(min(widths[0], width - sum(w + 2 for w in widths[1:])), LEAST_TITLE)
    lines = [
        "  ".join(
            _cut(cell, w) + " " * (w - columns(_cut(cell, w))) if i == 0 else " " * (w - columns(cell)) + cell
            for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in shown
    ]
    return "\n".join([textwrap.fill(visible(about), max(width, 40)), *lines])


def _cut(words: str, width: int) -> str:
    """As much of it as fits, with the place of the rest marked."""
    if columns(words) <= width:
        return words
    while columns(words) > width - 2:
        words = words[:-1]
    return f"{words}.."
