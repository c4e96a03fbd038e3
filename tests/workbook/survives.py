"""The result workbook is whole, and stays whole when other programs open and save it.

Usage: survives.py FOLDER WORKBOOK.xlsx ...

Of each workbook as it was written: no macros, no links to other files, no broken references, a stored result beside
every formula, every jump with a row to land on, names that are names, tables that agree with their cells. Then it is
saved by openpyxl and by LibreOffice, into FOLDER, and what each has made of it is compared with the file as it was,
part by part. What a program drops or changes of its own accord stands in DROPS and nowhere else.
"""

import os
import re
import subprocess
import sys
import tempfile
import warnings
from xml.parsers import expat

from openpyxl import load_workbook

from package import MAIN, Checks, Package, corners, undone
from snapshot import Snapshot

OPENPYXL, OFFICE = "openpyxl", "LibreOffice"
# Results of formulas agree to this share of themselves.
SAME = 1e-9
# Less than a pixel of a width in characters: programs count in units of their own.
PIXEL = 0.1

# What a program drops or changes of its own accord: program, part, a word for what, why it does, and which differences
# are that (where, before, after). Whatever is not here is a failure, and so is a line that fits no difference.
DROPS = [
    (OPENPYXL, "results", "the stored results of formulas",
     "it keeps formulas and reckons none; a spreadsheet program reckons them when it opens the file",
     lambda where, before, after: before is not None and after is None),
    (OPENPYXL, "values", "a text that spells out an escape of the file format, where texts are shared",
     "it takes off the escape of the escape and writes it without",
     lambda where, before, after: before != undone(str(before)) and after in (undone(before), undone(undone(before)))),
    (OFFICE, "values", "a text that spells out the escape of an escape",
     "it undoes the escape of an escape twice",
     lambda where, before, after: "_x005F_x" in str(before) and after == undone(before)),
    (OFFICE, "values", "the carriage return of a line end of two characters",
     "it keeps line ends as line feeds",
     lambda where, before, after: "\r\n" in str(before) and after == before.replace("\r\n", "\n")),
    (OFFICE, "results", "blanks at the ends of a text that a formula came to",
     "it reads stored results without them, until it reckons again",
     lambda where, before, after: isinstance(before, str) and before != after == before.strip()),
    (OFFICE, "panes", "frozen panes",
     "it holds them in its window, and converting opens none",
     lambda where, before, after: before is not None and after is None),
    (OFFICE, "properties", "the commas between keywords",
     "it keeps keywords as a list and writes blanks between them",
     lambda where, before, after: where == "keywords" and after == before.replace(",", "")),
]

# Sheets of rows that are no tables where their headings are not names by themselves, and why they are not.
NO_TABLES = {
    "As read": "they are the user's own",
}
# Sheets that are pages or blocks of their own, not rows under headings.
PAGES = {"Summary", "Weights", "Try a site", "Try tables"}


def check_whole(check, name, package):
    """What must hold of the package as it was written."""
    tells = f"{name}: whole: "
    for part in package.parts:
        if part.endswith((".xml", ".rels")):
            try:
                expat.ParserCreate().Parse(package.zip.read(part), True)
            except expat.ExpatError as error:
                check(False, f"{tells}{part} is no XML: {error}")
        check("vbaProject" not in part and "externalLink" not in part and "embeddings" not in part, f"{tells}{part}")
        if part.endswith(".rels"):
            check(b"External" not in package.zip.read(part), f"{tells}{part} points outside the file")
        if part.startswith("xl/charts/"):
            text = package.zip.read(part).decode()
            check("#REF!" not in "".join(re.findall(r"<c:f>(.*?)</c:f>", text)), f"{tells}{part} has lost its figures")
    for (title, scope), refers in package.names.items():
        check("#REF!" not in refers, f"{tells}name {title} refers to {refers}")
    titles = [title for title, _ in package.names if not title.startswith("_xlnm")]
    for sheet in package.sheets.values():
        check_sheet(check, f"{tells}{sheet.name} ", package, sheet)
        titles.extend(table.get("name") for table in sheet.tables())
    check(len(titles) > 100, f"{tells}only {len(titles)} names")
    check(len({title.lower() for title in titles}) == len(titles), f"{tells}a name is there twice")
    for title in titles:
        # Up to XFD is a column; R and C with numbers are a cell by its row and column.
        column = re.fullmatch(r"([A-Za-z]{1,3})([0-9]+)", title)
        other = re.fullmatch(r"[Rr][0-9]*[Cc][0-9]*|[Rr][0-9]*|[Cc][0-9]*", title)
        is_cell = column and (len(column[1]) < 3 or column[1].upper() <= "XFD") and int(column[2]) <= 1_048_576
        check(not is_cell and not other and re.fullmatch(r"[A-Za-z_\\][\w.\\]*", title) and len(title) <= 255,
              f"{tells}{title} is no name")


def check_sheet(check, tells, package, sheet):
    for place, cell in sheet.cells.items():
        if cell.formula is not None:
            check("#REF!" not in cell.formula, f"{tells}formula at {place}: {cell.formula}")
            check(cell.kind != "blank", f"{tells}formula without a result at {place}")
        check(cell.kind != "fault", f"{tells}fault at {place}: {cell.value}")
    for validation in sheet.all("dataValidations/dataValidation"):
        formulas = "".join(part.text or "" for part in validation)
        check("#REF!" not in formulas, f"{tells}validation of {validation.get('sqref')}: {formulas}")
    for at, inside, outside in sheet.links():
        target = re.fullmatch(r"(?:'((?:[^']|'')+)'|(\w+))!([A-Z]+[0-9]+)", inside or "")
        check(outside is None and target is not None, f"{tells}link at {at}: {inside} {outside}")
        if target:
            there = package.sheets.get((target[1] or target[2]).replace("''", "'"))
            row = corners(target[3])[1]
            check(there is not None and 1 <= row <= there.extent[0], f"{tells}link at {at} leads to no row: {inside}")
    tables = list(sheet.tables())
    if sheet.name not in PAGES:
        beyond = sheet.extent[0] * sheet.extent[1] > 1_000_000
        excused = sheet.name in NO_TABLES and not names_by_themselves(sheet)
        check(len(tables) == 1 or excused or beyond or sheet.extent[0] == 1, f"{tells}is no table")
    for table in tables:
        left, top, right, _ = corners(table.get("ref"))
        titles = [column.get("name") for column in table.iter(MAIN + "tableColumn")]
        cells = [sheet.cells.get((top, column)) for column in range(left, right + 1)]
        check([cell and cell.value for cell in cells] == titles and all(cell.kind == "text" for cell in cells),
              f"{tells}headings of its table are {titles}")


def names_by_themselves(sheet):
    """Whether the headings can be those of a table."""
    cells = [sheet.cells.get((1, column)) for column in range(1, sheet.extent[1] + 1)]
    titles = ["" if cell is None else cell.value.lower() for cell in cells]
    odd = re.compile("[\\x00-\\x1f\\x7f-\\x9f\ufffe\uffff]")
    plain = all(title.strip() and len(title) <= 255 and not odd.search(title) for title in titles)
    return plain and len(set(titles)) == len(titles) and not any(undone(title) != title for title in titles)


def saved_by_openpyxl(path, folder):
    """Opened with every warning an error, saved, and opened again."""
    target = os.path.join(folder, "openpyxl.xlsx")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        load_workbook(path).save(target)
        load_workbook(target)
    return target


def saved_by_office(path, folder):
    with tempfile.TemporaryDirectory(prefix="workbook-office-") as profile:
        subprocess.run(["soffice", f"-env:UserInstallation=file://{profile}/profile", "--headless", "--norestore",
                        "--convert-to", "xlsx", "--outdir", folder, path],
                       check=True, capture_output=True, timeout=300)
    target = os.path.join(folder, os.path.basename(path))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        load_workbook(target)
    return target


def same(one, other):
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= SAME * max(abs(one), abs(other), 1e-300) or one == other
    return one == other


def compared(before, after):
    """Every difference of two snapshots: part, where, before, after."""
    for part in before.parts:
        one, other = before.parts[part], after.parts[part]
        for where in one.keys() | other.keys():
            near = part == "widths" and where in one and where in other and abs(one[where] - other[where]) < PIXEL
            if not near and not same(one.get(where), other.get(where)):
                yield part, where, one.get(where), other.get(where)


def main(folder, paths):
    check, used = Checks(), set()
    for path in paths:
        name = os.path.basename(path)
        package = Package(path)
        check_whole(check, name, package)
        before = Snapshot(package)
        for program, save in ((OPENPYXL, saved_by_openpyxl), (OFFICE, saved_by_office)):
            own = os.path.join(folder, program, name.removesuffix(".xlsx"))
            os.makedirs(own, exist_ok=True)
            after = Snapshot(Package(save(path, own)))
            for difference in compared(before, after):
                part, where, one, other = difference
                fits = [at for at, drop in enumerate(DROPS)
                        if drop[:2] == (program, part) and drop[4](where, one, other)]
                used.update(fits)
                check(fits, f"{name}: {program} changes {part}: {where}: {one!r:.120}, {other!r:.120}")
    for at, (program, part, what, _, _) in enumerate(DROPS):
        check(at in used, f"DROPS: stale: {program}, {part}, {what}")
    return check.end()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
