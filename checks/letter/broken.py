"""Does pdf_ua.py see each fault? A good PDF is broken in one way at a time; every way must be told.

    python checks/letter/broken.py GOOD.pdf

The file has to hold a figure, a table, a list and headings of two levels, as the letter to a patient does.
"""

import sys
import tempfile
from pathlib import Path

import pikepdf
from pdf_ua import Element, all_elements, faults, name_of, tree_of


def elements(pdf, kind):
    return [e for e in all_elements(tree_of(pdf)) if e.type() == kind]


def first(pdf, kind):
    found = elements(pdf, kind)
    if not found:
        sys.exit(f"found no {kind} in the file; give a paper that has one")
    return found[0]


def page_content(pdf, change):
    page = pdf.pages[0]
    page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(change(list(pikepdf.parse_content_stream(page)))))


def operator(name, *operands):
    return pikepdf.ContentStreamInstruction(list(operands), pikepdf.Operator(name))


def no_part(pdf):
    with pdf.open_metadata(update_docinfo=False) as meta:
        del meta["pdfuaid:part"]


def no_title(pdf):
    with pdf.open_metadata(update_docinfo=False) as meta:
        del meta["dc:title"]


def not_marked(pdf):
    del pdf.Root["/MarkInfo"]


def suspect(pdf):
    pdf.Root.MarkInfo.Suspects = True


def title_not_shown(pdf):
    del pdf.Root["/ViewerPreferences"]


def no_language(pdf):
    del pdf.Root["/Lang"]


def no_language_tag(pdf):
    pdf.Root.Lang = "Spanish (Spain)"


def no_tree(pdf):
    del pdf.Root["/StructTreeRoot"]


def empty_tree(pdf):
    del pdf.Root.StructTreeRoot["/K"]


def unknown_type(pdf):
    first(pdf, "P").node.S = pikepdf.Name("/Paragraphus")


def type_in_a_circle(pdf):
    pdf.Root.StructTreeRoot.RoleMap = pikepdf.Dictionary({"/Aa": pikepdf.Name("/Bb"), "/Bb": pikepdf.Name("/Aa")})
    first(pdf, "P").node.S = pikepdf.Name("/Aa")


def no_words_for_picture(pdf):
    del first(pdf, "Figure").node["/Alt"]


def blank_words_for_picture(pdf):
    first(pdf, "Figure").node.Alt = "  "


def first_heading_deep(pdf):
    first(pdf, "H1").node.S = pikepdf.Name("/H2")


def heading_skipped(pdf):
    first(pdf, "H2").node.S = pikepdf.Name("/H4")


def heading_empty(pdf):
    first(pdf, "H2").node.K = pikepdf.Array([])


def no_scope(pdf):
    node = first(pdf, "TH").node
    del node["/A"]


def wrong_scope(pdf):
    node = first(pdf, "TH").node
    node.A = pikepdf.Dictionary({"/O": pikepdf.Name("/Table"), "/Scope": pikepdf.Name("/Somewhere")})


def no_heading_cells(pdf):
    for cell in elements(pdf, "TH"):
        cell.node.S = pikepdf.Name("/TD")


def row_too_short(pdf):
    for row in elements(pdf, "TR"):
        cells = [k for k in row.kids if isinstance(k, Element)]
        if len(cells) > 1:
            row.node.K = pikepdf.Array([c.node for c in cells[:-1]])
            return


def stranger_in_row(pdf):
    row = first(pdf, "TR")
    next(k for k in row.kids if isinstance(k, Element)).node.S = pikepdf.Name("/P")


def stranger_in_list(pdf):
    first(pdf, "LI").node.S = pikepdf.Name("/P")


def stranger_in_item(pdf):
    first(pdf, "LBody").node.S = pikepdf.Name("/P")


def untagged_text(pdf):
    page_content(pdf, lambda c: [*c, operator("BT"), operator("Tj", pikepdf.String("x")), operator("ET")])


def untagged_line(pdf):
    page_content(pdf, lambda c: [operator("m", 0, 0), operator("l", 9, 9), operator("S"), *c])


def mark_outside_the_tree(pdf):
    mark = operator("BDC", pikepdf.Name("/P"), pikepdf.Dictionary({"/MCID": 9999}))
    page_content(pdf, lambda c: [*c, mark, operator("EMC")])


def artifact_within_tagged(pdf):
    def change(content):
        at = next(i for i, c in enumerate(content) if str(c.operator) == "BDC" and name_of(c.operands[0]) != "Artifact")
        return [*content[: at + 1], operator("BMC", pikepdf.Name("/Artifact")), operator("EMC"), *content[at + 1 :]]

    page_content(pdf, change)


def tagged_within_artifact(pdf):
    page_content(pdf, lambda c: [operator("BMC", pikepdf.Name("/Artifact")), *c, operator("EMC")])


def mark_without_end(pdf):
    page_content(pdf, lambda c: [*c, operator("BMC", pikepdf.Name("/Artifact"))])


def end_without_mark(pdf):
    page_content(pdf, lambda c: [*c, operator("EMC")])


def named_and_not_shown(pdf):
    node = first(pdf, "P").node
    node.K = pikepdf.Array([*(node.K if isinstance(node.K, pikepdf.Array) else [node.K]), 7777])


def named_twice(pdf):
    node = first(pdf, "H1").node
    mark = node.K[0] if isinstance(node.K, pikepdf.Array) else node.K
    node.K = pikepdf.Array([mark, mark])


def no_running_foot(pdf):
    def change(content):
        out = []
        for c in content:
            foot = str(c.operator) == "BDC" and name_of(c.operands[0]) == "Artifact"
            out.append(operator("BMC", pikepdf.Name("/Artifact")) if foot else c)
        return out

    page_content(pdf, change)


def no_tab_order(pdf):
    pdf.pages[0].Annots = pikepdf.Array([])
    if "/Tabs" in pdf.pages[0]:
        del pdf.pages[0]["/Tabs"]


def a_font(pdf):
    return next(iter(pdf.pages[0].Resources.Font.values()))


def font_outside(pdf):
    font = a_font(pdf)
    descriptor = (font.DescendantFonts[0] if "/DescendantFonts" in font else font).FontDescriptor
    for key in ("/FontFile", "/FontFile2", "/FontFile3"):
        if key in descriptor:
            del descriptor[key]


def font_without_characters(pdf):
    del a_font(pdf)["/ToUnicode"]


def dynamic_form(pdf):
    pdf.Root.AcroForm = pikepdf.Dictionary({"/XFA": pikepdf.String("x")})


# Each way with the clause under which it has to be told.
WAYS = [
    (no_part, "5"), (no_title, "7.1"), (not_marked, "7.1"), (suspect, "7.1"), (title_not_shown, "7.1"),
    (no_language, "7.2"), (no_language_tag, "7.2"), (no_tree, "7.1"), (empty_tree, "7.1"), (unknown_type, "7.1"),
    (type_in_a_circle, "7.1"), (no_words_for_picture, "7.3"), (blank_words_for_picture, "7.3"),
    (first_heading_deep, "7.4.2"), (heading_skipped, "7.4.2"), (heading_empty, "7.4"), (no_scope, "7.5"),
    (wrong_scope, "7.5"), (no_heading_cells, "7.5"), (row_too_short, "7.5"), (stranger_in_row, "7.5"),
    (stranger_in_list, "7.6"), (stranger_in_item, "7.6"), (untagged_text, "7.1"), (untagged_line, "7.1"),
    (mark_outside_the_tree, "7.1"), (artifact_within_tagged, "7.1"), (tagged_within_artifact, "7.1"),
    (mark_without_end, "7.1"), (end_without_mark, "7.1"), (named_and_not_shown, "7.1"), (named_twice, "7.1"),
    (no_running_foot, "7.8"), (no_tab_order, "7.18.3"), (font_outside, "7.21.4"), (font_without_characters, "7.21.7"),
    (dynamic_form, "7.15"),
]


def main(good):
    before = faults(good)
    if before:
        print(f"{good} is not good to begin with: {before}")
        return 1
    missed = []
    with tempfile.TemporaryDirectory() as folder:
        for way, clause in WAYS:
            path = Path(folder) / f"{way.__name__}.pdf"
            with pikepdf.open(good) as pdf:
                way(pdf)
                pdf.save(path)
            told = {c for c, _ in faults(path)}
            if clause not in told:
                missed.append(f"{way.__name__}: expected clause {clause}, found {sorted(told)}")
        locked = Path(folder) / "locked.pdf"
        with pikepdf.open(good) as pdf:
            pdf.save(locked, encryption=pikepdf.Encryption(owner="x", user=""))
        if "7.16" not in {c for c, _ in faults(locked)}:
            missed.append("locked: expected clause 7.16")
    for line in missed:
        print(line)
    print(f"{len(WAYS) + 1} ways to break a file, {len(missed)} not seen")
    return 1 if missed else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("found no file; expected: broken.py GOOD.pdf")
    sys.exit(main(sys.argv[1]))
