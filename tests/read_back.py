"""Reads a result workbook with openpyxl, a reader that shares no code with the writer, and checks what must hold.

Usage: read_back.py PORTFOLIO.xlsx RESULT.xlsx
"""

import sys

from openpyxl import load_workbook

SHEETS = [
    "Summary", "Ranking", "Weights", "Design", "Shared supplies", "Vehicles", "Findings", "Try a site", "Materials",
    "Labour", "Survey gaps", "Clusters", "Cluster sites", *(f"Operator {number}" for number in [*range(10, 24), 25, 27]),
    "Bid", "Rates", "Tender notes", "Order schedule", "Cutting list", "As read", "Joined files", "Assumptions",
    "Try data", "Try tables",
]
VERDICTS = {"ready", "marginal", "blocked"}
CHECKS = {"passed": 0, "failed": 0}


def check(held, words):
    CHECKS["passed" if held else "failed"] += 1
    if not held:
        print("FAILED:", words)


def heading_row(sheet, name):
    """Row number and columns by heading of the first row that holds `name`."""
    for row in sheet.iter_rows(min_row=1, max_row=12):
        headings = {str(cell.value).strip().lower(): cell.column for cell in row if cell.value is not None}
        if name in headings:
            return row[0].row, headings
    raise SystemExit(f"no heading {name!r} on sheet {sheet.title}")


def column(sheet, name):
    row, headings = heading_row(sheet, name)
    index = headings[name]
    return [sheet.cell(row=r, column=index).value for r in range(row + 1, sheet.max_row + 1)]


def main(portfolio, result):
    book = load_workbook(result)
    check(book.sheetnames == SHEETS, f"sheets are {book.sheetnames}")
    ranking = book["Ranking"]
    ids = [value for value in column(ranking, "site") if value]
    verdicts = [str(value).split()[0].lower() for value in column(ranking, "verdict") if value]
    ranks = [value for value in column(ranking, "rank") if isinstance(value, (int, float))]
    check(len(ids) == len(set(ids)), "a site stands twice in Ranking")
    check(len(ids) == len(verdicts) == len(ranks), f"{len(ids)} ids, {len(verdicts)} verdicts, {len(ranks)} ranks")
    check(set(verdicts) <= VERDICTS, f"verdicts are {set(verdicts)}")
    check(ranks == list(range(1, len(ranks) + 1)), "ranks do not run from 1")
    order = ["ready", "marginal", "blocked"]
    check([order.index(v) for v in verdicts] == sorted(order.index(v) for v in verdicts), "verdicts out of order")
    check(len(ids) >= 400, f"only {len(ids)} sites judged")
    as_read = book["As read"]
    rows = [value for value in column(as_read, "row") if isinstance(value, (int, float))]
    source = load_workbook(portfolio, read_only=True)
    filled = sum(
        1
        for sheet in source.worksheets[:1]
        for row in sheet.iter_rows(values_only=True)
        if any(value not in (None, "") for value in row)
    )
    check(len(rows) == len(set(rows)), "a row stands twice on As read")
    # The headings, and the title and note above them, are not rows of the table.
    check(0 <= filled - len(rows) <= 6, f"{filled} filled rows in the sheet, {len(rows)} as read")
    formulas = [
        cell.coordinate
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "e" or (isinstance(cell.value, str) and cell.value in {"#NAME?", "NAN", "INF"})
    ]
    check(not formulas, f"error cells: {formulas[:5]}")
    print(f"{CHECKS['passed']} passed, {CHECKS['failed']} failed")
    return 1 if CHECKS["failed"] else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
