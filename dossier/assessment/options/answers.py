"""What to buy, in plain words: which options keep the limits of every load case, and of each."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.reader.promised import low_v
from dossier.results.options import OptionRow, Turn, Use
from dossier.results.sag import Kept

LEVEL_V = 0.05  # options this close hold the same: half of what is printed


def answer(rows: Sequence[OptionRow]) -> tuple[str, ...]:
    """Which written option keeps every limit, with its cost; nothing where no limit is stated or no option written."""
    build, options = rows[0], written(rows)
    if not options or all(use.kept is None for row in (build, *options) for use in row.uses):
        return ()
    if build.keeps_all:
        return (f"The build as it stands keeps every limit in every load case{_how(build.uses)}.",)
    keeping = sorted((r for r in options if r.keeps_all and not r.stops), key=_cost)
    said = []
    if keeping:
        first, *others = keeping
        cost = "its cost is not stated" if first.cost is None else f"for {priced(first)}"
        said.append(f"{named(first)} keeps every limit in every load case{_how(first.uses)}: {cost}.")
        if others:
            said.append(f"So do {_listed([_with_cost(r) for r in others])}.")
        return tuple(said)
    said.append(f"No written option keeps every limit in every load case ({len(options)} compared).")
    stopped = [r for r in options if r.keeps_all]
    if stopped:
        said.append(f"{_listed([named(r) for r in stopped])} would, but must not be built as written: a stop.")
        return tuple(said)
    near = min(options, key=lambda r: (len(r.missed), max((_short(u) for u in r.missed), default=0.0)))
    if near.missed:
        said.append(f"{_with_cost(near)} comes nearest: it misses {_listed([_missed(u) for u in near.missed])}.")
    return tuple(said)


def by_use(rows: Sequence[OptionRow], turned: Sequence[Turn]) -> tuple[str, ...]:
    """One sentence for each load case: what holds most, and which options keep its limits at what cost."""
    build, options = rows[0], written(rows)
    if not options:
        return ()
    said = []
    for use in build.uses:
        here = [(r, u) for r in options for u in r.uses if u.case == use.case]
        if not here:
            continue
        best, found = max(here, key=lambda one: _volts(one[1]))
        level = [named(r) for r, u in here if _volts(found) - _volts(u) < LEVEL_V]
        words = f"{use.title}: {_listed(level)} {'hold' if len(level) > 1 else 'holds'} most ({_figure(found)})"
        shares = [(u.best_share, named(r)) for r, u in here if u.best_share]
        if shares:
            share, who = max(shares)
            words += f"; {who} is best in {100.0 * share:.0f} % of the samples"
        turn = next((t for t in turned if t.case == use.case and t.best == best.id), None)
        if turn is not None:
            then = next(named(r) for r in options if r.id == turn.then)
            words += f"; {then} once the loudspeakers rise above {turn.rise:.1f} times their nominal impedance"
        keep = [(r, u) for r, u in here if u.kept in (Kept.NOMINAL, Kept.SAMPLES)]
        if use.kept is None and all(u.kept is None for _, u in here):
            words += ". No limit is stated for it."
        elif keep:
            kept = [f"{_with_cost(r)}{_by_samples(u)}" for r, u in sorted(keep, key=lambda one: _cost(one[0]))]
            words += f". Its limits are kept by {_listed(kept)}."
            words += " As it stands it keeps them too." if use.kept in (Kept.NOMINAL, Kept.SAMPLES) else ""
        else:
            words += ". Its limits are kept by none of them."
        said.append(words)
    return tuple(said)


def written(rows: Sequence[OptionRow]) -> list[OptionRow]:
    """The options of the build file."""
    return [row for row in rows if row.kind == "option"]


def named(row: OptionRow) -> str:
    """Its title between quotation marks."""
    return f"“{row.title}”"


def priced(row: OptionRow) -> str:
    """Its stated cost."""
    return f"{row.cost:.2f}".removesuffix(".00") + f" {row.currency}".rstrip()


def _with_cost(row: OptionRow) -> str:
    return f"{named(row)} (cost not stated)" if row.cost is None else f"{named(row)} ({priced(row)})"


def _cost(row: OptionRow) -> float:
    return float("inf") if row.cost is None else row.cost


def _volts(use: Use) -> float:
    return -1.0 if use.mean.volts is None else use.mean.volts


def _figure(use: Use) -> str:
    return "cannot be held" if use.mean.volts is None else f"{low_v(use.mean.volts)} V"


def _short(use: Use) -> float:
    return float("inf") if use.short is None else use.short


def _missed(use: Use) -> str:
    """By how much, and in how many samples it is kept all the same."""
    if use.short is None:
        words = f"“{use.title}”, which it cannot hold"
    else:
        words = f"“{use.title}” by {'less than 0.1' if use.short < 0.1 else f'{use.short:.1f}'} V"
    return words if use.kept_share is None else f"{words} (kept in {100.0 * use.kept_share:.0f} % of the samples)"


def _by_samples(use: Use) -> str:
    if use.kept is not Kept.SAMPLES or use.kept_share is None:
        return ""
    return f", in {100.0 * use.kept_share:.0f} % of the samples"


def _how(uses: Sequence[Use]) -> str:
    by_nominal = all(use.kept is not Kept.SAMPLES for use in uses)
    return ", computed with nominal values" if by_nominal else ", in 95 % of the samples or more"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
