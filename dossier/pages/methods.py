"""The methods appendix: equations in words and signs, their sources, and the statistics of the music signal."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, with_unit
from dossier.pdf.flow import heading, rich, text, together
from dossier.pdf.tables import data_table, num
from dossier.pdf.text import markup
from dossier.results.overview import Results

# (title, equations, words, source)
_METHODS: Final[tuple[tuple[str, tuple[str, ...], str, str], ...]] = (
    (
        "Speaker load",
        ("Z = coils in series: n · Zc; in parallel: Zc / n; drivers likewise",),
        "A strapped pair of amplifiers sees half the load each. Under power the stated operating impedance or "
        "rise is used.",
        "circuit theory",
    ),
    (
        "Amplifier",
        (
            "P = min(asked by the signal, allowed by the rail)",
            "rail: P rated (regulated) or P rated · (V / V rated)² (unregulated)",
            "P input = P / η + idle",
        ),
        "Between rated impedances the power is interpolated on 1/Z; below the lowest rated impedance it is "
        "refused. The amplifier shuts down below its stated voltage and restarts above another, after a delay.",
        "data sheet; interpolation is an assumption",
    ),
    (
        "Conductors",
        ("R = ρ · l / A · (1 + α · (T − 20 °C))", "A of an AWG size: d = 0.127 mm · 92^((36 − n) / 39)"),
        "Both poles, every joint and every fuse count. The body is one resistance.",
        "IEC 60228; ASTM B258",
    ),
    (
        "Allowed current",
        ("I allowed = I table · ambient factor · bundling factor",),
        "Sizes between those of the table are interpolated log-log on area. Aluminium and copper-clad "
        "aluminium are reduced "
        "by the square root of the resistivity ratio.",
        "33 CFR 183.425; the factors stand in the schedule",
    ),
    (
        "Warmth of conductors",
        (
            "I² r₂₀ (1 + α (T − 20 °C)) = heat through insulation, convection and radiation",
            "short: conductor and four shells of insulation, in time",
        ),
        "The published table rates; the model only gives temperatures, scaled so that the table's current gives "
        "exactly the rated temperature. What goes on is judged by its rms current as a continuous one, a single note "
        "by the temperature it reaches after the usual programme. Load cases start with metal {rise} above its air; "
        "where its own heat changes the drops of a case by more than 20 mV in all, the case is computed again with the "
        "resistance at the temperature reached, until nothing changes by more. Nothing is taken as cooler, and a note "
        "has from its beginning the resistance it ends with. Options, sensitivities and logs are laid over metal "
        "{rise} above its air.",
        "Churchill and Chu 1975; 33 CFR 183.425; insulation wall and fill are assumptions",
    ),
    (
        "Fault currents",
        (
            "I = Σ Eₖ alone, the others as resistances",
            "largest: r low, E charged; smallest: one worn battery, hot cables",
        ),
        "Through every real impedance. The low end of a battery adds the bands of its pulse resistance and of its "
        "ohmic share "
        "as the root of the squares of their logarithms. Inductance only delays it.",
        "superposition; IEC 61660-1 (scope read)",
    ),
    (
        "Fuses",
        (
            "I continuous ≤ 0.75 · k · I rated, one note ≤ k · I rated, k = 1 − 0.005 (T − 25 °C)",
            "I rated ≤ I allowed; breaking capacity ≥ largest fault",
            "t ≤ (k S)² / I², k from 115 to 143 A√s/mm² in copper",
        ),
        "Clearing and selectivity are judged only from points of the data sheet. Between them log-log, beyond the "
        "last at equal "
        "I² t, below the first the fuse is taken not to open. Recalled bands are drawn and judged by nobody.",
        "BS 7671 433.1.1, 434.5 (read second-hand); IEC 60364-5-54 Annex A; fuse guides",
    ),
    (
        "Storage and charging",
        (
            "t = H (C / I H)ᵏ",
            "t = R C ln(V₀ / V₁), E = ½ C V²",
            "P = V I / η",
            "ΔL = exact open belt, or wrap / 2 · Δd",
        ),
        "Peukert's exponent is not counted as a gain below the rated current. Cold takes 0.8 %/K of lead-acid "
        "capacity (from "
        "memory). Charge goes back with 85 % efficiency. Forces are mass times 20 g along and 8 g across.",
        "Peukert 1897; circuit theory; NREL alternator map; geometry",
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
        "It follows its set-point with a lag, takes no current back, and at idle rises no faster than its "
        "load response.",
        "regulator with droop and limit",
    ),
    (
        "Capacitor bank",
        ("C = Cc · p / s", "ESR = ESRc · s / p", "E = ½ · C · V²"),
        "Equal cells, s in series, p in parallel.",
        "circuit theory",
    ),
    (
        "Voltage in time",
        ("sum of currents = 0 at every node and instant",),
        "Nodal analysis of both poles with an implicit integrator of second order; every edge of the signal "
        "is a step of its own. When no voltage satisfies the demand, that is a collapse and is reported as "
        "such.",
        "nodal analysis; TR-BDF2 (Bank et al., 1985)",
    ),
    (
        "Mean, 100 ms minimum and trough",
        ("i(t) follows P · (1 − k · cos 2π · 2f · t)",),
        "A tone of frequency f draws its power in pulses at 2f. Mean is the mean over one cycle, the 100 ms "
        "minimum the lowest moving average of that length, the trough the lowest instant. k = 1 means no "
        "storage inside the amplifier.",
        "power of a sine",
    ),
    (
        "Load budget",
        ("balance = supply − vehicle − audio", "mean output / full output = 10^((3 dB − crest factor) / 10)"),
        "Mean currents; 12 dB crest factor is 1/8 of full power.",
        "definition of the crest factor",
    ),
)


def methods(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every method with its equation and source."""
    story: list[Any] = [
        text(
            f"Computed with {stamp.program}. Signs: V voltage, I and i current, R resistance, P power. The "
            "equations are in SI units, whatever units this paper is printed in."
        )
    ]
    rise = with_unit(stamp.units, "rise", 15.0)
    for title, equations, words, source in _METHODS:
        story.append(
            together(
                text(title, "heading_3"),
                *(text(one, "equation") for one in equations),
                rich(f'{markup(words.format(rise=rise))} <font color="#52606D" size="7.8">[{markup(source)}]</font>'),
            )
        )
    if results.music:
        story.append(heading("The music signal", 2, "methods-music"))
        story += [text(one) for one in dict.fromkeys(one.words for one in results.music)]
        story.append(
            data_table(
                [
                    num("Crest factor\ndB"),
                    num("Mean of full\npower"),
                    num("rms of the\nenvelope"),
                    num("Largest"),
                    num("Share of time\nat full, %"),
                ],
                [
                    [
                        fixed(one.crest_db, 1),
                        fixed(one.mean, 3),
                        fixed(one.rms, 3),
                        fixed(one.peak, 2),
                        fixed(100 * one.share_at_full, 1),
                    ]
                    for one in results.music
                ],
            )
        )
    return story
