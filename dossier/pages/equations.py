"""The equations of the methods appendix: title, equations in signs, words, source.

Words may hold ``{measures}``, printed in the reader's units.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dossier.reader.units import Kind

MEASURES: Final[Mapping[str, tuple[Kind, float]]] = {
    "rise": ("rise", 15.0),
    "swing": ("rise", 5.0),
    "table": ("temperature", 30.0),
    "bay": ("temperature", 50.0),
    "frost": ("temperature", 0.0),
    "warm": ("temperature", 25.0),
    "plain": ("temperature", 160.0),
    "set": ("temperature", 250.0),
    "rated": ("temperature", 125.0),
    "lead": ("temperature", 60.0),
    "boot": ("temperature", 40.0),
    "seven": ("distance", 0.1778),
    "forty": ("distance", 1.016),
    "iso": ("distance", 0.2),
    "craft": ("distance", 0.18),
    "trade": ("distance", 0.4572),
}
Method = tuple[str, tuple[str, ...], str, str]

METHODS: Final[tuple[Method, ...]] = (
    (
        "Speaker load",
        ("Z = coils in series: n · Zc; in parallel: Zc / n; drivers likewise",),
        "A strapped pair of amplifiers sees half the load each. Under power the stated operating impedance or rise "
        "is used.",
        "circuit theory",
    ),
    (
        "Amplifier",
        (
            "P = min(asked by the signal, allowed by the rail)",
            "rail: P rated (regulated) or P rated · (V / V rated)² (unregulated)",
            "P input = P / η + idle",
        ),
        "Between rated impedances the power is interpolated on 1/Z; below the lowest rated impedance it is refused. "
        "The amplifier shuts down below its stated voltage and restarts above another, after a delay.",
        "data sheet; interpolation is an assumption",
    ),
    (
        "Ripple from a multimeter",
        ("√2 · V AC = k · I signal · |Z| / |1 + g · Z|",),
        "Z is what the amplifier sees at twice the tone: cables, joints and the quick resistance of batteries, banks "
        "with their capacitance; I signal its current for the signal at the DC volts read with it, g the slope of its "
        "current on voltage. In the samples the reading is what is known: one of less resistance has more ripple "
        "current. A lower tone than that of the reading gets more, k = 1 / √(1 + x²) with x in proportion to the "
        "tone; a higher one gets no credit. AC ranges of meters begin at about 40 Hz, and read a sine.",
        "circuit theory; meters: common practice",
    ),
    (
        "Conductors",
        ("R = ρ · l / A · (1 + α · (T − 20 °C))", "A of an AWG size: d = 0.127 mm · 92^((36 − n) / 39)"),
        "Both poles, every joint and every fuse count. The body is one resistance.",
        "IEC 60228; ASTM B258",
    ),
    (
        "Allowed current",
        (
            "I allowed = I table · ambient · bundling · material",
            "ambient = √((T insulation − T air) / (T insulation − T table)), material = √(R copper / R)",
        ),
        "Published for a single copper conductor in air of {table}, by the rating of its insulation; between two "
        "columns the lower counts. Sizes between those of the table are interpolated log-log on area; above 4/0 AWG "
        "its value stands, below 18 AWG and below the lowest column there is none. From {bay} on no more than the "
        "published factor for engine spaces. Bundles take the lower of two published ladders. What the conductor "
        "may carry for a short time follows from its heating.",
        "33 CFR 183.425, Table 5, notes 1 and 2 (from memory); NEC 310.15(B) and BS 7671 (read second-hand); ASTM "
        "B566",
    ),
    (
        "Warmth of conductors",
        (
            "I² r₂₀ (1 + α (T − 20 °C)) = heat through insulation, convection and radiation",
            "short: conductor and four shells of insulation, in time",
        ),
        "The published table rates; the model only gives temperatures, scaled so that the table's current gives "
        "exactly the rated temperature. Unscaled, in free air, it would allow 2 % less to 19 % more than the table "
        "from 6 AWG up and 3 % less to 69 % more below, where the table's columns scatter. What goes on is judged "
        "by its rms current as a continuous one (music swings by {swing} around it), slow bursts by the swing "
        "around it in time, a single note by the temperature it reaches after the usual programme. Load cases start "
        "with metal {rise} above its air; where its own heat changes the drops of a case by more than 20 mV in all, "
        "the case is computed again with the resistance at the temperature reached, until nothing changes by more. "
        "Nothing is taken as cooler, and a note has from its beginning the resistance it ends with. Options, "
        "sensitivities and logs are laid over metal {rise} above its air.",
        "Churchill and Chu 1975; 33 CFR 183.425; insulation wall and fill are assumptions",
    ),
    (
        "Fault currents",
        (
            "I = Σ Eₖ / (rₖ + R), each source alone, the others as resistances",
            "largest: r low, E charged; smallest: one worn battery, hot cables",
        ),
        "Through every real impedance, both poles. The low end of a battery adds the bands of its pulse resistance "
        "and of its ohmic share as the root of the squares of their logarithms; the share is recalled, also where "
        "the resistance was measured, and stands under Assumptions. Banks count for the largest current only: they "
        "may be empty. An alternator adds its output. Inductance only delays it.",
        "superposition; IEC 61660-1 (scope read)",
    ),
    (
        "Fuses",
        (
            "I continuous ≤ 0.75 · k · I rated, one note ≤ k · I rated, k = 1 − 0.005 (T − 25 °C)",
            "I rated ≤ I allowed; breaking capacity ≥ largest fault",
            "t ≤ (k S)² / I², k = √(Qc (β + 20) / ρ₂₀ · ln((β + T end) / (β + T start)))",
        ),
        "Rated up to 1.5 times the allowed current a fuse protects in short circuits only: between 1.1 and 2.5 "
        "times its rating nothing opens in time. That it opens within five seconds and that the conductor survives "
        "until then are two verdicts; both, and which of two fuses opens first, are judged only from points of the "
        "data sheet. Between them log-log, beyond the last at equal I² t, below the first the fuse is taken not to "
        "open. Recalled bands are drawn and judged by nobody; from six times the rating they all open in about a "
        "second, which 12 AWG and larger stands. Insulation ends at {plain}, rated above {rated} at {set}. A branch "
        "without a fuse is judged by what the fuses on the way let through. Breaking capacity is also compared with "
        "a published table by the cold-cranking current connected: 1.5, 3 and 5 kA for a main fuse, half of it for "
        "a branch.",
        "BS 7671 433.1.1, 434.5, Table 43.1 (read second-hand); IEC 60364-5-54 Annex A; 33 CFR 183.455; 46 CFR "
        "111.50-5(a)(3); ABYC E-11 Table V-A (read second-hand); fuse guides",
    ),
    (
        "Where a fuse sits",
        ("length along the conductor from the terminal ≤ that of the rule",),
        "33 CFR 183.455: {seven}, in a sheath {forty}; ISO 10133: {iso}; ISO 13590: {craft}; the trade: {trade}, "
        "common practice. Without a chosen rule the first stops beyond the trade's length and cautions up to it. "
        "Both ends of every feed are followed to every source, over closed couplings.",
        "as named; the build file chooses under limits",
    ),
    (
        "What would pass",
        ("smallest size, then insulation, then one more run, each with its fuses",),
        "Every candidate is judged by the rules of the findings, with the currents that it and its neighbours would "
        "then carry, from the linear network. It is offered only if the findings are gone and nothing else is "
        "worse; a return grows with its feed where it must.",
        "the rules above",
    ),
    (
        "Leads and couplings",
        ("I = √(P / Z), loss = I² R, level = −20 log (1 + R / Z)", "own fuses support: I · 14.4 V · η"),
        "Speaker and remote leads are taken as insulated for {lead} in {boot} of air; music of 9 dB crest factor. "
        "Couplings are held against their continuous rating by rms and against their peak rating by the crest. A "
        "claim above 1.5 times what the amplifier's fuses support is told. Terminals count as dangerous above 50 V "
        "rms.",
        "circuit theory; 33 CFR 183.425; common practice; IEC 60364-4-41 (from memory)",
    ),
    (
        "Sources on one bus",
        (
            "window moves by −3.9 mV/K · cells · (T − 25 °C) for lead-acid",
            "ΔI of two alternators = ΔV / (r₁ + r₂), r their droops",
            "hydrogen = 2.5 litres per ampere-hour of overcharge and six cells",
        ),
        "A battery is as warm as the air at its place; its window follows between {frost} and {bay}. In the warm "
        "the usual most falls, what fills it stays. Voltage-controlled units are held against the charging voltage "
        "and against the lowest voltage of the load cases. What stays live is what feeds and couplings join to any "
        "other source. Where an opening leaves an alternator no battery and no bank: load dump.",
        "charging windows below; −3.9 mV/K from an encyclopaedia, itself uncited; its limits common practice; "
        "Faraday; ISO 16750-2 (from memory)",
    ),
    (
        "Capacitor banks",
        (
            "C = Cc · p / s, ESR = ESRc · s / p, E = ½ C V²",
            "smallest cell: V (1 + a) / (s + a), a the spread of capacitance; balanced: 3 % more than the mean",
            "inrush = V / ESR; P = V² / R at first, t = R C ln (V₀ / V₁), all of E ends in the resistor",
            "to 50 J: V = √(100 / C)",
        ),
        "s equal cells in series, p in parallel. The inrush leaves out the cables: the high side.",
        "circuit theory; capacitance −0/+20 % (cell data, read second-hand)",
    ),
    (
        "Alternator and belt",
        (
            "n shaft = n engine · ratio, P mechanical = V I / η, torque = P / (2π n engine)",
            "L = 2 C cos β + π (D + d) / 2 + β (D − d), sin β = (D − d) / 2C; over several pulleys ΔL = wrap / 2 · Δd",
        ),
        "Efficiency by shaft speed at full load where it is not stated; hot output 0.67 to 0.96 of the cold one, by "
        "speed. A limit of shaft speed that is not stated is the low end of data sheets.",
        "NREL ADVISOR alternator map (read); marine alternator manual, hot and cold (read second-hand); geometry",
    ),
    (
        "Reserve, parking and start",
        (
            "t = H (C / I H)ᵏ · (share now − share kept)",
            "recharge = charge / 0.85 / what the alternator has left or the batteries accept",
            "days = charge down to the reserve / Σ draws",
            "V cranking = E(share kept) − I · r cold, worn",
        ),
        "Peukert's exponent is not counted as a gain below the rated current. Cold takes 0.8 %/K of lead-acid "
        "capacity below {warm} (from memory). Draws that are not stated are assumed and marked; a bank's leakage "
        "and balancing, battery managements and self-discharge count.",
        "Peukert 1897; SAE J537; from memory where said",
    ),
    (
        "Mass and restraint",
        ("F = mass · a, a = 20 g along and 8 g across",),
        "What is bolted in must be held in a crash; g is standard gravity.",
        "order of UN R67, R100 and R110 (from memory)",
    ),
    (
        "Battery",
        ("v = E − R₀ · i − v₁ − vₛ", "C₁ · dv₁/dt = i − v₁ / R₁", "Cₛ · dvₛ/dt = i − vₛ / Rₛ"),
        "Open-circuit voltage, ohmic and polarisation resistance, and the surface charge that is left after "
        "charging.",
        "equivalent-circuit model; its values stand under Assumptions and inputs",
    ),
    (
        "Alternator",
        ("I = clip((V set − v) / R droop, 0, I max)", "shaft speed = engine speed · pulley ratio"),
        "It follows its set-point with a lag, takes no current back, and at idle rises no faster than its load "
        "response.",
        "regulator with droop and limit",
    ),
    (
        "Voltage in time",
        ("sum of currents = 0 at every node and instant",),
        "Nodal analysis of both poles with an implicit integrator of second order; every edge of the signal is a "
        "step of its own. When no voltage satisfies the demand, that is a collapse and is reported as such.",
        "nodal analysis; TR-BDF2 (Bank et al., 1985)",
    ),
    (
        "Mean, 100 ms minimum and trough",
        ("i(t) follows P · (1 − k · cos 2π · 2f · t)",),
        "A tone of frequency f draws its power in pulses at 2f. Mean is the mean over one cycle, the 100 ms minimum "
        "the lowest moving average of that length, the trough the lowest instant. k = 1 means no storage inside the "
        "amplifier.",
        "power of a sine",
    ),
    (
        "Load budget",
        (
            "balance = supply − vehicle − converters − audio",
            "mean output / full output = 10^((3 dB − crest factor) / 10)",
        ),
        "Mean currents, each bus by itself; 12 dB crest factor is 1/8 of full power. A bus is what cables, closed "
        "contacts and conducting diodes join in that engine state; a converter takes V I / η from one, gives V I to "
        "another.",
        "definition of the crest factor",
    ),
)
