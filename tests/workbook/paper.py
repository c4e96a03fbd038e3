"""The workbook as LibreOffice prints it: read off the pages again.

Each sheet has pages of its own in the order of the tabs, as many side by side as it says, its headings on every one,
the day and the page at the foot, and no number that its column is too narrow for.
"""

import os
import re
import subprocess
import tempfile

from package import corners
from snapshot import printed


def pages_of(path, folder):
    """The text of every printed page."""
    os.makedirs(folder, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="workbook-office-") as profile:
        subprocess.run(["soffice", f"-env:UserInstallation=file://{profile}/profile", "--headless", "--norestore",
                        "--convert-to", "pdf", "--outdir", folder, path],
                       check=True, capture_output=True, timeout=400)
    paper = os.path.join(folder, os.path.basename(path).removesuffix(".xlsx") + ".pdf")
    text = subprocess.run(["pdftotext", "-layout", paper, "-"], check=True, capture_output=True, text=True).stdout
    return text.split("\f")[:-1]


def told(sheet, part):
    """What stands at the left and right of a header or footer."""
    parts = dict(printed(sheet.one(f"headerFooter/{part}").text))
    return parts["L"][1].replace("&&", "&"), parts["R"][1].replace("&&", "&")


def words_of_headings(sheet):
    """The longest word of every heading that is printed."""
    area = sheet.package.names["_xlnm.Print_Area", sheet.name].rsplit("!", 1)[1]
    left, _, right, _ = corners(area)
    cells = [sheet.cells.get((1, column)) for column in range(left, right + 1)]
    return [max(cell.value.split(), key=len) for cell in cells if cell is not None and cell.kind == "text"]


def check_paper(check, package, folder, without_headings):
    pages = pages_of(package.path, folder)
    subjects = {sheet.name: told(sheet, "oddHeader")[1] for sheet in package.sheets.values()}
    # A page belongs to the sheet whose subject ends its first line.
    firsts = [next((line.rstrip() for line in page.split("\n") if line.strip()), "") for page in pages]
    order = list(subjects)
    at = [max((name for name in order if first.endswith(subjects[name])), key=lambda name: len(subjects[name]),
              default=None) for first in firsts]
    check(None not in at, f"paper: heads: a page has none: {[n + 1 for n, name in enumerate(at) if name is None][:5]}")
    changes = [name for n, name in enumerate(at) if n == 0 or at[n - 1] != name]
    check(changes == order, f"paper: order: sheets on paper are {changes}")
    for number, page in enumerate(pages):
        check("###" not in page, f"paper: narrow: page {number + 1} has a number that does not fit: {at[number]}")
    for sheet in package.sheets.values():
        own = [page for page, name in zip(pages, at) if name == sheet.name]
        day = told(sheet, "oddFooter")[0]
        for page in own:
            # Where a foot is wide, its words may stand on lines of their own.
            check(day in page and re.search(r"Page +[0-9]+ +of +[0-9]+", page), f"paper: foot: {sheet.name}: {day}")
        across = int(sheet.one("pageSetup").get("fitToWidth", "1"))
        check(own and len(own) % across == 0, f"paper: across: {sheet.name}: {len(own)} pages, {across} across")
        if sheet.name in without_headings:
            continue
        for word in set(words_of_headings(sheet)):
            there = sum(word in page for page in own)
            due = len(own) if across == 1 else len(own) // across
            check(there >= due, f"paper: headings: {sheet.name}: {word!r} on {there} of {len(own)} pages")
    check(sum(name == "Summary" for name in at) == 1, "paper: Summary: it takes more than a page")
    return len(pages)
