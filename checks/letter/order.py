"""Are the words of a paper read in the order in which they were meant?

    python checks/letter/order.py FOLDER

For every NAME.pdf of the folder with its NAME.json: `pdftotext -raw` has to give the pieces of the document in
their order, and so has the structure tree. What stands at the foot of every page is taken out first, and the
heads of a table that goes on over a page may come again; so between two pieces no more than GAP letters may stand,
but where a drawing with words of its own stands between them.
"""

import json
import subprocess
import sys
from pathlib import Path

import pikepdf

# Letters of a repeated table head at most.
GAP = 160


def bare(text):
    """Letters without what a line break may change."""
    text = text.replace("\u00ad", "").replace("\u200b", "").replace("ﬁ", "fi").replace("ﬂ", "fl")
    return "".join(c for c in text if not c.isspace() and c != "-")


def page_words(page_of):
    before, between, after = page_of
    return lambda n, total: f"{before}{n}{between}{total}{after}"


def order_faults(pdf_path, told, language_words):
    text = subprocess.run(["pdftotext", "-raw", str(pdf_path), "-"], capture_output=True, text=True, check=True).stdout
    stream = bare(text.replace("\f", ""))
    with pikepdf.open(pdf_path) as pdf:
        total = len(pdf.pages)
    foot = bare(told["foot"])
    for n in range(1, total + 1):
        stream = stream.replace(foot, "").replace(bare(language_words(n, total)), "")
    out, at, drawn = [], 0, False
    for piece in told["pieces"]:
        if piece == "[drawing]":
            drawn = True
            continue
        wanted = bare(piece)
        found = stream.find(wanted, at)
        if found < 0 or (found - at > GAP and not drawn):
            out.append(f"{pdf_path.name}: {piece[:70]!r} does not follow in its place; there stands {stream[at:at + 60]!r}")
            if found < 0:
                continue
        at, drawn = found + len(wanted), False
    return out


WORDS = {
    "en": page_words(("Page ", " of ", "")),
    "es": page_words(("Página ", " de ", "")),
}


def main(folder):
    bad, files = [], sorted(Path(folder).glob("*.json"))
    for told_path in files:
        told = json.loads(told_path.read_text())
        pdf_path = told_path.with_suffix(".pdf")
        bad += order_faults(pdf_path, told, WORDS[told["language"]])
        with pikepdf.open(pdf_path) as pdf:
            if str(pdf.Root.Lang) != told["language"]:
                bad.append(f"{pdf_path.name}: the language is {pdf.Root.Lang}, expected {told['language']}")
            with pdf.open_metadata() as meta:
                if str(meta["dc:title"]) != told["title"]:
                    bad.append(f"{pdf_path.name}: the title is {meta['dc:title']!r}, expected {told['title']!r}")
    for line in bad:
        print(line)
    print(f"{len(files)} papers, {len(bad)} faults of order")
    return 1 if bad or not files else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("found no folder; expected: order.py FOLDER")
    sys.exit(main(sys.argv[1]))
