"""Every switch of the layout library that the output depends on, set in code."""

from __future__ import annotations

from typing import Final

from reportlab import rl_config, rl_settings

_OWN: Final = {
    "invariant": 1,
    "pageCompression": 1,
    "useA85": 0,
    "ttfAsciiReadable": 0,  # halves the embedded fonts
    "allowTableBoundsErrors": 0,  # a table wider than its frame is our mistake and must be seen
    "uriWasteReduce": 0.3,
    "trustedSchemes": [],  # markup comes from our own code only; these close the doors all the same
    "trustedHosts": ["none.invalid"],
    "toColorCanUse": None,
    "unShapedFontGlob": [],
}
# Not used here (faces are opened by path, the page size is given), and kept in another form than in rl_settings.
_LEFT_ALONE: Final = ("T1SearchPath", "TTFSearchPath", "CMapSearchPath", "defaultPageSize")


def settle() -> None:
    """Undo what ``RL_`` environment variables and settings files changed, then set our own values."""
    for name in rl_settings.__all__:
        if name not in _LEFT_ALONE:
            setattr(rl_config, name, getattr(rl_settings, name))
    for name, value in _OWN.items():
        setattr(rl_config, name, value)
