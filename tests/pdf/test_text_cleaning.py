"""Foreign text is shown literally or replaced visibly, never interpreted and never lost."""

from __future__ import annotations

import pytest
from reportlab.platypus import Paragraph

from dossier.pdf.styles import named
from dossier.pdf.text import clean, is_shown, markup, plain

HOSTILE = (
    "<b>bold</b> & <font color=\"__import__('os')\">x</font>",
    '<a href="javascript:alert(1)">go</a> <a href="#nowhere">there</a>',
    '<img src="/etc/passwd"/> <para> </para> <!-- c --> <![CDATA[x]]> <?pi?>',
    "a <b then nothing closes",
    "R & D, x < 5 > 3",
    "\x00\x07\x1b[31m\x85 \ud800 \ufffe \ufdd0 end",
    "中文 日本 한국어",
    "\u202eevil\u202c \u2066x\u2069 שלום مرحبا",
    "🔥🚗 \U0001d54f",
    "x" * 400,
    "&lt;already&gt; &#65; &nbsp;",
)


@pytest.mark.parametrize("raw", HOSTILE)
def test_any_text_makes_a_paragraph_without_links(raw: str) -> None:
    """Markup in user text neither breaks the build nor makes a link or an image."""
    paragraph = Paragraph(markup(raw), named("body"))
    paragraph.wrap(300, 500)
    for fragment in paragraph.frags:
        assert not getattr(fragment, "link", None)
        assert not hasattr(fragment, "cbDefn")


def test_angle_brackets_and_entities_are_shown_as_typed() -> None:
    """What looks like markup is text."""
    paragraph = Paragraph(markup("<b>1</b> &amp; &lt;"), named("body"))
    assert "".join(fragment.text for fragment in paragraph.frags) == "<b>1</b> &amp; &lt;"


def test_unshowable_characters_are_replaced_by_their_code() -> None:
    """CJK, emoji and right-to-left letters leave a visible trace each."""
    assert clean("中") == "[U+4E2D]"
    assert clean("a🔥b") == "a[U+1F525]b"
    assert clean("ש") == "[U+05E9]"


def test_a_long_run_of_unshowable_characters_is_counted() -> None:
    """A whole sentence in another script does not fill a page, and its length is still told."""
    shown = clean("中" * 100)
    assert shown.count("[U+4E2D]") == 6
    assert shown.endswith("[94 more]")


@pytest.mark.parametrize(
    ("raw", "shown"),
    [
        ("Größe 35 mm², 4 Ω ✓", True),
        ("a\tb\nc\u202ed", True),
        ("Жигули", True),
        ("中", False),
        ("שלום", False),
        ("🔥", False),
    ],
)
def test_a_text_that_needs_codes_is_known(raw: str, shown: bool) -> None:
    """Exactly where a code is printed, the record says on its first pages what codes are."""
    assert is_shown(raw) == shown
    assert ("[U+" in clean(raw)) == (not shown)


def test_control_and_direction_characters_vanish_but_line_feeds_stay() -> None:
    """Nothing invisible survives; a line feed becomes a line break."""
    assert clean("a\x00\u202eb\ufeff\u200bc\r\nd") == "abc\nd"
    assert markup("a\nb") == "a<br/>b"


def test_signs_the_body_face_lacks_come_from_the_symbol_face() -> None:
    """Check marks are set in the fallback face, ohm and micro in the body face."""
    assert 'name="Symbols"' in markup("✓")
    assert "Symbols" not in markup("4.2 mΩ, 10 µF, 35 mm², −3 dB, ≤ ½ →")


def test_titles_are_one_line_and_bounded() -> None:
    """Bookmarks and document information get at most the length asked for."""
    assert plain("a\n\tb  c") == "a b c"
    assert len(plain("word " * 100, 40)) <= 40
    assert plain("word " * 100, 40).endswith("word…")
    assert plain("one two three", 9) == "one two…"
    assert plain("x" * 100, 40) == "x" * 39 + "…"
