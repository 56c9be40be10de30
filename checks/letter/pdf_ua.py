"""Does a PDF keep what a program can check of PDF/UA-1 (ISO 14289-1:2014)?

    python checks/letter/pdf_ua.py FILE.pdf [FILE.pdf ...]

Prints every fault with the clause it belongs to, and exits with 1 where there is one. Written apart from the
program that makes the papers, over pikepdf. The clauses are named from memory of the standard, which is not
read here; what is checked is said in words beside each. Not everything of the standard can be checked by a
program (whether words for a picture are good ones), and not all of that is checked here: no forms, no
annotations beyond tab order, no glyph widths.

One surprise: text inside a drawing is content of the picture. It belongs to the Figure around it, whose words
stand for all of it.
"""

import re
import sys
from pathlib import Path

import pikepdf

# Structure types of ISO 32000-1, 14.8.4.
STANDARD = set(
    "Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI Lbl "
    "LBody Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby RB RT RP Warichu "
    "WT WP Figure Formula Form".split()
)
# Operators that put something on the page: text, painted paths, shadings, pictures.
SHOWS = set("Tj TJ ' \" S s f F f* B B* b b* sh Do BI EI INLINE IMAGE".split())
LANGUAGE = re.compile(r"^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*$")


class Element:
    """A structure element with its kids in order."""

    def __init__(self, node, parent=None):
        self.node, self.parent, self.kids = node, parent, []

    def type(self):
        return str(self.node.get("/S", "")).lstrip("/")


def name_of(value):
    return str(value).lstrip("/")


def tree_of(pdf):
    """The structure tree as elements; kids are elements or (page object number, content mark)."""
    root = pdf.Root.get("/StructTreeRoot")
    top = Element(root if root is not None else pikepdf.Dictionary())
    if root is None:
        return top

    seen = set()

    def read(node, parent, page):
        if isinstance(node, int):
            parent.kids.append((page, int(node)))
            return
        if isinstance(node, pikepdf.Array):
            for kid in node:
                read(kid, parent, page)
            return
        if not isinstance(node, pikepdf.Dictionary):
            return
        if name_of(node.get("/Type", "")) == "MCR":
            of = node.get("/Pg")
            parent.kids.append((of.objgen[0] if of is not None else page, int(node["/MCID"])))
            return
        if name_of(node.get("/Type", "")) == "OBJR":
            return
        if node.objgen != (0, 0):
            if node.objgen in seen:
                raise ValueError("the structure tree runs in a circle")
            seen.add(node.objgen)
        element = Element(node, parent)
        parent.kids.append(element)
        of = node.get("/Pg")
        page = of.objgen[0] if of is not None else page
        if "/K" in node:
            read(node["/K"], element, page)

    if "/K" in root:
        read(root["/K"], top, None)
    return top


def all_elements(element):
    for kid in element.kids:
        if isinstance(kid, Element):
            yield kid
            yield from all_elements(kid)


def marks_in(element):
    for kid in element.kids:
        if isinstance(kid, Element):
            yield from marks_in(kid)
        else:
            yield kid


def role(pdf, kind):
    """The standard type that a type stands for; None where it stands for none, or runs in a circle."""
    roles = pdf.Root.StructTreeRoot.get("/RoleMap", {})
    seen = set()
    while kind not in STANDARD:
        if kind in seen or "/" + kind not in roles:
            return None
        seen.add(kind)
        kind = name_of(roles["/" + kind])
    return kind


def attribute(element, key):
    """An attribute of an element, from its dictionary or the first of its list that has it."""
    found = element.node.get("/A")
    if found is None:
        return None
    for entry in found if isinstance(found, pikepdf.Array) else [found]:
        if isinstance(entry, pikepdf.Dictionary) and "/" + key in entry:
            return entry["/" + key]
    return None


def check_file(pdf, fault):
    with pdf.open_metadata() as meta:
        if str(meta.get("pdfuaid:part", "")) != "1":
            fault("5", "the file does not say that it keeps part 1 of PDF/UA")
        title = meta.get("dc:title")
        if not title or not str(title).strip():
            fault("7.1", "the metadata have no title")
    info = pdf.Root.get("/MarkInfo", {})
    if not bool(info.get("/Marked", False)):
        fault("7.1", "the file is not marked as tagged")
    if bool(info.get("/Suspects", False)):
        fault("7.1", "the file calls its own tags suspect")
    if not bool(pdf.Root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", False)):
        fault("7.1", "a viewer is not told to show the title")
    language = str(pdf.Root.get("/Lang", ""))
    if not LANGUAGE.match(language):
        fault("7.2", f"the language of the file is {language!r}, no language tag")
    if pdf.is_encrypted:
        fault("7.16", "the file is encrypted")
    names = pdf.Root.get("/AcroForm", {})
    if "/XFA" in names:
        fault("7.15", "the file has a dynamic form")


def check_content(pdf, tree, fault):
    """Everything that is shown is either marked and in the tree, or an artifact."""
    in_tree = {}
    for mark in marks_in(tree):
        in_tree[mark] = in_tree.get(mark, 0) + 1
    for mark, times in in_tree.items():
        if times > 1:
            fault("7.1", f"content mark {mark[1]} stands {times} times in the tree")
    shown = set()
    for number, page in enumerate(pdf.pages, 1):
        stack, untagged, foot = [], 0, False
        for instruction in pikepdf.parse_content_stream(page):
            operator = str(instruction.operator)
            if operator in ("BMC", "BDC"):
                kind, mcid = name_of(instruction.operands[0]), None
                if operator == "BDC":
                    properties = instruction.operands[1]
                    if isinstance(properties, pikepdf.Name):
                        properties = page.Resources.Properties[properties]
                    mcid = properties.get("/MCID")
                    if kind == "Artifact" and name_of(properties.get("/Type", "")) == "Pagination":
                        foot = True
                artifact = kind == "Artifact"
                if artifact and any(m is not None for _, m in stack):
                    fault("7.1", f"page {number}: an artifact stands within tagged content")
                if mcid is not None and any(a for a, _ in stack):
                    fault("7.1", f"page {number}: tagged content stands within an artifact")
                stack.append((artifact, mcid))
                if mcid is not None:
                    mark = (page.objgen[0], int(mcid))
                    shown.add(mark)
                    if mark not in in_tree:
                        fault("7.1", f"page {number}: content mark {mcid} is not in the tree")
            elif operator == "EMC":
                if not stack:
                    fault("7.1", f"page {number}: a mark ends that never began")
                else:
                    stack.pop()
            elif operator in SHOWS and not any(a or m is not None for a, m in stack):
                untagged += 1
        if untagged:
            fault("7.1", f"page {number}: {untagged} operators show something that is neither tagged nor an artifact")
        if stack:
            fault("7.1", f"page {number}: {len(stack)} marks do not end")
        if not foot:
            fault("7.8", f"page {number}: nothing is marked as running head or foot")
        if "/Annots" in page and name_of(page.get("/Tabs", "")) != "S":
            fault("7.18.3", f"page {number}: the tab order does not follow the structure")
    for mark in in_tree:
        if mark not in shown:
            fault("7.1", f"the tree names content mark {mark[1]}, which no page shows")


def check_tree(pdf, tree, fault):
    if not tree.kids:
        fault("7.1", "there is no structure tree")
        return
    last, first = 0, True
    for element in all_elements(tree):
        kind = role(pdf, element.type())
        if kind is None:
            fault("7.1", f"the structure type {element.type()!r} stands for no standard type")
            continue
        if kind in ("Figure", "Formula"):
            words = str(element.node.get("/Alt", element.node.get("/ActualText", "")))
            if not words.strip():
                fault("7.3", "a picture has no words for those who cannot see it")
        level = re.fullmatch(r"H([1-6])", kind)
        if level:
            now = int(level[1])
            if first and now != 1:
                fault("7.4.2", f"the first heading is of level {now}")
            elif not first and now > last + 1:
                fault("7.4.2", f"a heading of level {now} follows one of level {last}")
            last, first = now, False
            if not any(True for _ in marks_in(element)):
                fault("7.4", "a heading is empty")
        if kind == "Table":
            check_table(pdf, element, fault)
        if kind == "L":
            wrong = [k.type() for k in element.kids if isinstance(k, Element) and role(pdf, k.type()) not in ("LI", "Caption", "L")]
            if wrong:
                fault("7.6", f"a list has kids that are no items: {wrong}")
        if kind == "LI":
            kids = [role(pdf, k.type()) for k in element.kids if isinstance(k, Element)]
            if any(k not in ("Lbl", "LBody") for k in kids):
                fault("7.6", f"an item of a list has kids that are neither label nor body: {kids}")
    if first:
        fault("7.4", "there is no heading")


def check_table(pdf, table, fault):
    """Headers say what they head, and every row has as many cells."""
    widths, heads = [], 0
    rows = [e for e in all_elements(table) if role(pdf, e.type()) == "TR"]
    carried = {}
    for at, row in enumerate(rows):
        width = carried.pop(at, 0)
        for cell in row.kids:
            if not isinstance(cell, Element):
                continue
            kind = role(pdf, cell.type())
            if kind not in ("TH", "TD"):
                fault("7.5", f"a row of a table has a kid {cell.type()!r}")
                continue
            span = int(attribute(cell, "ColSpan") or 1)
            down = int(attribute(cell, "RowSpan") or 1)
            width += span
            for below in range(1, down):
                carried[at + below] = carried.get(at + below, 0) + span
            if kind == "TH":
                heads += 1
                scope = attribute(cell, "Scope")
                if scope is None or name_of(scope) not in ("Row", "Column", "Both"):
                    fault("7.5", "a heading cell does not say whether it heads a row or a column")
        widths.append(width)
    if not rows:
        fault("7.5", "a table has no rows")
    elif len(set(widths)) > 1:
        fault("7.5", f"the rows of a table have {sorted(set(widths))} cells")
    if not heads:
        fault("7.5", "a table has no heading cells")


def fonts_in(resources, seen):
    if resources is None:
        return
    for font in (resources.get("/Font") or {}).values():
        yield font
    for form in (resources.get("/XObject") or {}).values():
        if form.objgen in seen or name_of(form.get("/Subtype", "")) != "Form":
            continue
        seen.add(form.objgen)
        yield from fonts_in(form.get("/Resources"), seen)


def check_fonts(pdf, fault):
    seen, known = set(), set()
    for page in pdf.pages:
        for font in fonts_in(page.get("/Resources"), seen):
            if font.objgen in known:
                continue
            known.add(font.objgen)
            name = name_of(font.get("/BaseFont", font.get("/Name", "?")))
            if name_of(font.get("/Subtype", "")) != "Type3":
                real = font["/DescendantFonts"][0] if "/DescendantFonts" in font else font
                descriptor = real.get("/FontDescriptor", {})
                if not any(k in descriptor for k in ("/FontFile", "/FontFile2", "/FontFile3")):
                    fault("7.21.4", f"the font {name} is not in the file")
            if "/ToUnicode" not in font:
                fault("7.21.7", f"the font {name} does not say which characters its shapes are")


def faults(path):
    """Every fault as (clause, words)."""
    out = []

    def fault(clause, words):
        if (clause, words) not in out:
            out.append((clause, words))

    with pikepdf.open(path) as pdf:
        check_file(pdf, fault)
        try:
            tree = tree_of(pdf)
        except ValueError as circle:
            fault("7.1", str(circle))
            return out
        if "/StructTreeRoot" not in pdf.Root:
            fault("7.1", "there is no structure tree")
        else:
            check_tree(pdf, tree, fault)
        check_content(pdf, tree, fault)
        check_fonts(pdf, fault)
    return out


def main(paths):
    bad = 0
    for path in paths:
        for clause, words in faults(path):
            bad += 1
            print(f"{Path(path).name}: {clause}: {words}")
    print(f"{len(paths)} files, {bad} faults")
    return 1 if bad else 0


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("found no file; expected: pdf_ua.py FILE.pdf [FILE.pdf ...]")
    sys.exit(main(sys.argv[1:]))
