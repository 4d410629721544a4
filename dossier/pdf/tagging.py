"""The structure tree of the document, from the nodes the layout filled (ISO 32000-1, 14.7 and 14.8)."""

from __future__ import annotations

from pikepdf import Array, Dictionary, Name, Object, Pdf, String

from dossier.pdf.structure import Node


def tag(pdf: Pdf, root: Node) -> None:
    """Write the structure tree of ``root`` into ``pdf`` and mark the document as tagged.

    Nodes that were never drawn (a section that turned out empty) leave no element.
    """
    pages = [page.obj for page in pdf.pages]
    parents: list[dict[int, Object]] = [{} for _ in pages]
    linked: list[Object] = []  # the element of each link annotation; its number follows those of the pages
    tree = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))

    def element(node: Node, parent: Object, keep: bool = False) -> Object | None:
        if not keep and not _is_drawn(node):
            return None
        made = pdf.make_indirect(Dictionary(S=Name(f"/{node.role}"), P=parent))
        children: list[Object | int] = []
        if node.marks:
            home = node.marks[0][0]
            made["/Pg"] = pages[home]
            for page, mark in node.marks:
                parents[page][mark] = made
                children.append(mark if page == home else Dictionary(Type=Name.MCR, Pg=pages[page], MCID=mark))
        for page, place in node.links:
            annotation = pages[page].Annots[place]
            annotation.StructParent = len(pages) + len(linked)
            linked.append(made)
            children.append(Dictionary(Type=Name.OBJR, Obj=annotation, Pg=pages[page]))
        row = node.role == "TR"  # an empty cell is still a cell
        children += [one for child in node.children if (one := element(child, made, row)) is not None]
        made["/K"] = children[0] if len(children) == 1 else Array(children)
        if node.alt:
            made["/Alt"] = String(node.alt)
        if node.scope:
            made["/A"] = Dictionary(O=Name.Table, Scope=Name(f"/{node.scope}"))
        return made

    top = element(root, tree)
    if top is None:
        return
    tree["/K"] = top
    numbers: list[Object | int] = []
    for index, (page, marks) in enumerate(zip(pages, parents, strict=True)):
        page["/StructParents"] = index
        page["/Tabs"] = Name.S
        numbers += [index, pdf.make_indirect(Array([marks[mark] for mark in sorted(marks)]))]
    for place, one in enumerate(linked, start=len(pages)):
        numbers += [place, one]
    tree["/ParentTree"] = pdf.make_indirect(Dictionary(Nums=Array(numbers)))
    tree["/ParentTreeNextKey"] = len(pages) + len(linked)
    pdf.Root["/StructTreeRoot"] = tree
    pdf.Root["/MarkInfo"] = Dictionary(Marked=True)


def _is_drawn(node: Node) -> bool:
    return bool(node.marks) or any(_is_drawn(child) for child in node.children)
