"""Figures show what the results say, keep extremes, and keep their words apart."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pikepdf
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from pdf_text import pages_text
from sample_results import load_case, sample_results

from dossier import style
from dossier.figures.budget import budget
from dossier.figures.faces import slim
from dossier.figures.sag import decimate, drawn, sag
from dossier.figures.sheet import blank, pdf_of, settings, volts

SIZE = (style.LIVE_WIDTH, 146.0)


def test_decimation_keeps_extremes_and_bounds_the_number_of_points() -> None:
    """The deepest instant of a long trace is on the page."""
    t = np.linspace(0, 60, 100_000)
    v = 12.6 + 0.3 * np.sin(t)
    v[71_234] = 9.1
    v[3_333] = 15.2
    x, y = decimate(t, v)
    assert len(x) <= 480
    assert y.min() == 9.1
    assert y.max() == 15.2
    assert np.all(np.diff(x) > 0)
    assert (x[0], x[-1]) == (t[0], t[-1])


def test_decimation_ends_a_collapsed_trace_where_it_ends() -> None:
    """The last voltage before a collapse and the gap after it survive."""
    t = np.linspace(0, 20, 5000)
    v = np.where(t < 12.0, 12.0 - 0.1 * t, np.nan)
    x, y = decimate(t, v)
    last = t[np.flatnonzero(np.isfinite(v))[-1]]
    assert np.isfinite(y[x == last]).all()
    assert np.isnan(y[x > last]).all()
    assert np.isnan(y).any()


def test_a_short_trace_is_left_alone() -> None:
    """Nothing is dropped where nothing has to be."""
    t = np.linspace(0, 1, 50)
    assert decimate(t, t)[0] is t


def words_of(figure: Figure) -> list[tuple[str, Bbox]]:
    """Every visible text with its box [pixel at 72 dpi = pt], drawn with a renderer used in tests only."""
    with settings():
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        renderer = canvas.get_renderer()
        found = []
        unseen = {
            id(tick.label1)
            for axes in figure.axes
            for axis in (axes.xaxis, axes.yaxis)
            for tick in axis.get_major_ticks()
            if not min(axis.get_view_interval()) <= tick.get_loc() <= max(axis.get_view_interval())
        }
        for text in figure.findobj(Text):
            box = text.get_window_extent(renderer)
            if text.get_text() and text.get_visible() and box.width > 0 and id(text) not in unseen:
                found.append((text.get_text(), box))
        return found


def overlap(one: Bbox, two: Bbox) -> bool:
    """Whether two boxes share more than a hair."""
    across = min(one.x1, two.x1) - max(one.x0, two.x0)
    along = min(one.y1, two.y1) - max(one.y0, two.y0)
    return bool(across > 0.5 and along > 0.5)


@pytest.mark.parametrize("amplifiers", [1, 2, 4, 7])
@pytest.mark.parametrize("collapse", [None, 2.0, 19.0])
def test_words_of_the_sag_figure_do_not_touch_and_stay_inside(amplifiers: int, collapse: float | None) -> None:
    """Legend, ticks, axis names and notes are apart and inside the figure, with long titles too."""
    case = load_case("a", "Case", collapse_at=collapse, amplifiers=amplifiers)
    figure = sag(case, SIZE, lambda words: f"{words}, a long title of a device in the boot"[:40])
    words = words_of(figure)
    for index, (name, box) in enumerate(words):
        assert box.x0 >= -0.5, name
        assert box.x1 <= SIZE[0] + 0.5, name
        assert box.y0 >= -0.5, name
        assert box.y1 <= SIZE[1] + 0.5, name
        for other, other_box in words[index + 1 :]:
            assert not overlap(box, other_box), (name, other)


def test_words_of_the_budget_figure_stay_inside() -> None:
    """No label of the load budget leaves the figure, no two tick labels touch."""
    words = words_of(budget(sample_results().budget, (style.LIVE_WIDTH, 165.0), str))
    for name, box in words:
        assert box.x0 >= -0.5, name
        assert box.x1 <= style.LIVE_WIDTH + 0.5, name
    ticks = [box for name, box in words if name.endswith(("power", "tone"))]
    assert not any(overlap(a, b) for i, a in enumerate(ticks) for b in ticks[i + 1 :])


def test_a_collapse_is_marked_with_its_time() -> None:
    """The figure says when the voltage ended."""
    figure = sag(load_case("a", "Case", collapse_at=12.4), SIZE, str)
    assert any("12.4 s" in name for name, _ in words_of(figure))


def test_figures_are_vector_with_selectable_text_and_embedded_truetype() -> None:
    """All figures share one PDF; its words can be read out; nothing is a picture; nothing blends."""
    case = load_case("a", "Case $x$ 100 %")
    data = pdf_of([sag(case, SIZE, str), budget(sample_results().budget, SIZE, str)])
    assert "Time from the start of the sound (s)" in pages_text(data)[0]
    assert "Load" in pages_text(data)[1] or "Audio" in pages_text(data)[1]
    with pikepdf.open(io.BytesIO(data)) as pdf:
        kinds = {str(one.get("/Subtype")) for one in pdf.objects if isinstance(one, pikepdf.Dictionary)}
        assert "/CIDFontType2" in kinds
        assert "/Type3" not in kinds
        assert not any(isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image" for one in pdf.objects)


def test_the_same_figures_give_the_same_bytes() -> None:
    """No date and no random name inside."""
    case = load_case("a", "Case")
    assert pdf_of([sag(case, SIZE, str)]) == pdf_of([sag(case, SIZE, str)])


def test_a_slim_face_draws_the_same_glyphs() -> None:
    """Leaving the layout tables out changes neither outlines nor widths."""
    from fontTools.ttLib import TTFont

    from dossier.pdf.fonts import lato_file

    whole = TTFont(lato_file("Regular"))
    thin = TTFont(io.BytesIO(slim(lato_file("Regular").read_bytes())))
    assert "GPOS" not in thin
    assert thin.getBestCmap() == whole.getBestCmap()
    for name in ("A", "seven", "Omega"):
        assert thin["glyf"][name] == whole["glyf"][name]
        assert thin["hmtx"][name] == whole["hmtx"][name]


@pytest.mark.parametrize(("apart", "lines"), [(0.04, 1), (0.06, 2)])
def test_amplifiers_closer_than_a_line_is_thick_share_one(apart: float, lines: int) -> None:
    """Up to 0.05 V apart one line names both amplifiers; beyond it each has its own."""
    case = load_case("a", "Long note")
    one = next(a for a in case.amplifiers if a.id == case.worst)
    other = replace(one, id="other", title="Other", mean=one.mean + apart)
    shown = drawn(replace(case, amplifiers=(other, one)))
    assert len(shown) == lines
    assert shown[0][0].id == one.id
    assert {a.id for group in shown for a in group} == {one.id, "other"}


def test_a_voltage_that_ends_is_not_hidden_behind_one_that_goes_on() -> None:
    """An amplifier that collapses keeps its own line, however close its voltage was before."""
    case = load_case("a", "Long note")
    one = next(a for a in case.amplifiers if a.id == case.worst)
    ended = one.mean.copy()
    ended[len(ended) // 2 :] = np.nan
    shown = drawn(replace(case, amplifiers=(one, replace(one, id="other", mean=ended))))
    assert len(shown) == 2


@pytest.mark.parametrize(("low", "high"), [(12.0, 13.6), (13.42, 13.55), (9.0, 14.4), (0.0, 30.0), (12.5, 12.5)])
def test_voltage_axes_have_even_ticks(low: float, high: float) -> None:
    """What stands at the ticks is where they are: even steps of at least 0.1 V, printed without rounding."""
    with settings():
        _, axes = blank(300.0, 150.0, left=24.0)
        volts(axes, (low, high), "Voltage (V)")
        ticks = axes.get_yticks()
        assert len(ticks) >= 2
        assert np.diff(ticks).min() >= 0.1 - 1e-9
        assert ticks == pytest.approx(np.round(ticks, 1))
