"""The workshop edition says what it must, tailors what it can, and lays out whatever it is given."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import lru_cache

import pikepdf
import pytest
from pdf_text import Shown, pages_text, shown
from sample_build import sample_build
from sample_results import conductor, finding, load_case, sample_results

from dossier import style
from dossier.assessment.proof.recorded import checklist
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.editions.edition import WORKSHOP, story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, Laid, lay_out, paper_size
from dossier.results.overview import Results

STAMP = Stamp("AAAA BBBB CCCC DDDD EEEE", "install-dossier 0", ("sample.yaml", "sample.results.json"))


def laid(build: Build, results: Results, paper: str = "a4") -> Laid:
    """The document before figures and archive are put in, with a stamp on a plan."""
    furniture = Furniture(
        "Title", "W-014", "Revision B", "PLAN — not built" if build.record.stage == "design" else ""
    )
    if not results.recorded.checklist:
        points = checklist(build, results.energy_sources, results.amplifiers)
        results = replace(results, recorded=replace(results.recorded, checklist=points))
    return lay_out(story(build, results, STAMP), furniture, paper=paper)


@lru_cache(maxsize=4)
def words(paper: str = "a4") -> tuple[str, ...]:
    """Text of the pages of the sample."""
    return tuple(pages_text(laid(sample_build(), sample_results(), paper).data))


@pytest.mark.parametrize(
    "needed",
    [
        "load budget",
        "voltage",
        "schedule",
        "fuse",
        "checklist",
        "local",
        "assumption",
        "Page 1 of",
        "3 energy sources",
        "Disconnecting the front battery does not isolate the rear",
        "Which instrument shows which",
        "torque",
        "grommet",
        "Hearing",
        "Do not energise",
        "licensed",
        "Digest over them",
        "not modelled",
        "33 CFR 183.425",
    ],
)
def test_the_edition_says_what_it_must(needed: str) -> None:
    """Words a reader, or a search, relies on."""
    assert needed.lower() in " ".join(words()).lower()


def test_both_papers_have_the_same_text_on_the_same_pages() -> None:
    """One live area: A4 and Letter break alike."""
    assert words("a4") == words("letter")


def test_every_page_has_number_revision_and_page_of_pages() -> None:
    """Loose sheets can be put back together."""
    for index, page in enumerate(words(), start=1):
        assert f"Page {index} of {len(words())}" in page
        assert "Revision B" in page
        assert "W-014" in page


def test_contents_name_the_page_each_section_starts_on() -> None:
    """Page numbers of the contents agree with the headings."""
    contents = " ".join(words()[:2]).split("Contents ", 1)[1]
    titles = "|".join(re.escape(section.title) for section in WORKSHOP)
    entries = re.findall(rf"(\d+) ({titles}) (\d+)", contents)
    assert len(entries) >= 10
    for number, title, page in entries:
        assert f"{number} {title}" in words()[int(page) - 1]


def test_a_plan_says_so_on_every_page() -> None:
    """Nobody can take a plan for a record."""
    pages = pages_text(laid(sample_build(stage="design"), sample_results()).data)
    assert all("PLAN — not built" in page for page in pages)
    assert not any("PLAN" in page for page in words())


def test_after_a_collapse_no_voltage_is_printed() -> None:
    """The tables of a collapsed case hold dashes, the words hold the numbers of the collapse."""
    case = load_case("only", "Only case", collapse_at=4.0)
    results = replace(sample_results(), load_cases=(case,), findings=(), key_figures=())
    text = " ".join(pages_text(laid(sample_build(notes=()), results).data))
    assert "finds no operating point after 4.0 s" in text
    part = text[text.index("Only case Engine") : text.index("Load budget The")]
    row = part[part.index("Lost dB") : part.index("Location")]
    assert row.split("13.1", 1)[1].split()[:3] == ["—", "—", "—"]
    assert "Collapse" in part


@pytest.mark.parametrize(("with_bank", "present"), [(True, True), (False, False)])
def test_capacitor_lines_stand_only_where_a_bank_is_fitted(with_bank: bool, present: bool) -> None:
    """The checklist fits the vehicle."""
    text = " ".join(pages_text(laid(sample_build(with_bank=with_bank), sample_results()).data))
    assert ("pre-charged" in text) is present


def test_lithium_lines_stand_only_with_lithium() -> None:
    """A lead-acid vehicle has no line on battery management."""
    build = sample_build()
    lead = {key: replace(one, chemistry="agm") for key, one in build.batteries.items()}
    assert "management is not a disconnect" in " ".join(words())
    text = " ".join(pages_text(laid(replace(build, batteries=lead), sample_results()).data))
    assert "management is not a disconnect" not in text
    assert "vent tube" in text


HOSTILE = "<b>&amp;</b> <a href='javascript:x'>中文</a> \u202e🔥 " + "x" * 400


def hostile_build() -> Build:
    """Names, titles and notes that try everything."""
    build = sample_build(notes=("word " * 2000, HOSTILE, "a\nb\n\x00c", "y" * 10_000))
    return replace(
        build,
        record=replace(
            build.record, title=HOSTILE, number=HOSTILE, workshop=HOSTILE, customer=HOSTILE, revision=HOSTILE
        ),
        vehicle=replace(build.vehicle, description=HOSTILE),
        locations={key: replace(one, title=HOSTILE) for key, one in build.locations.items()},
        amplifiers={key: replace(one, title=HOSTILE) for key, one in build.amplifiers.items()},
        batteries={key: replace(one, title=HOSTILE) for key, one in build.batteries.items()},
        cables={key: replace(one, title=HOSTILE) for key, one in build.cables.items()},
    )


def hostile_results() -> Results:
    """Forty conductors, a hundred findings, long and odd titles, a collapse."""
    levels = (Severity.STOP, Severity.CAUTION, Severity.NOTE)
    results = sample_results(
        collapse=True,
        findings=tuple(
            finding(f"code-{i}", levels[i % 3], f"{i} {HOSTILE[: 400 if i < 3 else 90]}", i + 1) for i in range(100)
        ),
    )
    case = load_case("c", HOSTILE, amplifiers=9)
    return replace(
        results,
        load_cases=(*results.load_cases, case),
        schedule=tuple(replace(conductor(f"c{i}", HOSTILE), loss=10.0 ** (i % 13)) for i in range(40)),
        energy_sources=results.energy_sources * 5,
    )


@lru_cache(maxsize=1)
def hostile() -> tuple[bytes, tuple[Shown, ...]]:
    """The hostile document and everything it shows."""
    data = laid(hostile_build(), hostile_results()).data
    return data, tuple(shown(data))


@pytest.mark.long
def test_hostile_and_huge_input_lays_out_without_a_link_or_a_lost_word() -> None:
    """Long words, foreign scripts, markup, forty cables, a hundred findings, ten thousand characters in a note."""
    data, pieces = hostile()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for one in pdf.objects:
            if isinstance(one, pikepdf.Dictionary):
                assert "/URI" not in one
                assert "/JS" not in one
                assert one.get("/S") not in ("/URI", "/JavaScript", "/Launch")
        assert len(pdf.pages) < 110
    text = " ".join(" ".join(one.words for one in pieces).split())
    literal = "<b>&amp;</b> <a href='javascript:x'>[U+4E2D][U+6587]</a> [U+1F525]"
    assert literal.replace(" ", "") in text.replace(" ", "")
    assert text.count("code-") == 100
    assert text.count("y" * 20) >= 100


@pytest.mark.long
def test_nothing_is_drawn_outside_the_page_margins() -> None:
    """Every piece of text starts inside the live width, hostile input included."""
    left = (paper_size("a4")[0] - style.LIVE_WIDTH) / 2
    for one in hostile()[1]:
        assert left - 0.5 <= one.x <= left + style.LIVE_WIDTH + 0.5, one


def test_no_heading_stands_alone_at_the_foot_of_a_page() -> None:
    """Below the last heading of a page there is text that belongs to it."""
    for pieces in (tuple(shown(laid(sample_build(), sample_results()).data)), hostile()[1]):
        for page in range(1, 1 + max(one.page for one in pieces)):
            body = [one for one in pieces if one.page == page and one.size > style.FURNITURE[0] + 0.05]
            lowest = min(body, key=lambda one: one.y)
            assert lowest.size < style.HEADING_2[0], (page, lowest)


def test_a_build_with_nothing_computed_still_makes_a_document() -> None:
    """No load case, no finding, no input: the pages say so instead of failing."""
    empty = replace(
        sample_results(),
        load_cases=(),
        findings=(),
        inputs=(),
        music=(),
        schedule=(),
        energy_sources=(),
        amplifiers=(),
        key_figures=(),
    )
    text = " ".join(pages_text(laid(sample_build(notes=()), empty).data))
    assert "no finding" in text.lower()


def test_printed_currents_are_rounded_to_the_safe_side() -> None:
    """What a conductor may carry is rounded down, what it has to carry is rounded up."""
    row = replace(conductor("a", "One"), rms=121.2, allowed=183.9, peak=161.1)
    results = replace(sample_results(), schedule=(row,))
    text = " ".join(pages_text(laid(sample_build(), results).data))
    assert "5.10 3.02 122 183 66 162" in text
