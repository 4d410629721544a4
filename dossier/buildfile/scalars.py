"""What an unquoted YAML scalar means: truth value, `null`, whole number, plain decimal; all else is text.

Other readers of YAML see more in an unquoted word (PyYAML 6.0.4, which follows YAML 1.1, was tried: `NO` is
false, `0123` is 83, `12:30` is 750). Such words are kept as text here, and refused where text was wanted, so
that no other reader of the same file can understand it differently.
"""

from __future__ import annotations

import re

# YAML 1.1 type repository (yaml.org/type: bool, int, float, null, merge); YAML 1.2 core schema, ch. 10.3.
_AMBIGUOUS = re.compile(
    r"""(?x)
    y|Y|yes|Yes|YES|n|N|no|No|NO|true|True|TRUE|false|False|FALSE|on|On|ON|off|Off|OFF
    |~|null|Null|NULL|<<|=
    |[-+]?0b[01_]+|[-+]?0o?[0-7_]+|[-+]?0x[0-9a-fA-F_]+|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])*(?:\.[0-9_]*)?
    |[-+]?(?:[0-9][0-9_]*(?:\.[0-9_]*)?|\.[0-9_]+)(?:[eE][-+]?[0-9]+)?
    |[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)
    """
)
_WHOLE = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,14})")
_DECIMAL = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,14})\.[0-9]{1,15}")
_WORDS: dict[str, bool | None] = {"true": True, "false": False, "null": None, "~": None}


def read_plain(text: str) -> str | int | float | bool | None:
    """Value of an unquoted scalar."""
    if text in _WORDS:
        return _WORDS[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    if _DECIMAL.fullmatch(text):
        return float(text)
    return text


def is_ambiguous(text: str) -> bool:
    """Whether some reader of YAML takes this unquoted scalar for something other than text."""
    return _AMBIGUOUS.fullmatch(text) is not None
