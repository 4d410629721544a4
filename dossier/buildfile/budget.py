"""What a budget and the options it is spent on say wrongly about each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from dossier.buildfile.model import Build, Quantity
from dossier.buildfile.names import Path
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError, parse
from dossier.buildfile.source import BuildFileError, error
from dossier.diagnostic import Diagnostic

MOST_OPTIONS = 12  # within a budget: 4096 combinations


def check_budget(
    tree: Mapping[str, Any], quantities: Mapping[Path, Quantity], positions: Positions
) -> Iterator[Diagnostic]:
    """Options that ask for what they rule out, and a budget that cannot be compared with their costs."""
    options = tree.get("options")
    if not isinstance(options, Mapping):
        return
    for name, option in options.items():
        if not isinstance(option, Mapping):
            continue
        needs, excludes = (one if isinstance(one := option.get(key), list) else [] for key in ("needs", "excludes"))
        for key, listed in (("needs", needs), ("excludes", excludes)):
            if name in listed:
                path: Path = ("options", name, key)
                yield positions.wrong(
                    "option-contradicts-itself",
                    path,
                    f"option `{name}` {key} itself",
                    "other options",
                    f"take `{name}` out of the list",
                )
        for other in (one for one in needs if one in excludes):
            path = ("options", name, "excludes")
            yield positions.wrong(
                "option-contradicts-itself",
                path,
                f"option `{name}` needs `{other}` and excludes it",
                "one of the two",
                f"take `{other}` out of `needs` or out of `excludes`",
            )
    budget = quantities.get(("budget",))
    if budget is not None:
        costs = {name: quantities.get(("options", name, "cost")) for name in options}
        yield from problems_with(budget, costs, positions.value(("budget",)))


def problems_with(
    budget: Quantity, costs: Mapping[str, Quantity | None], where: Any, *, path: str = "budget"
) -> Iterator[Diagnostic]:
    """Too many options to combine, or costs in another currency.

    Args:
        budget: what may be spent.
        costs: of every option, by name; None where it is not stated.
        where: place of the budget, where it stands in the file.
        path: what the budget is called there.
    """
    if len(costs) > MOST_OPTIONS:
        yield error(
            "too-many-options",
            f"{len(costs)} options are written: a budget combines {MOST_OPTIONS} at most",
            where,
            path=path,
            expected=f"{MOST_OPTIONS} options or fewer",
            fix="delete options that nobody would buy, or leave the budget out",
        )
    currency = budget.text[-3:]
    other = [f"`{name}` ({cost.text})" for name, cost in costs.items() if cost and cost.text[-3:] != currency]
    if other:
        yield error(
            "other-currency",
            f"the budget is in {currency}, the cost of {', '.join(other)} is not",
            where,
            path=path,
            expected="one currency for the budget and every cost",
            fix="convert them by hand, at a rate that you know",
        )


def with_budget(build: Build, words: str) -> Build:
    """The build with a budget from outside its file.

    Raises:
        BuildFileError: it is no amount of money, or cannot be compared with the costs of the options.
    """
    path = "--budget"
    try:
        amount = parse("money", words)
    except QuantityError as why:
        problem = error(why.code, f"{path} {why.problem}", None, path=path, expected=why.expected, fix=why.fix)
        raise BuildFileError((problem,)) from why
    costs = {option.id: option.cost for option in build.options.values()}
    budget = Quantity(amount, words.strip(), path)
    problems = list(problems_with(budget, costs, build.places.get("options"), path=path))
    if amount < 0.0:
        problems.append(error("below-minimum", f"{path} is below nothing", None, path=path, expected="0 EUR or more"))
    if problems:
        raise BuildFileError(tuple(problems))
    return replace(build, budget=budget)
