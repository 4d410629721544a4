"""Results made by hand for layout tests; every number is invented and none is a promise about a vehicle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.results.budget import BusBudget, DemandLevel, Drive, EngineBudget, EngineOff, LoadBudget
from dossier.results.inputs import Input, MusicStatistics
from dossier.results.overview import (
    AmplifierRow,
    DailyVolts,
    EnergySource,
    KeyFigure,
    Results,
    SourceKind,
    Stays,
    Verdict,
)
from dossier.results.sag import (
    AmplifierSag,
    LimitCheck,
    LoadCaseResult,
    LocationSag,
    Outcome,
    OutcomeKind,
    Reading,
    SourceShare,
    Trace,
    WarmMetal,
)
from dossier.results.schedule import ConductorRow, Factor, FuseRow, Warmth


def _frozen(v: Trace) -> Trace:
    v.flags.writeable = False
    return v


def load_case(
    id_: str,
    title: str,
    *,
    collapse_at: float | None = None,
    seconds: float = 20.0,
    depth: float = 1.6,
    amplifiers: int = 1,
    bursts: bool = False,
) -> LoadCaseResult:
    """One load case with made-up traces."""
    t = _frozen(np.linspace(0.0, seconds + 3.0, 2400))
    s = np.clip(t - 1.0, 0.0, seconds)
    playing = (t >= 1.0) & (t <= seconds + 1.0)
    if bursts:
        playing &= ((t - 1.0) % 0.8) < 0.4
    sag = np.where(playing, depth * (0.55 + 0.45 * (1 - np.exp(-s / 5.0))), 0.15 * (s > 0))
    made, mean0 = [], 13.1
    for index in range(amplifiers):
        mean = mean0 - sag * (1 - 0.08 * index)
        trough = mean - np.where(playing, 0.9, 0.0)
        if collapse_at is not None:
            gone = t > collapse_at + 1.0
            mean[gone] = np.nan
            trough[gone] = np.nan
        low = float(np.nanmin(mean))
        if collapse_at is None:
            held = low >= 11.8
            outcome = Outcome(
                OutcomeKind.HOLDS if held else OutcomeKind.BELOW_LIMIT,
                f"holds, lowest mean {low:.1f} V; limit 11.8 V"
                if held
                else f"is below its limit of 11.8 V (mean) for 8.4 s, lowest mean {low:.1f} V",
                at=None if held else 9.1,
                below_limit=0.0 if held else 8.4,
            )
            readings = (Reading(low, 21.0), Reading(low - 0.1, 21.0), Reading(low - 0.9, 20.9))
            checks: tuple[LimitCheck, ...] = (LimitCheck("mean", 11.8, low, held),)
        else:
            outcome = Outcome(
                OutcomeKind.NO_OPERATING_POINT,
                f"finds no operating point after {collapse_at:.1f} s: 5200 W are asked, the source can "
                "deliver at most 4600 W",
                at=collapse_at,
                demand=5200.0,
                deliverable=4600.0,
            )
            readings = (Reading(None), Reading(None), Reading(None))
            checks = (LimitCheck("mean", 11.8, None, False),)
        made.append(
            AmplifierSag(
                id=f"a{index}",
                title="Bass amplifier" if index == 0 else f"Amplifier {index + 1}",
                mean=_frozen(mean),
                trough=_frozen(trough),
                rest=13.1,
                mean_minimum=readings[0],
                minimum_100ms=readings[1],
                trough_minimum=readings[2],
                asked_w=1500.0,
                output_w=None if collapse_at else 1080.0,
                lost_db=None if collapse_at else -1.4,
                input_a_mean=None if collapse_at else 118.3,
                input_a_peak=None if collapse_at else 161.9,
                outcome=outcome,
                limits=checks,
            )
        )
    places = (("engine_bay", "Engine bay battery", 0.7), ("boot", "Boot left side", 0.95))
    return LoadCaseResult(
        id=id_,
        title=title,
        engine="cruise, 2200 r/min",
        signal="38 Hz tone for 20 s",
        drive="clean",
        level_db=0.0,
        lead_in=1.0,
        sound_ends=seconds,
        t=t,
        amplifiers=tuple(made),
        locations=tuple(
            LocationSag(
                i,
                title_,
                _frozen(13.1 - sag * k),
                13.1,
                Reading(None if collapse_at else float((13.1 - sag * k).min()), 20.0),
            )
            for i, title_, k in places
        ),
        sources=(
            SourceShare("main", "Alternator", "alternator", 104.0, 98.2, 1964.0, 25139.0, 0.512),
            SourceShare("starter", "Starter battery", "battery", 61.0, 38.7, 774.0, 9830.0, 0.202),
            SourceShare("rear", "Rear battery", "battery", 92.1, 54.9, 1098.0, 13720.0, 0.286),
        ),
        worst="a0",
        statistic="mean",
        warm_metal=(WarmMetal("feed_0", "Feed 1", 65.0, 71.8, 6.1e-5),),
    )


def finding(code: str, severity: Severity, headline: str, line: int) -> Diagnostic:
    """A finding with every part filled."""
    return Diagnostic(
        code=code,
        severity=severity,
        headline=headline,
        path="cables.feed.fuses.front",
        where=Place("demo_builds/estate-handover.yaml", line, 7, "  x: y"),
        consequence="A short between the terminal and the fuse is limited only by the battery.",
        fix="Move the fuse to within 178 mm of the terminal, along the conductor.",
        source="33 CFR 183.455(a), 7 in",
    )


def conductor(id_: str, title: str, *, chassis: bool = False) -> ConductorRow:
    """One row of the schedule."""
    return ConductorRow(
        id=id_,
        title=title,
        role="return" if chassis else "feed",
        start="engine_bay",
        end="boot",
        chassis=chassis,
        size="body" if chassis else "35 mm2",
        size_mm2=None if chassis else 35.0,
        runs=1,
        material="copper",
        insulation=None if chassis else 105.0,
        ambient=None if chassis else 50.0,
        length=None if chassis else 5.1,
        resistance=1.2e-3 if chassis else 3.02e-3,
        rms=121.4,
        peak=161.9,
        mean=118.3,
        base_ampacity=None if chassis else 216.0,
        factors=() if chassis else (Factor("Ambient 50 °C", 0.85, "33 CFR 183.425 Table 5 note"),),
        allowed=None if chassis else 183.6,
        drop=0.489,
        loss=44.5,
        worst_case="long_note",
        fuses=()
        if chassis
        else (
            FuseRow("front", "engine_bay", "bolt_in", 150.0, 0.15, 5000.0, False, 161.9, 183.6),
            FuseRow("rear", "boot", "bolt_in", 150.0, 0.12, None, False, 161.9, 183.6),
        ),
        warmth=None
        if chassis
        else Warmth("Long note while driving", 121.4, 20.0, 60.2, 55.3, 71.8, 88.4, 92.1, None, 265.0),
        assumed_temperature=None if chassis else 65.0,
        counted_temperature=None if chassis else 71.8,
        extra_drop=0.0 if chassis else 0.01,
    )


def _budget() -> LoadBudget:
    def levels(scale: float) -> tuple[DemandLevel, ...]:
        return (
            DemandLevel("music, 1/8 power", 12.0, 0.125, 16.9 * scale),
            DemandLevel("music, 1/4 power", 9.0, 0.25, 33.1 * scale),
            DemandLevel("full tone", 3.0, 1.0, 131.0 * scale),
        )

    def state(name: str, rpm: float, supply: float, base: float, volts: float) -> EngineBudget:
        demands = levels(13.6 / max(volts, 1.0))
        none = tuple(replace(demand, amperes=0.0) for demand in demands)
        taken = 12.0 if supply > 90.0 else 0.0
        front = BusBudget(
            "Engine bay",
            "A",
            ("engine_bay",),
            supply,
            "alternator, hot output at its shaft speed",
            base,
            (taken,) * 3,
            volts,
            none,
            (supply - base - taken,) * 3,
        )
        rear = BusBudget(
            "Boot left side",
            "B",
            ("boot",),
            taken,
            "converter 12 A" if taken else "batteries only",
            0.0,
            (0.0,) * 3,
            volts,
            demands,
            tuple(taken - d.amperes for d in demands),
        )
        return EngineBudget(name, rpm, (front, rear), demands, rear.balances)

    states = (
        state("stopped", 0, 0, 4, 12.4),
        state("auto_stop", 0, 0, 28, 12.4),
        state("idle", 800, 80, 42, 13.6),
        state("cruise", 2200, 120, 55, 12.8),
    )
    return LoadBudget(
        states=states,
        drives=(
            Drive("20 minutes idle and 40 minutes cruise, music at 1/8 power", "Engine bay", 3600.0, 61200.0),
            Drive("60 minutes idle, music at 1/4 power", "Boot left side", 3600.0, -21000.0),
        ),
        engine_off=(
            EngineOff(
                "music, 1/8 power", 20.9, 5040.0, "starter battery from 90 % to 60 %, reserve kept for one start", True
            ),
            EngineOff(
                "music, 1/4 power", 37.1, 2640.0, "starter battery from 90 % to 60 %, reserve kept for one start", True
            ),
            EngineOff("full tone", 135.0, None, "no battery is set aside for it", False),
        ),
        rated_input_w=1923.0,
        rated_input_a=133.5,
    )


def sample_results(
    *, collapse: bool = False, findings: tuple[Diagnostic, ...] | None = None, conductors: int = 4
) -> Results:
    """Three load cases, a budget, a schedule, findings and inputs."""
    made = (
        (
            finding(
                "fuse-far-from-source",
                Severity.STOP,
                "Fuse `front` of the main feed is 420 mm from the engine bay battery; at most 178 mm.",
                62,
            ),
            finding(
                "idle-balance-negative",
                Severity.CAUTION,
                "At idle with music at 1/4 power the batteries lose 4.1 A.",
                22,
            ),
            finding(
                "battery-vent", Severity.NOTE, "The rear battery stands in the boot; its vent is not recorded.", 41
            ),
        )
        if findings is None
        else findings
    )
    rows = [conductor(f"feed_{i}", f"Feed {i + 1}") for i in range(conductors - 1)]
    return Results(
        verdict=Verdict(
            Severity.STOP,
            "Do not energise: one fuse is too far from its source. Otherwise the voltage "
            "holds in two of three load cases.",
        ),
        key_figures=(
            KeyFigure("11.5 V", "lowest mean at the bass amplifier, long note"),
            KeyFigure("−1.4 dB", "output lost to sag, long note"),
            KeyFigure("+48 A", "balance at cruise, music at 1/8 power"),
            KeyFigure("84 min", "engine off, music at 1/8 power"),
        ),
        energy_sources=(
            EnergySource(
                "starter",
                "Starter battery",
                SourceKind.BATTERY,
                "engine_bay",
                "Engine bay battery",
                "70 Ah AGM, 12.8 V",
            ),
            EnergySource("rear", "Rear battery", SourceKind.BATTERY, "boot", "Boot left side", "80 Ah LiFePO4, 13.3 V"),
            EnergySource(
                "bank", "Capacitor bank", SourceKind.CAPACITOR_BANK, "boot", "Boot left side", "500 F, 16.2 V, 52 kJ"
            ),
        ),
        left_live=Stays.REAR,
        daily=DailyVolts(12.6, 12.8, None, 13.8, 14.6, False, 11.5, 10.5),
        further_sources=(
            EnergySource(
                "main", "Alternator", SourceKind.ALTERNATOR, "alternator", "Alternator and engine block", "120 A"
            ),
        ),
        amplifiers=(
            AmplifierRow(
                "bass",
                "Bass amplifier",
                "boot",
                "unregulated",
                ("sub",),
                1.0,
                1.35,
                1.0,
                1500.0,
                14.4,
                1923.0,
                133.5,
                38.7,
            ),
        ),
        load_cases=(
            load_case("long_note", "Long note while driving", collapse_at=12.4 if collapse else None),
            load_case("bursts", "Bass bursts at idle", seconds=12.0, depth=1.0, bursts=True),
            load_case("music", "A minute of music while driving", seconds=60.0, depth=0.7),
        ),
        budget=_budget(),
        schedule=(*rows, conductor("body", "Body return", chassis=True)),
        findings=made,
        inputs=(
            Input(
                "batteries.starter.internal_resistance",
                "Starter battery",
                "internal resistance",
                "4.2 mΩ",
                "3.8 mΩ",
                "4.6 mΩ",
                "measured",
                "",
            ),
            Input(
                "batteries.rear.surface_charge",
                "Rear battery",
                "surface charge",
                "410 F",
                "40 F",
                "820 F",
                "assumed",
                "no citable measured value; plausible range",
            ),
            Input(
                "cables.body.resistance", "Body return", "resistance", "1.2 mΩ", "0.6 mΩ", "2.4 mΩ", "estimated", ""
            ),
            Input(
                "amplifiers.bass.efficiency",
                "Bass amplifier",
                "efficiency at full power",
                "78 %",
                "72 %",
                "84 %",
                "datasheet",
                "",
            ),
            Input(
                "cables.feed.joints",
                "Main feed",
                "joint resistance, both ends",
                "0.20 mΩ",
                "0.05 mΩ",
                "0.60 mΩ",
                "assumed",
                "common practice",
            ),
        ),
        music=(
            MusicStatistics(
                9.0,
                0.25,
                0.354,
                1.0,
                0.02,
                "One seeded envelope of syllable-like bursts, scaled to the stated crest factor.",
            ),
        ),
    )
