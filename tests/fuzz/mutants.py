"""Mutants of valid build files: bytes damaged at random, and values, keys and entries exchanged for nasty ones."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from dossier.buildfile.starters import STARTERS, plain_starter
from dossier.buildfile.units import KINDS

LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # the mutants are the same, only sooner
EVERYTHING = Path(__file__).parents[1] / "buildfile" / "examples" / "good" / "everything.yaml"
# Short sounds, so that twenty thousand of them can be played; the shortest that music and bursts allow.
_SOUND = re.compile(r"(music: .*?for: |every: .*?for: |for: )[0-9.]+ (?:s|min|h)")


def seeds() -> tuple[str, ...]:
    """Valid build files that mutants come from."""
    texts = [plain_starter(kind) for kind in STARTERS] + [EVERYTHING.read_text(encoding="utf-8")]
    return tuple(_SOUND.sub(_shortened, text) for text in texts)


def single_cases() -> tuple[str, ...]:
    """The same build files with one load case each: what is computed, is computed sooner."""
    made = []
    for text in seeds():
        tree = yaml.load(text, Loader=LOADER)
        for name, case in tree["load_cases"].items():
            options = {  # one that changes another load case would be refused now
                key: option
                for key, option in tree.get("options", {}).items()
                if set(option["changes"].get("load_cases", ())) <= {name}
            }
            kept = {**tree, "load_cases": {name: case}, "options": options}
            measured = tree.get("measurements", {})
            kept["measurements"] = {  # what was read in another would be refused, too
                section: {id_: one for id_, one in entries.items() if one.get("load_case", name) == name}
                for section, entries in measured.items()
            }
            if not options:
                del kept["options"]
            made.append(yaml.safe_dump(kept, sort_keys=False, allow_unicode=True))
    return tuple(made)


def _shortened(found: re.Match[str]) -> str:
    return found[1] + ("2 s" if "music" in found[1] else "1 s" if "every" in found[1] else "0.3 s")


NUMBERS = ("0", "-1", "1e-9", "1e9", "0.0001", "99999", "1e99", ".nan", ".inf", "0.5", "3", "1e-30", "7", "+2")
UNITS = tuple(dict.fromkeys(unit for kind in KINDS.values() for unit in kind.listed))
SCALARS = (
    "null", "true", "no", "[]", "{}", "~", "''", "0x1f", "12:30", "1e5", "&a x", "*a", "!!python/name:os.system x",
    "<<", "2026-02-30", "é̈", "\u202e", "日本語", "'" + "x" * 300 + "'", "{value: 1 V}", "[1, 2]", "=cmd()",
    "<b>x</b>", "%s%n", "../../etc/passwd", "http://example.invalid/", "boot", "engine", "starter", "bass", "cruise",
    "regulated", "unregulated", "lto", "lifepo4", "flooded", "agm", "dc_dc", "charger", "copper", "cca_10", "feed",
    "return", "clipped", "stopped", "auto_stop", "idle", "1/0 AWG", "40 AWG",
)  # fmt: skip
PIECES = (
    b"{", b"}", b"[", b"]", b":", b": ", b",", b"'", b'"', b"#", b"&a ", b"*a", b"|", b">", b"- ", b"? ", b"\n",
    b"\t", b"\x00", b"\xff", b"\xe2\x80\xae", b"---\n", b"...\n", b"<<: ", b"%YAML 1.1\n", b"!!binary ", b"\\",
)  # fmt: skip


def byte_mutant(text: str, chance: random.Random) -> bytes:
    """A text with a few bytes flipped, cut out, put in, doubled or moved."""
    data = bytearray(text.encode())
    for _ in range(chance.randint(1, 5)):
        at = chance.randrange(len(data) + 1)
        to = min(len(data), at + chance.choice((1, 1, 2, 8, 40, 400)))
        action = chance.randrange(6)
        if action == 0:
            del data[at:to]
        elif action == 1:
            data[at:at] = chance.choice(PIECES)
        elif action == 2:
            data[at:at] = data[at:to]
        elif action == 3 and at < len(data):
            data[at] ^= 1 << chance.randrange(8)
        elif action == 4:
            piece = data[at:to]
            del data[at:to]
            where = chance.randrange(len(data) + 1)
            data[where:where] = piece
        else:
            lines = bytes(data).split(b"\n")
            chance.shuffle(lines) if chance.random() < 0.1 else lines.insert(
                chance.randrange(len(lines)), chance.choice(lines)
            )
            data = bytearray(b"\n".join(lines))
    return bytes(data)


def value_mutant(text: str, chance: random.Random) -> bytes:
    """A text in which a few values or keys, where the parser sees them, are exchanged, removed or doubled."""
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        try:
            nodes = list(_scalars(yaml.compose(text, Loader=LOADER)))
        except (yaml.YAMLError, RecursionError):
            break
        if not nodes:
            break
        node = chance.choice(nodes)
        start, end = node.start_mark.index, node.end_mark.index
        text = text[:start] + _other(node.value, nodes, chance) + text[end:]
    return text.encode("utf-8", "replace")


def _scalars(node: Any) -> Iterator[Any]:
    """Every scalar of a tree, keys now and then as well."""
    if isinstance(node, yaml.ScalarNode):
        yield node
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if isinstance(key, yaml.ScalarNode) and len(key.value) % 5 == 0:
                yield key
            yield from _scalars(value)
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _scalars(item)


def _other(value: str, nodes: list[Any], chance: random.Random) -> str:
    """Something to stand in place of a value: the same unit with a nasty number, a neighbour's value, or a word."""
    found = re.fullmatch(r"([+-]?[0-9.]+)( ?)(.*)", value)
    roll = chance.random()
    if found and roll < 0.8:
        factor = chance.choice((0.001, 0.1, 0.3, 0.5, 0.9, 1.1, 2, 3, 10, 1000))
        try:
            number = f"{float(found[1]) * factor:g}" if chance.random() < 0.85 else chance.choice(NUMBERS)
        except ValueError:
            number = chance.choice(NUMBERS)
        unit = found[3] if chance.random() < 0.97 else chance.choice(UNITS)
        return f"{number}{found[2]}{unit}"
    if roll < 0.92:
        other = str(chance.choice(nodes).value)
        return other if re.fullmatch(r"[\w ./%-]+", other) else repr(other)
    return chance.choice(SCALARS)


def mutants(count: int, seed: int) -> Iterator[bytes]:
    """``count`` mutants, the same for the same seed: every third damaged in its bytes, the others in its values."""
    chance = random.Random(seed)
    whole, single = seeds(), single_cases()
    for number in range(count):
        yield byte_mutant(chance.choice(whole), chance) if number % 3 == 0 else value_mutant(
            chance.choice(single), chance
        )
