"""Options: a JSON Merge Patch (RFC 7396) over the build file's tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def merge_patch(tree: Any, patch: Any) -> Any:
    """The tree with a patch applied; neither argument is changed.

    RFC 7396, section 2, with one addition: a quantity written as a map is replaced as a whole, so that a new
    value drops the old value's basis and tolerance.
    """
    if not isinstance(patch, Mapping):
        return patch
    keep = isinstance(tree, Mapping) and not _is_quantity(patch)
    result = dict(tree) if keep else {}
    for key, value in patch.items():
        if value is None:
            result.pop(key, None)
        else:
            result[key] = merge_patch(result.get(key), value)
    return result


def removed_in_vain(tree: Any, patch: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Every path of a patch that takes away what is not there, and the names beside it that are."""
    if not isinstance(patch, Mapping) or _is_quantity(patch):
        return
    here = tree if isinstance(tree, Mapping) else {}
    for key, value in patch.items():
        if value is None and key not in here:
            yield (*path, key), [str(name) for name in here]
        elif value is not None:
            yield from removed_in_vain(here.get(key), value, (*path, key))


def _is_quantity(patch: Mapping[str, Any]) -> bool:
    return "value" in patch and not isinstance(patch["value"], Mapping)


def patched_tree(tree: Mapping[str, Any], *options: str) -> dict[str, Any]:
    """The tree of a build with options applied, one after the other; it has no options itself."""
    result: dict[str, Any] = {key: value for key, value in tree.items() if key not in ("options", "budget")}
    for option in options:
        result = merge_patch(result, tree["options"][option]["changes"])
    return result


def contradict(tree: Mapping[str, Any], one: str, other: str) -> bool:
    """Whether it matters which of two options is applied first: each then says something else of the same thing."""
    return patched_tree(tree, one, other) != patched_tree(tree, other, one)
