"""Builds that break and keep the rules on capacitor banks."""

from __future__ import annotations

from additions import BANK
from rule_case import Case

from dossier.diagnostic import Severity

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE

CASES = (
    Case(
        "capacitor-cell-above-rating", STOP, "capacitor_banks.bank.series",
        "capacitor_banks.bank.series", "5", "6",
        "14.2 V / 5 are 2.84 V, / 6 are 2.37 V; rated 2.7 V",
        "analytic", BANK,
    ),
    Case(
        "capacitor-cells-unbalanced", STOP, "capacitor_banks.bank",
        "capacitor_banks.bank.balancing", "none", "active",
        "one small cell among larger ones of +20 % takes 14.2 V · 1.2 / 6.2 = 2.75 V; rated 2.7 V",
        "analytic", BANK,
    ),
    Case(
        "capacitor-cells-unbalanced", CAUTION, "capacitor_banks.bank",
        "capacitor_banks.bank.balancing", None, "active",
        "the same, where nothing is stated",
        "analytic", BANK,
    ),
    Case(
        "bank-without-pre-charge", CAUTION, "capacitor_banks.bank",
        "capacitor_banks.bank.precharge", None, "{resistance: 4.7 ohm, power: 43 W}",
        "I = V/ESR: 14.2 V over six cells of 0.3 mΩ are 7.9 kA, through a fuse of 100 A",
        "analytic", BANK,
    ),
    Case(
        "bank-without-pre-charge", NOTE, "capacitor_banks.bank",
        "capacitor_banks.bank.precharge", None, "{resistance: 4.7 ohm, power: 43 W}",
        "14.2 V over six cells of 60 mΩ are 39 A: no more than the fuse of 100 A bears",
        "analytic", BANK.replace("esr: 0.3 mohm", "esr: 60 mohm"),
    ),
    Case(
        "pre-charge-resistor-overloaded", CAUTION, "capacitor_banks.bank.precharge",
        "capacitor_banks.bank.precharge.power", "42 W", "43 W",
        "P = V²/R: (14.2 V)² / 4.7 Ω are 42.9 W",
        "analytic", BANK,
    ),
)
