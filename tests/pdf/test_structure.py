"""The structure tree: lists count their items, headings skip no level, what is set like a heading is one."""

from __future__ import annotations

from dossier.pdf.flow import hang_all, text
from dossier.pdf.lists import listed
from dossier.pdf.structure import Node, level_headings


def test_a_list_is_one_list_with_sign_and_body() -> None:
    """Three items make one list of three; a second list is a list of its own (ISO 32000-1, 14.8.4.3.3)."""
    root = Node("Sect")
    hang_all([*listed(["a", "b", "c"]), *listed(["d"])], root)
    assert [one.role for one in root.children] == ["L", "L"]
    assert [[part.role for part in item.children] for item in root.children[0].children] == [["Lbl", "LBody"]] * 3
    assert len(root.children[1].children) == 1


def test_a_split_item_keeps_one_sign() -> None:
    """What runs over a page is one item still, signed once."""
    item = listed(["word " * 400])[0]
    item.hang(Node("Sect"))
    item.wrap(200, 1000)
    parts = item.split(200, 100)
    assert len(parts) == 2
    assert [bool(part.sign) for part in parts] == [True, False]
    assert parts[0].node is parts[1].node is item.node


def test_no_heading_level_is_skipped() -> None:
    """Down one level at a time, up at will (ISO 14289-1, 7.4.2)."""
    root = Node("Document")
    for role in ("H2", "H3", "H1", "P", "H3", "H3", "H2", "H3"):
        root.add("Sect").add(role)
    level_headings(root)
    assert [one.children[0].role for one in root.children] == ["H1", "H2", "H1", "P", "H2", "H3", "H2", "H3"]


def test_what_looks_like_a_heading_is_read_as_one() -> None:
    """Titles of the cover stand in no outline, but a screen reader finds them."""
    assert [text("x", name).role for name in ("title", "heading_1", "heading_2", "body")] == ["H1", "H1", "H2", "P"]
