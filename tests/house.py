"""Draws the house for DEVELOPERS.md: which floor looks at which, from the imports as they are.

Run ``python tests/house.py`` to write the drawing anew; a test holds the page to it.
"""

from __future__ import annotations

import ast
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- house: made by tests/house.py -->\n", "<!-- end of house -->\n"


def floors() -> list[str]:
    """The floors from the top down, as the contract in pyproject.toml lists them."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    layers = next(one["layers"] for one in contracts if one["type"] == "layers")
    return [name.strip().removeprefix("dossier.") for line in layers for name in line.split("|")]


def looks_at() -> dict[str, set[str]]:
    """Floor -> the floors it imports from, itself left out."""
    seen: dict[str, set[str]] = {floor: set() for floor in floors()}
    for path in sorted((ROOT / "dossier").rglob("*.py")):
        floor = path.relative_to(ROOT / "dossier").parts[0].removesuffix(".py")
        if floor not in seen:
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module, *(f"{node.module}.{one.name}" for one in node.names)]
            seen[floor] |= {parts[1] for name in names if (parts := name.split("."))[0] == "dossier" and len(parts) > 1}
    return {floor: {one for one in below if one in seen and one != floor} for floor, below in seen.items()}


def drawing() -> str:
    """A square: a floor a row, a dot in the column of every floor it looks at; left of the diagonal stands none."""
    names, below = floors(), looks_at()
    wide = max(map(len, names)) + 2
    heads = "".join(f"{index:>3}" for index in range(1, len(names) + 1))
    rows = [
        f"{index:>2} {name:<{wide}}"
        + "".join(f"{'■' if other == name else '·' if other in below[name] else ' ':>3}" for other in names)
        for index, name in enumerate(names, start=1)
    ]
    return "\n".join(["```text", f"{'':<{wide + 3}}{heads}", *(row.rstrip() for row in rows), "```", ""])


def page_with(made: str) -> str:
    """DEVELOPERS.md with the drawing in its place."""
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(BEGIN)
    return before + BEGIN + made + END + rest.split(END)[1]


if __name__ == "__main__":
    PAGE.write_text(page_with(drawing()), encoding="utf-8")
