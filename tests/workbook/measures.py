"""Every sheet of the result workbook has its print set-up and the widths and heights that its content needs.

Usage: measures.py FOLDER WORKBOOK.xlsx

Texts and numbers are measured with real advance widths in the size and weight of their cells. Then LibreOffice prints
the workbook into FOLDER, and the pages are counted and read.
"""

import re
import sys

from letters import EDGE, INDENT, Face, column_pixels, shown
from package import Checks, Package, corners, letters_of
from paper import check_paper

# Points of a line of text as programs draw it, as a share of its size; at 9 points it is 12.
LINE = 12 / 9
# Texts that may be cut on the screen, sheet, why, and which rows by their result.
CUT = [
    ("As read", "rows set aside: a line of headings that stands again within the rows, or a remark, is as long as it is",
     lambda result: result == "set aside"),
]
# Sheets that are pages or blocks, not rows under one row of headings.
PAGES = {"Summary", "Weights", "Try a site", "Try tables"}


class Measured:
    """One sheet with what a program needs to draw it."""

    def __init__(self, package, sheet, face):
        self.package, self.sheet, self.face = package, sheet, face
        self.columns = {}
        for column in sheet.all("cols/col"):
            for number in range(int(column.get("min")), min(int(column.get("max")), sheet.extent[1] + 1) + 1):
                self.columns[number] = column_pixels(float(column.get("width")))
        self.merged, self.covered = {}, set()
        for one in sheet.all("mergeCells/mergeCell"):
            left, top, right, bottom = corners(one.get("ref"))
            self.merged[top, left] = (right, bottom)
            self.covered.update((row, column) for row in range(top, bottom + 1) for column in range(left, right + 1))
        usual = sheet.one("sheetFormatPr")
        # Rows without a height of their own grow with what they hold, but for where the sheet sets one for all.
        self.usual = float(usual.get("defaultRowHeight")) if usual.get("customHeight") == "1" else None

    def look(self, cell):
        """Size, weight, wrapping and indent of a cell."""
        font, alignment = self.package.fonts[cell.style], self.package.alignments[cell.style]
        size = next(float(part.get("val")) for part in font if part.tag.endswith("}sz"))
        bold = any(part.tag.endswith("}b") for part in font)
        return size, bold, alignment.get("wrapText") == "1", int(alignment.get("indent", "0"))

    def width(self, row, column):
        right, _ = self.merged.get((row, column), (column, row))
        return sum(self.columns.get(each, 64) for each in range(column, right + 1))

    def height(self, row, column):
        _, bottom = self.merged.get((row, column), (column, row))
        heights = [self.sheet.heights.get(each, self.usual) for each in range(row, bottom + 1)]
        return None if None in heights else sum(heights)

    def is_empty(self, row, column):
        cell = self.sheet.cells.get((row, column))
        return (cell is None or cell.kind == "blank" or cell.value == "") and (row, column) not in self.covered

    def beyond(self, row, column):
        """Pixels that a text may run over at its right: the empty cells there, without end where nothing follows."""
        if (row, column) in self.merged:
            return 0
        room = 0
        for each in range(column + 1, self.sheet.extent[1] + 1):
            if not self.is_empty(row, each):
                return room
            room += self.columns.get(each, 64)
        return 1e9

    def faults(self):
        """What does not fit: kind, place, text, pixels or points it needs, those it has."""
        for (row, column), cell in self.sheet.cells.items():
            if cell.kind == "blank" or cell.value == "":
                continue
            size, bold, wraps, indent = self.look(cell)
            room = self.width(row, column) - EDGE - indent * INDENT
            is_number = cell.kind == "number"
            text = shown(cell.value, self.sheet.format_of(cell)) if is_number else str(cell.value)
            where = (row, column)
            if is_number or not wraps:
                needs = max(self.face.pixels(line, size, bold) for line in text.split("\n"))
                if needs > room + (0 if is_number else self.beyond(row, column)):
                    yield "number" if is_number else "text", where, text, needs, room
                continue
            if row == 1 and self.sheet.name not in PAGES:
                word = max(text.split(), key=lambda word: self.face.pixels(word, size, bold))
                needs = self.face.pixels(word, size, bold)
                if needs > room:
                    yield "heading", where, word, needs, room
            tall = self.height(row, column)
            if tall is not None:
                needs = self.face.lines(text, size, bold, room) * size * LINE
                if needs > tall + 1:
                    yield "wrapped", where, text, needs, tall


def check_page(check, tells, sheet):
    """The print set-up of a sheet."""
    setup, fits = sheet.one("pageSetup"), sheet.one("sheetPr/pageSetUpPr")
    check(setup is not None and setup.get("paperSize") in ("8", "9"), f"{tells}paper")
    check(setup is not None and setup.get("orientation") in ("portrait", "landscape"), f"{tells}orientation")
    check(fits is not None and fits.get("fitToPage") == "1", f"{tells}fitted to its width")
    check(int(setup.get("fitToWidth", "1")) >= 1, f"{tells}pages across: {setup.get('fitToWidth')}")
    header, footer = sheet.one("headerFooter/oddHeader"), sheet.one("headerFooter/oddFooter")
    check(header is not None and re.search('&R.*"([A-Z].{10})', header.text), f"{tells}header")
    check(footer is not None and "&P" in footer.text and "&N" in footer.text, f"{tells}footer")
    names = {title: refers for (title, scope), refers in sheet.package.names.items() if scope == sheet.name}
    check("_xlnm.Print_Area" in names, f"{tells}print area")
    pane = sheet.one("sheetViews/sheetView/pane")
    if sheet.name not in PAGES:
        check("$1:$1" in names.get("_xlnm.Print_Titles", ""), f"{tells}headings on each page")
        check(pane is not None and pane.get("ySplit") == "1" and pane.get("state") == "frozen", f"{tells}frozen panes")
    used = {column for (_, column), cell in sheet.cells.items() if cell.kind != "blank"}
    given = {number for column in sheet.all("cols/col")
             for number in range(int(column.get("min")), int(column.get("max")) + 1)}
    bare = sorted(used - given)
    check(not bare, f"{tells}columns without a width: {[letters_of(column) for column in bare]}")


def main(folder, path):
    check, face, package = Checks(), Face(), Package(path)
    cut, measured = set(), 0
    for sheet in package.sheets.values():
        check_page(check, f"{sheet.name}: print set-up: ", sheet)
        titles = {cell.value: column for (row, column), cell in sheet.cells.items() if row == 1}
        measured += sum(cell.kind != "blank" for cell in sheet.cells.values())
        for kind, (row, column), text, needs, has in Measured(package, sheet, face).faults():
            result = sheet.cells.get((row, titles.get("Result")))
            may = [at for at, (name, _, which) in enumerate(CUT)
                   if name == sheet.name and kind == "text" and which(result and result.value)]
            cut.update(may)
            heading = sheet.cells.get((1, column))
            check(may, f"{sheet.name}: {kind} {heading and heading.value!r}: {letters_of(column)}{row}: {text[:60]!r} "
                       f"needs {needs:.0f}, has {has:.0f}")
    check(measured > 100_000, f"measured: cells: only {measured}")
    check_paper(check, package, folder, PAGES)
    check(len(cut) == len(CUT), f"CUT: stale: {[CUT[at][:2] for at in range(len(CUT)) if at not in cut]}")
    return check.end()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
