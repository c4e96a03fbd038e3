"""Reckons a result workbook again with a spreadsheet program, which shares no code with the writer of the workbook.

Usage: recalculate.py stored WORKBOOK.xlsx
           every formula is reckoned from scratch and must come to the result that is stored beside it, and scores and
           ranks must follow other weights
       recalculate.py tried FOLDER
           the sheet "Try a site" of every workbook of a folder is given each line of its CSV of changes and must find
           what the engine found

Run by the Python that comes with the program (python3-uno); needs soffice on the path.
"""

import csv
import glob
import os
import re
import subprocess
import sys
import tempfile
import time
import zipfile
from xml.etree import ElementTree

import uno
from com.sun.star.beans import PropertyValue

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
# Numbers agree to this share of themselves; texts agree in every letter.
SAME = 1e-9
# What of a cell is cleared (com.sun.star.sheet.CellFlags).
VALUE, DATETIME, STRING, FORMULA = 1, 2, 4, 16
# Figures that are nothing but for the last bit of a sum.
NOTHING = 1e-9


def stored(path):
    """Every formula cell of a workbook: sheet, address, stored result."""
    with zipfile.ZipFile(path) as book:
        names = {}
        targets = {}
        for relation in ElementTree.fromstring(book.read("xl/_rels/workbook.xml.rels")):
            targets[relation.get("Id")] = relation.get("Target").lstrip("/").removeprefix("xl/")
        key = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
        for sheet in ElementTree.fromstring(book.read("xl/workbook.xml")).iter(MAIN + "sheet"):
            names[sheet.get("name")] = "xl/" + targets[sheet.get(key)]
        for name, part in names.items():
            with book.open(part) as text:
                for _, cell in ElementTree.iterparse(text):
                    if cell.tag == MAIN + "row":
                        cell.clear()
                    if cell.tag != MAIN + "c" or cell.find(MAIN + "f") is None:
                        continue
                    value = cell.findtext(MAIN + "v") or ""
                    kind = cell.get("t", "n")
                    yield name, cell.get("r"), kind, value


def position(address):
    letters, digits = re.fullmatch(r"([A-Z]+)([0-9]+)", address).groups()
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return column - 1, int(digits) - 1


class Office:
    """One process of the spreadsheet program, with a profile of its own."""

    def __enter__(self):
        self.folder = tempfile.TemporaryDirectory(prefix="live-office-")
        pipe = f"live{os.getpid()}"
        self.process = subprocess.Popen(
            ["soffice", f"-env:UserInstallation=file://{self.folder.name}/profile", "--headless", "--norestore",
             "--nologo", "--nodefault", f"--accept=pipe,name={pipe};urp;StarOffice.ComponentContext"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        for _ in range(240):
            try:
                context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:
                time.sleep(0.5)
        else:
            raise SystemExit("the spreadsheet program did not start")
        self.desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        return self

    def open(self, path):
        hidden = PropertyValue(Name="Hidden", Value=True)
        book = self.desktop.loadComponentFromURL(uno.systemPathToFileUrl(os.path.abspath(path)), "_blank", 0, (hidden,))
        if book is None:
            raise SystemExit(f"{path} cannot be opened")
        return book

    def __exit__(self, *_):
        try:
            self.desktop.terminate()
        except Exception:
            pass
        try:
            self.process.wait(timeout=30)
        except subprocess.TimeoutExpired:
            self.process.kill()
        self.folder.cleanup()


def alike(one, other):
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= max(SAME * max(abs(one), abs(other)), NOTHING * 1e-3)
    return one == other


def check_weights(book, wrong):
    """Gives the sheet Weights other weights; scores and ranks must follow. Answers how many there were."""
    def cell(name):
        place = book.NamedRanges.getByName(name).getReferredCells().RangeAddress
        return book.Sheets.getByIndex(place.Sheet).getCellByPosition(place.StartColumn, place.StartRow)

    live = book.NamedRanges.getByName("ranked_scores").getReferredCells().RangeAddress
    sheet = book.Sheets.getByName("Ranking")
    heads = [head for head in sheet.getCellRangeByPosition(0, 0, 120, 0).getDataArray()[0] if head]
    compared = 0
    parts = ["odds", "cost", "wait", "priority", "points"]
    for weights in [(1, 0, 0, 0, 0, 1500), (0, 1, 0, 0, 0, 400), (0.1, 0.2, 0.3, 0.05, 0.35, 2500)]:
        for name, weight in zip(parts + ["typical_gbp"], weights):
            cell(f"your_weight_{name}").setValue(weight)
        book.calculate()
        rows = sheet.getCellRangeByPosition(0, live.StartRow, len(heads) - 1, live.EndRow).getDataArray()
        sites = []
        for row in rows:
            at = dict(zip(heads, row))
            gbp = at["Likely £ a point"]
            shares = {part: at[f"Score: {part}"] for part in parts if part != "cost"}
            shares["cost"] = weights[5] / (weights[5] + gbp) if isinstance(gbp, float) else 0.0
            score = sum(weight * shares[part] for part, weight in zip(parts, weights))
            sites.append((at["Verdict, as a number"], -score, at["Rank"], at))
        for place, (_, score, _, at) in enumerate(sorted(sites, key=lambda site: (site[0], round(site[1], 12), site[2])), 1):
            compared += 1
            if not alike(at["Score with your weights"], -score) or at["Rank with your weights"] != place:
                wrong.append(f"{at['Site']} with {weights}: {at['Score with your weights']} and rank "
                             f"{at['Rank with your weights']}, to be {-score} and {place}")
    return compared


def check_stored(path):
    wanted = list(stored(path))
    with Office() as office:
        book = office.open(path)
        started = time.time()
        book.calculateAll()
        seconds = time.time() - started
        areas = {}
        for sheet in book.Sheets.ElementNames:
            if not any(name == sheet for name, *_ in wanted):
                continue
            cursor = book.Sheets.getByName(sheet).createCursor()
            cursor.gotoEndOfUsedArea(False)
            address = cursor.RangeAddress
            area = book.Sheets.getByName(sheet).getCellRangeByPosition(0, 0, address.EndColumn, address.EndRow)
            areas[sheet] = area.getDataArray()
        wrong = []
        for name, address, kind, value in wanted:
            column, row = position(address)
            found = areas[name][row][column]
            if kind in ("str", "inlineStr"):
                same = found == value
            elif kind == "e":
                same = False
            else:
                same = alike(float(found), float(value)) if isinstance(found, float) else False
            if not same:
                wrong.append(f"{name}!{address}: {found!r}, stored {value!r}")
        ranked = check_weights(book, wrong)
        book.close(True)
    for line in wrong[:40]:
        print(line)
    print(f"{ranked} scores and ranks followed weights")
    print(f"{len(wanted)} formulas reckoned from scratch in {seconds:.1f} s, {len(wrong)} differ")
    if wrong or len(wanted) < 100:
        raise SystemExit(1)


def answers(office, path, changes, expected):
    """What differs between the sheet under these changes and the engine's answers, and how many figures were compared."""
    if len(changes) != len(expected):
        raise SystemExit(f"{path}: {len(changes)} changes and {len(expected)} answers")
    book = office.open(path)
    page = book.Sheets.getByName("Try a site")
    places = {}
    for name in book.NamedRanges.ElementNames:
        cells = book.NamedRanges.getByName(name).getReferredCells()
        if cells is not None and cells.RangeAddress.Sheet == page.RangeAddress.Sheet:
            places[name] = cells.RangeAddress
    area = page.getCellRangeByPosition(
        0, 0, max(place.EndColumn for place in places.values()), max(place.EndRow for place in places.values()))
    inputs = {name: page.getCellByPosition(place.StartColumn, place.StartRow)
              for name, place in places.items() if name.startswith("your_")}
    asked = [name for name in expected[0] if name != "case"]
    missing = [name for name in asked if name not in places] + [
        name for name in changes[0] if name != "case" and name not in inputs]
    if missing:
        raise SystemExit(f"{path}: no cells are named {missing}")
    wrong, compared, filled = [], 0, {}
    for change, answer in zip(changes, expected):
        book.enableAutomaticCalculation(False)
        for name, cell in inputs.items():
            text = change.get(name, "")
            if filled.get(name, "") == text:
                continue
            filled[name] = text
            if not text:
                cell.clearContents(VALUE | DATETIME | STRING | FORMULA)
            elif name == "your_site" or not re.fullmatch(r"[0-9.e-]+", text):
                cell.setString(text)
            else:
                cell.setValue(float(text))
        book.enableAutomaticCalculation(True)
        book.calculate()
        shown = area.getDataArray()
        for name in asked:
            wanted = answer[name]
            if wanted == "-":
                continue
            place = places[name]
            found = shown[place.StartRow][place.StartColumn]
            try:
                same = alike(float(wanted), found)
            except ValueError:
                same = found == wanted
            compared += 1
            if not same:
                told = {key: value for key, value in change.items() if value}
                wrong.append(f"{told}: {name} is {found!r}, the engine says {wanted}")
    book.close(True)
    return wrong, compared


def rows(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file))


def check_tried(folder):
    started, wrong, compared, cases, sites = time.time(), [], 0, 0, 0
    with Office() as office:
        for path in sorted(glob.glob(os.path.join(folder, "*.xlsx"))):
            stem = path.removesuffix(".xlsx")
            changes, expected = rows(stem + "-changes.csv"), rows(stem + "-expected.csv")
            found, figures = answers(office, path, changes, expected)
            wrong += [f"{os.path.basename(stem)} {line}" for line in found]
            compared += figures
            cases += len(changes)
            sites += len({change["your_site"] for change in changes})
    for line in wrong[:60]:
        print(line)
    print(f"{cases} cases at {sites} sites, {compared} figures compared in {time.time() - started:.0f} s, {len(wrong)} differ")
    if wrong or sites < 500:
        raise SystemExit(1)


def main(arguments):
    match arguments:
        case ["stored", path]:
            check_stored(path)
        case ["tried", folder]:
            check_tried(folder)
        case _:
            raise SystemExit(__doc__)


if __name__ == "__main__":
    main(sys.argv[1:])
