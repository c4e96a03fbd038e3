"""Workbooks that LibreOffice has turned into .xls, .ods and .xlsx from sheets of openpyxl, one trouble each."""
import io
import pathlib
import subprocess
import tempfile

from openpyxl.styles import Font
from parts import FOLDER, FOUR, address, put, site
from workbooks import DAY, book, saved


def converted(name, made):
    ending = name.rsplit(".", 1)[1]
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        source = folder / (name.rsplit(".", 1)[0] + (".source.xlsx" if ending == "xlsx" else ".xlsx"))
        source.write_bytes(saved(made))
        out = folder / "out"
        subprocess.run(["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", ending, "--outdir", out, source],
                       check=True, capture_output=True, timeout=180)
        put(name, next(out.iterdir()).read_bytes())


def made(rows, change=None):
    workbook, sheet = book(rows)
    if change:
        change(workbook, sheet)
    return workbook


def make():
    plain = [FOUR, site(1), site(2, 60, 30, 9)]
    for ending in ("xls", "ods", "xlsx"):
        converted(f"plain-by-office.{ending}", made(plain))
    dated = [FOUR + ["Survey date"], site(1, 80, 35, 12, DAY), site(2, 60, 30, 9, "25/11/2026"), site(3, 60, 30, 9, 46351)]

    def days(_, sheet):
        sheet["E2"].number_format = "dd/mm/yyyy"
    for ending in ("xls", "ods"):
        converted(f"dates.{ending}", made(dated, days))
    errors = [FOUR, site(1, "=1/0", "=20+15", "=NA()"), site(2, 60, "=SQRT(-1)", 9)]
    for ending in ("xls", "ods", "xlsx"):
        converted(f"errors.{ending}", made(errors))

    def hide(workbook, sheet):
        sheet.row_dimensions[3].hidden = True
        old = workbook.create_sheet("Old", 0)
        old.append(FOUR)
        old.append(site(9, 100, 50, 99))
        old.sheet_state = "hidden"
    for ending in ("xls", "ods"):
        converted(f"hidden.{ending}", made([FOUR, site(1), site(2), site(3)], hide))

    def style(_, sheet):
        for column in "ABCD":
            sheet.column_dimensions[column].font = Font(bold=True)
        for row in range(1, 4):
            sheet.row_dimensions[row].font = Font(italic=True)
        sheet["D1048000"].font = Font(bold=True)
    converted("whole-columns-styled.ods", made(plain, style))

    def title(_, sheet):
        sheet.merge_cells("A1:D1")
    converted("title-merged.xls", made([["Fern Road programme"], [], *plain], title))
    converted("letters-of-the-north.xls", made([FOUR, ["1 Sjö Row, Tarnholt", "80Ω", 35, "12 m"], ["2 Łąka Row, Tarnholt", 60, 30, "9 m²"], ["3 Ünder Row – east", "60 A", "≈30", "½"]]))
    converted("text-numbers.ods", made([FOUR, site(1, "80", "35", "12.5 m"), site(2, " 60A ", "30\u00a0A", "9")]))
    percent = [FOUR + ["Looped", "Survey date"], site(1, 80, 35, 12, True, DAY), site(2, 60, 30, 9, False, DAY)]
    converted("truth-values.ods", made(percent, lambda _, sheet: None))
    lines = made([["Address", "Main\nfuse (A)", "Max\ndemand (A)", "Distance\nto parking (m)"], ["1 Fennel Row\nTarnholt\nQX4 7LP", 80, 35, 12], ["2 Fennel Row\nTarnholt", 60, 30, 9]])
    converted("lines-in-cells.ods", lines)
    for ending in ("xls", "ods"):
        data = (FOLDER / f"plain-by-office.{ending}").read_bytes()
        put(f"cut-short.{ending}", data[: len(data) * 2 // 3])
    converted("as-text.csv", made(dated, days))
