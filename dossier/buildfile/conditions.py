"""What one field of a map asks of its others: required fields, alternatives, conditions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dossier.buildfile.complaints import Complaints, intended
from dossier.buildfile.leaves import is_type, types
from dossier.buildfile.names import Path
from dossier.buildfile.schema import Schema, flat

Fields = Mapping[str, Any]


def check_demands(value: Fields, schema: Schema, path: Path, complaints: Complaints) -> None:
    """Complain about every field of a map that is missing or does not apply.

    A field whose name is only mistyped is not missed as well: the mistyped name is a complaint of its own.
    """
    fields: Fields = schema.get("properties", {})
    present = set(value)
    if schema.get("additionalProperties") is False and present - fields.keys():
        present |= intended(value, fields, schema)
    _Demands(value, present, fields, path, complaints).check(schema)


class _Demands:
    """The demands on one map."""

    def __init__(
        self, value: Fields, present: set[str], fields: Fields, path: Path, complaints: Complaints
    ) -> None:
        self.value = value
        self.present = present
        self.fields = fields
        self.path = path
        self.complaints = complaints

    def check(self, schema: Schema) -> None:
        """The demands of a schema, or of one branch of a condition."""
        because: str = schema.get("x-expected", "")
        for key in schema.get("required", ()):
            self.need([key], because)
        for key, needed in schema.get("dependentRequired", {}).items():
            for other in needed if key in self.value else ():
                self.need([other], f"`{key}` and `{other}` go together")
        if "anyOf" in schema:
            self.need([key for choice in schema["anyOf"] for key in choice["required"]], because)
        own = [schema] if "if" in schema else []
        for rule in (*own, *schema.get("allOf", ())):
            if self.can_decide(rule["if"]):
                branch = rule.get("then" if holds(self.value, rule["if"]) else "else", {})
                self.check(branch)
                self.check_fields(branch)

    def need(self, keys: list[str], because: str) -> None:
        """One of several fields."""
        if self.present.isdisjoint(keys):
            self.complaints.missing(keys, self.path, self.fields, because)

    def can_decide(self, condition: Schema) -> bool:
        """Whether the fields a condition looks at are of the right type; if not, that has been said."""
        looked_at = [key for key in condition.get("properties", {}) if key in self.value]
        return all(is_type(self.value[key], types(flat(self.fields[key]))) for key in looked_at)

    def check_fields(self, branch: Schema) -> None:
        """What a branch says about single fields: they do not apply, or have one possible value."""
        because: str = branch.get("x-expected", "")
        for key, asked in branch.get("properties", {}).items():
            item = self.value.get(key)
            if key in self.value and asked is False:
                self.complaints.misplaced((*self.path, key), because)
            elif isinstance(item, str) and item != asked["const"]:
                expected = f"`{asked['const']}`: {because}"
                self.complaints.at_value("does-not-apply", (*self.path, key), f"is `{item}`", expected)
        names = branch.get("propertyNames", {}).get("enum", self.value)
        for key in self.value:
            if key not in names and key in self.fields:
                self.complaints.misplaced((*self.path, key), because)


def holds(value: Fields, condition: Schema) -> bool:
    """Whether a map fulfils a condition made of ``required`` and of simple demands on its fields."""
    if any(key not in value for key in condition.get("required", ())):
        return False
    looked_at = {key: asked for key, asked in condition.get("properties", {}).items() if key in value}
    return all(_fulfils(value[key], asked) for key, asked in looked_at.items())


def _fulfils(item: Any, asked: Schema) -> bool:
    if "const" in asked and item != asked["const"]:
        return False
    if item not in asked.get("enum", [item]):
        return False
    if "type" in asked and not is_type(item, types(asked)):
        return False
    return "minimum" not in asked or bool(item >= asked["minimum"])
