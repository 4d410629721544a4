"""What jsonschema finds in a build file, in the words of the reader: code, position, what was expected, cure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from jsonschema import ValidationError

from dossier.buildfile.complaints import Complaints, intended, suggestion
from dossier.buildfile.dates import date_cure
from dossier.buildfile.forms import form
from dossier.buildfile.names import Path, called, listed
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError
from dossier.buildfile.schema import Schema, flat, inside, types
from dossier.buildfile.shapes import shape_cure
from dossier.buildfile.spelling import space_missing, spaceless
from dossier.buildfile.tree import REFUSED
from dossier.buildfile.words import NAME_RULE, flow, in_words, json_type, type_in_words

_FALSE: Final = "properties"  # the only keyword under which the schema says `false`


class Explanation:
    """Explains the errors of one tree; of what follows from one mistake, only the mistake."""

    def __init__(self, data: Any, schema: Schema, errors: Iterable[ValidationError], positions: Positions) -> None:
        self.data, self.schema, self.positions = data, schema, positions
        self.errors = sorted(errors, key=lambda error: _ORDER.index(_keyword(error)))
        self.complaints = Complaints(positions)
        self.mistyped = {_path(error) for error in self.errors if error.validator == "type"}
        self.quantities = {
            _path(error): error.cause
            for error in self.errors
            if isinstance(error.cause, QuantityError) and "propertyNames" not in error.schema_path
        }
        self.said: set[tuple[Any, ...]] = set()

    def explain(self, unquoted: Iterable[Path], names: Iterable[Path]) -> None:
        """Complain of everything that is wrong.

        Args:
            unquoted: free texts that other readers of YAML may not take for text.
            names: names of entries of which the same holds.
        """
        for path in unquoted:
            self._unquoted(path)
        for error in self.errors:
            if error.instance is not REFUSED:  # said when it was read
                self._explain_one(error)
        for path in names:
            if ("name", path) not in self.said:
                headline = f"unquoted `{path[-1]}` has another meaning to some readers of YAML"
                fix = f'quote it, "{path[-1]}", or choose another name'
                self.complaints.add("quote-it", headline, self.positions.key(path), path, NAME_RULE, fix)

    def _explain_one(self, error: ValidationError) -> None:
        """Complain of one error, unless another says it or decides whether it is one."""
        path, parts, keyword = _path(error), list(error.schema_path), _keyword(error)
        if path in self.mistyped and keyword not in ("type", "x-quantity"):
            return
        branch = next((i for i, part in enumerate(parts) if part in ("then", "else")), None)
        around = path[:-1] if branch is not None and keyword == "const" else path
        if branch is not None:
            condition = self._node(parts[:branch])["if"]
            if any((*around, key) in self.mistyped for key in condition.get("properties", {})):
                return
        here = self._at(path) if error.schema is False else error.schema
        asking: Schema = self._node(parts[: branch + 1]) if branch is not None else flat(here)  # type: ignore[arg-type]
        if "propertyNames" in parts:
            self._name(error, path, asking, in_branch=branch is not None)
        elif branch is not None and keyword == "const":
            self._single_choice(error, path, asking)
        elif not self._of_quantity(keyword, path) and self._first((path, tuple(parts))):
            _EXPLAINED[keyword](self, error.instance, asking, path)

    def _first(self, what: tuple[Any, ...]) -> bool:
        """Whether this has not been complained of before."""
        known = what in self.said
        self.said.add(what)
        return not known

    def _node(self, parts: Iterable[str | int]) -> Any:
        """What stands at a path of the schema, references followed."""
        found: Any = self.schema
        for part in parts:
            found = found[part]
            found = flat(found) if isinstance(found, Mapping) else found
        return found

    def _at(self, path: Path) -> Schema:
        """The part of the schema that describes a value."""
        return inside(self.schema, path) or {}

    def _value(self, path: Path) -> Any:
        found = self.data
        for part in path:
            found = found[part]
        return found

    def _of_quantity(self, keyword: str, path: Path) -> bool:
        """Whether the complaint about a quantity as a whole says it better."""
        part = path[-1:] in (("value",), ("tolerance",)) and path[:-1] in self.quantities
        return part or (path in self.quantities and keyword in ("type", "pattern"))

    # maps

    def _present(self, value: Mapping[str, Any], path: Path) -> set[str]:
        """The fields of a map; one whose name is only mistyped is not missed as well."""
        whole = self._at(path)
        fields = whole.get("properties", {})
        closed = whole.get("additionalProperties") is False and value.keys() - fields.keys()
        return value.keys() | (intended(value, fields, whole) if closed else set())

    def _need(self, keys: list[str], value: Mapping[str, Any], path: Path, because: str) -> None:
        """One of several fields."""
        if self._present(value, path).isdisjoint(keys):
            self.complaints.missing(keys, path, self._at(path)["properties"], because)

    def _required(self, value: Mapping[str, Any], asking: Schema, path: Path) -> None:
        for key in asking["required"]:
            self._need([key], value, path, asking.get("x-expected", ""))

    def _together(self, value: Mapping[str, Any], asking: Schema, path: Path) -> None:
        for key, needed in asking["dependentRequired"].items():
            for other in needed if key in value else ():
                self._need([other], value, path, f"`{key}` and `{other}` go together")

    def _either(self, value: Mapping[str, Any], asking: Schema, path: Path) -> None:
        keys = [key for choice in asking["anyOf"] for key in choice["required"]]
        self._need(keys, value, path, asking.get("x-expected", ""))

    def _does_not_apply(self, _: Any, asking: Schema, path: Path) -> None:
        """Fields for which the schema says ``false``; the library does not say which."""
        value = self._value(path)
        for key, field in asking["properties"].items():
            if field is False and key in value:
                self.complaints.misplaced((*path, key), asking.get("x-expected", ""))

    def _unknown(self, value: Mapping[str, Any], asking: Schema, path: Path) -> None:
        for key in value:
            if key not in asking["properties"]:
                self.complaints.unknown((*path, key), asking)

    def _counted(self, value: Mapping[str, Any], asking: Schema, path: Path) -> None:
        low = asking.get("minProperties", 0)
        if len(value) >= low:
            most = f"at most {asking['maxProperties']}"
            return self.complaints.at_key("too-many", path, f"has {len(value)} entries", most)
        what = "is empty" if not value else "has too few entries"
        fix = f"write it in the form `{form(asking)}`"
        return self.complaints.at_key("too-few", path, what, f"at least {low}", fix)

    def _name(self, error: ValidationError, path: Path, asking: Schema, *, in_branch: bool) -> None:
        """The name of an entry: an id, or a quantity that serves as a key; in a branch, a field that has no place."""
        key = str(error.instance)
        inner = (*path, key)
        torn = self._value(path)[key] is REFUSED and "," in key  # by a decimal comma, and said so
        by_quantity = "x-quantity" in asking and error.validator != "x-quantity"
        if torn or by_quantity or not self._first(("name", inner)):
            return
        where = self.positions.key(inner)
        if in_branch:
            if key in self._at(path)["properties"]:
                self.complaints.misplaced(inner, asking.get("x-expected", ""))
        elif isinstance(bad := error.cause, QuantityError):
            self.complaints.add(bad.code, f"a key of {called(path)} {bad.problem}", where, inner, bad.expected, bad.fix)
        else:
            tidy = re.sub("[^a-z0-9]+", "_", key.casefold()).strip("_")[:40]
            fix = f"write `{tidy}`" if re.search(asking["pattern"], tidy) else ""
            headline = f"`{key[:60]}` in {called(path)} cannot be a name"
            self.complaints.add("bad-name", headline, where, inner, NAME_RULE, fix)

    # lists

    def _length(self, value: list[Any], asking: Schema, path: Path) -> None:
        count, low = len(value), asking.get("minItems", 0)
        high = asking.get("maxItems", count)
        code, limit = ("too-few", f"at least {low}") if count < low else ("too-many", f"at most {high}")
        expected = f"exactly {low} entries" if low == high else f"{limit} entries"
        self.complaints.at_key(code, path, f"lists {count}", expected)

    def _twice(self, value: list[Any], _: Schema, path: Path) -> None:
        for index, item in enumerate(value):
            if item in value[:index]:
                inner = (*path, index)
                headline, where = f"{called(path)} lists `{flow(item)}` twice", self.positions.value(inner)
                self.complaints.add("listed-twice", headline, where, inner, "every entry once", "delete one")

    # single values

    def _type(self, value: Any, asking: Schema, path: Path) -> None:
        wanted, is_a, where = types(asking), json_type(value), self.positions.value(path)
        shown = type_in_words(wanted)
        if not path:
            self.complaints.add("wrong-type", f"the file is {in_words(value)}", where, path, shown)
        elif "object" in wanted and isinstance(value, str) and (word := spaceless(value)):
            headline, cure = space_missing(*word)
            self.complaints.add("space-after-colon", headline, where, path, "a name, a colon, a space, a value", cure)
        elif asking.get("format") == "date" and is_a == "integer":
            self._date(str(value), path)
        elif "string" in wanted and is_a in ("integer", "number", "boolean"):
            written = where.text[where.column - 1 : where.column - 1 + where.width]
            what = f"is text, but unquoted `{written}` is read as {in_words(value)}"
            self.complaints.at_value("quote-it", path, what, shown, f'quote it: "{written}"')
        else:
            dashes = where.text[where.column - 1 : where.column] == "-"
            fix = shape_cure(value, wanted, asking, str(path[-1]), dashes=dashes)
            what = f"is {in_words(value)}: `{flow(value)}`"
            self.complaints.at_value("wrong-type", path, what, shown, fix)

    def _unquoted(self, path: Path) -> None:
        """A text that is none to some readers of YAML."""
        where = self.positions.value(path)
        self.said.add(("text", path))
        written = where.text[where.column - 1 : where.column - 1 + where.width]
        what = f"is text, but unquoted `{written}` has another meaning to some readers of YAML"
        self.complaints.at_value("quote-it", path, what, "text", f'quote it: "{written}"')

    def _word(self, value: Any, asking: Schema, path: Path) -> None:
        if isinstance(value, str):  # else it is of the wrong type
            fix = suggestion(value, asking["enum"], asking)
            self.complaints.at_value("unknown-word", path, f"is `{value}`", f"one of {listed(asking['enum'])}", fix)

    def _text(self, value: str, asking: Schema, path: Path) -> None:
        """The first thing that is wrong with a text; a name that cannot exist is called unknown with the references."""
        if not self._first(("text", path)):
            return
        if len(value) < asking.get("minLength", 0) or not value.strip():
            self.complaints.at_value("empty-text", path, "is an empty text", "text", "write it, or delete the line")
        elif len(value) > (limit := asking.get("maxLength", len(value))):
            self.complaints.at_value("text-too-long", path, f"has {len(value)} characters", f"at most {limit}")
        elif asking.get("format") == "date":
            self._date(value, path)
        elif "x-refers-to" not in asking and "\n" in value:
            self.complaints.at_value("bad-text", path, "has more than one line", "one line of text")
        elif "x-refers-to" not in asking:
            examples = " or ".join(f"`{one}`" for one in asking.get("examples", ())[:2])
            expected = asking.get("x-expected", f"a text like {examples}" if examples else asking["title"])
            self.complaints.at_value("bad-text", path, f"is `{value[:80]}`, which cannot be read as that", expected)

    def _date(self, value: str, path: Path) -> None:
        expected = "a day of the calendar as year-month-day, for example `2026-10-03`"
        self.complaints.at_value("bad-date", path, f"is not a date: `{value}`", expected, date_cure(value))

    def _bounds(self, value: float, asking: Schema, path: Path) -> None:
        expected = f"a whole number from {asking.get('minimum', value)} to {asking.get('maximum', value)}"
        self.complaints.at_value("out-of-range", path, f"is {value}", expected)

    def _format(self, value: Any, asking: Schema, path: Path) -> None:
        """A version of the format that this program does not read."""
        if json_type(value) in ("integer", "number"):
            only = asking["const"]
            cure = f"write `{path[-1]}: {only}` and check again: "
            cure += "what that format does not know is then named line by line"
            cure = f"install a newer dossier; or {cure}" if value > only else cure
            what = f"is {value}, which this version of dossier does not read"
            self.complaints.at_value("unsupported-format", path, what, f"`{only}`", cure)

    def _single_choice(self, error: ValidationError, path: Path, asking: Schema) -> None:
        """A word that a condition rules out."""
        if isinstance(error.instance, str):
            expected = f"`{error.validator_value}`: {asking.get('x-expected', '')}"
            self.complaints.at_value("does-not-apply", path, f"is `{error.instance}`", expected)

    def _quantity(self, value: Any, asking: Schema, path: Path) -> None:
        """A text that is no quantity, or one out of its bounds."""
        bad, words = self.quantities[path], asking.get("x-words", ())
        expected = f"{listed(words)}, or {bad.expected}" if words else bad.expected
        if words and bad.code == "not-a-quantity":
            what = f"is neither one of the words known here nor a quantity: `{value}`"
            self.complaints.at_value("unknown-word", path, what, expected, suggestion(value, words, asking))
        else:
            inner = (*path, bad.field) if bad.field else path
            self.complaints.at_value(bad.code, inner, bad.problem, expected, bad.fix)


_Explain = Callable[[Explanation, Any, Schema, Path], None]
_EXPLAINED: Final[Mapping[str, _Explain]] = {  # in the order of complaints about one value
    "minProperties": Explanation._counted,
    "maxProperties": Explanation._counted,
    "required": Explanation._required,
    "dependentRequired": Explanation._together,
    "anyOf": Explanation._either,
    _FALSE: Explanation._does_not_apply,
    "additionalProperties": Explanation._unknown,
    "type": Explanation._type,
    "enum": Explanation._word,
    "const": Explanation._format,
    "minLength": Explanation._text,
    "maxLength": Explanation._text,
    "format": Explanation._text,
    "pattern": Explanation._text,
    "minimum": Explanation._bounds,
    "maximum": Explanation._bounds,
    "minItems": Explanation._length,
    "maxItems": Explanation._length,
    "uniqueItems": Explanation._twice,
    "x-quantity": Explanation._quantity,
}
_ORDER: Final = tuple(_EXPLAINED)


def _path(error: ValidationError) -> Path:
    return tuple(error.path)


def _keyword(error: ValidationError) -> str:
    return _FALSE if error.schema is False else str(error.validator)
