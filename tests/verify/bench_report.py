"""The table of `cargo xtask bench report` by ReportLab and by Typst: reads the cells and our times as a line of JSON, sets the same
table with both, compares every entry number on the pages, and only then the times. Exit code 1 when a table lacks a row.

Each is given the same cells, the same column widths, A4 and 8 point type, a head on each page and a rule under each row. Each sets its
table in a program that stays, by turns, so that what else the machine does falls on all of them alike; the best run of each counts: of
nine, and of three by ReportLab, which takes ten seconds. What stands beside the time is what the file holds: pages, and entry numbers that pdftotext finds in order.
"""

import html
import json
import subprocess
import sys
import time
from pathlib import Path

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import LongTable, Paragraph, SimpleDocTemplate, TableStyle
import reportlab
import typst

GOALS = {"whole_s": 0.6, "more_mib": 64.0, "reportlab": 12.0, "typst": 5.0}
ROUNDS = 9
SLOW_ROUNDS = 3


def by_reportlab(told, path):
    style = ParagraphStyle("s", fontName="Helvetica", fontSize=8, leading=10.2)
    rows = [told["head"]] + [[Paragraph(html.escape(cell), style) for cell in row] for row in told["cells"]]
    table = LongTable(rows, colWidths=[w * mm for w in told["widths_mm"]], repeatRows=1)
    table.setStyle(TableStyle([
        ("FONTSIZE", (0, 0), (-1, 0), 7),
        ("LINEBELOW", (0, 0), (-1, -1), 0.35, "black"),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ]))
    SimpleDocTemplate(path, pagesize=A4, leftMargin=18 * mm, rightMargin=18 * mm, topMargin=23 * mm, bottomMargin=20 * mm).build([table])


TYPST = """
#set page("a4", margin: (x: 18mm, top: 23mm, bottom: 20mm))
#set text(size: 8pt)
#let told = json("cells.json")
#table(
  columns: told.widths.map(w => w * 1mm),
  stroke: (x: none, y: 0.35pt), inset: (x: 0pt, y: 1.5pt),
  table.header(..told.head.map(h => text(size: 7pt, h))),
  ..told.cells.flatten()
)
"""


def by_typst(told, path):
    folder = Path(told["folder"])
    (folder / "cells.json").write_text(json.dumps({"widths": told["widths_mm"], "head": told["head"], "cells": told["cells"]}))
    source = folder / "table.typ"
    source.write_text(TYPST)
    typst.compile(str(source), output=path, root=str(folder))


class Ours:
    """Our table, set by a program that waits for a line and answers with its seconds."""

    def __init__(self, told):
        self.program = subprocess.Popen([*told["table"], told["table_pdf"]], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def __call__(self):
        self.program.stdin.write("\n")
        self.program.stdin.flush()
        return float(self.program.stdout.readline())

    def done(self):
        self.program.stdin.close()
        self.program.wait()


def timed(make, told, path):
    begun = time.perf_counter()
    make(told, path)
    return time.perf_counter() - begun


def found(path, entries):
    """How many of the entry numbers 1, 2, 3 … stand at the beginning of a line, in order, and how many pages there are."""
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    wanted = 1
    for line in text.splitlines():
        words = line.split()
        if words and words[0] == str(wanted):
            wanted += 1
    return wanted - 1, text.count("\f")


def main():
    told = json.loads(sys.stdin.readline())
    folder, entries = Path(told["folder"]), len(told["cells"])
    ours = {"name": "ours", "path": told["table_pdf"]}
    lab = {"name": f"ReportLab {reportlab.Version}", "path": str(folder / "reportlab.pdf")}
    typ = {"name": f"Typst {typst.__version__ if hasattr(typst, '__version__') else ''}".strip(), "path": str(folder / "typst.pdf")}
    seconds = {"ours": [], "lab": [], "typ": []}
    program = Ours(told)
    for turn in range(ROUNDS):
        seconds["ours"].append(program())
        seconds["typ"].append(timed(by_typst, told, typ["path"]))
        if turn < SLOW_ROUNDS:
            seconds["lab"].append(timed(by_reportlab, told, lab["path"]))
    program.done()
    for one, key in ((ours, "ours"), (lab, "lab"), (typ, "typ")):
        one["s"], one["worst"] = min(seconds[key]), max(seconds[key])
    whole = found(told["whole_pdf"], entries)
    lacks = whole[0] < entries
    for one in (ours, lab, typ):
        one["rows"], one["pages"] = found(one["path"], entries)
        lacks |= one["rows"] != entries
    print(f"{told['calls']} calls, {entries} entries in the table")
    for one in (ours, lab, typ):
        times = "" if one is ours else f", {one['s'] / ours['s']:.1f} times ours"
        print(f"  {one['name']:18} {one['s']:7.3f} s (slowest {one['worst']:.3f}), {one['pages']} pages, {one['rows']} of {entries} entries found in order{times}")
    print(f"the whole report, from the file: {told['whole_s']:.3f} s (goal {GOALS['whole_s']}), {told['more_mib'][0]:.1f} to {told['more_mib'][-1]:.1f} MiB more than at rest in {len(told['more_mib'])} programs (goal {GOALS['more_mib']:.0f}), "
          f"{whole[1]} pages, {whole[0]} of {entries} entries found in order")
    for name, one, goal in (("ReportLab", lab, GOALS["reportlab"]), ("Typst", typ, GOALS["typst"])):
        ratio = one["s"] / ours["s"]
        print(f"  {name}: {ratio:.1f} times (goal {goal:.0f}: {'met' if ratio >= goal else 'NOT MET'})")
    print(f"  seconds: {'met' if told['whole_s'] <= GOALS['whole_s'] else 'NOT MET'}; memory: {'met' if told['more_mib'][-1] <= GOALS['more_mib'] else 'NOT MET'}")
    if lacks:
        print("a table lacks entries: no time counts", file=sys.stderr)
        sys.exit(1)


main()
