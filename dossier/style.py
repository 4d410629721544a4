"""Colours, type sizes, line weights and page geometry: one place for paper and figures.

Lengths are PDF points unless a name says millimetres. Contrast ratios in the comments are against white (WCAG 2
formula). Nothing here is transparent: tints are mixed beforehand, so that the file needs no blending.
"""

from __future__ import annotations

from typing import Final

POINTS_PER_MM: Final = 72.0 / 25.4

# --- page -------------------------------------------------------------------------------------------------------
# One live area for both papers, so that A4 and Letter break in the same places.
PAPERS_MM: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
LIVE_WIDTH: Final = 174.0 * POINTS_PER_MM
LIVE_HEIGHT: Final = 243.0 * POINTS_PER_MM
LIVE_SHIFT_DOWN: Final = 2.0 * POINTS_PER_MM
HEADER_ABOVE: Final = 8.0 * POINTS_PER_MM
FOOTER_BELOW: Final = 9.0 * POINTS_PER_MM
GUTTER: Final = 18.0  # between right-aligned numbers and the text that follows them, and between columns

# --- colour -----------------------------------------------------------------------------------------------------
INK: Final = "#1F2933"  # 14.8
MUTED: Final = "#52606D"  # 6.5
RULE: Final = "#9AA5B1"
HAIR: Final = "#D9DFE5"
TINT: Final = "#F4F6F8"
BAND: Final = "#E3E9EE"  # plotted bands and regions
GRID: Final = "#E3E8ED"
ACCENT: Final = "#0F4C5C"  # 9.5
GOOD: Final = "#1E6B4A"  # 6.5
CARE: Final = "#8A5300"  # 6.3
BAD: Final = "#A3262A"  # 7.3
WHITE: Final = "#FFFFFF"

# Lightness 20, 34, 47 and 60: apart in greyscale and under the common colour deficiencies; a dash pattern each.
SERIES: Final = ("#043255", "#863914", "#1E7E65", "#938ABD")
DASHES: Final = ((), (5.0, 1.6), (1.4, 1.4), (6.0, 1.4, 1.4, 1.4))  # in points, () = solid

# --- type: (size, leading) --------------------------------------------------------------------------------------
TITLE: Final = (24.0, 28.0)
LEAD: Final = (11.5, 16.0)
HEADING_1: Final = (16.0, 20.0)
HEADING_2: Final = (11.2, 14.5)
BODY: Final = (9.4, 13.2)
CELL: Final = (8.4, 11.2)
CELL_HEAD: Final = (7.5, 9.6)
CAPTION: Final = (7.8, 10.4)
KEY_FIGURE: Final = (18.0, 21.0)
FURNITURE: Final = (7.5, 9.5)
FIGURE_TEXT: Final = 7.4
FIGURE_SMALL: Final = 6.9

# --- lines ------------------------------------------------------------------------------------------------------
HEAD_RULE: Final = 0.7
ROW_RULE: Final = 0.35
FURNITURE_RULE: Final = 0.5
TRACE: Final = 1.2
TRACE_THIN: Final = 0.7
AXIS: Final = 0.6
GRID_LINE: Final = 0.4
