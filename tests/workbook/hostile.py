"""Hostile texts in a portfolio come through to the result as the texts they are.

Usage: hostile.py BINARY FOLDER

Writes portfolios into FOLDER (CSV, and XLSX as far as openpyxl can hold the texts), has the program assess them and
compares every text of As read and Ranking with what was written: once through openpyxl, once through the bare XML.
Nothing may be a formula or a link that a text has made. The tables for programs (CSV, JSON) are compared likewise.

What is not the same, and why:
- Blanks at both ends (spaces, tabs, line ends) are taken off as a cell is read; those within stay on As read. In a
  site_id, an address, a lot and a feeder elsewhere each run of them is one space, so that rows that are the same meet.
- A lot or a feeder that says nothing (no letter, no digit, or an error of a formula) is none; a ditto mark repeats the
  one above. As read has them as they were written.
- NUL is in no text here: a CSV may hold it, but nothing that writes spreadsheets does.
- Beyond 32,767 UTF-16 units, which is what a cell may hold, a text of the workbook ends in "…".
- In the CSV a text that begins like a formula has an apostrophe before it.
"""

import csv
import glob
import json
import os
import re
import subprocess
import sys

from openpyxl import Workbook, load_workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from package import Checks, Package, undone

MOST = 32_767
# Every control character but those that end a line; they are tried apart.
CONTROLS = [chr(code) for code in [*range(0x01, 0x09), 0x0B, 0x0C, *range(0x0E, 0x20), *range(0x7F, 0xA0)]]
FORMULAS = ["=1+1", "=HYPERLINK(\"http://127.0.0.1/\",\"x\")", "=cmd|' /C calc'!A0", "+1+1", "-1+1", "@SUM(A1:A9)",
            "\t=1+1", "\r=1+1", "\n=1+1", " =1+1", "'=1+1", "{=1+1}", "＝1+1", "=", "==", "=\"", "=A1&\"</f>\""]
ESCAPES = ["_x0041_", "_x005F_", "_x005F_x0041_", "_x005f_", "_x000D_", "_x0000_", "_xD83D_", "_xZZZZ_", "__x0041__",
           "_x0041", "_x_x0041_", "_x00e9_ é _x0041_"]
LONG = ["x" * MOST, "y" * (MOST + 1), "z" * 40_000, "é" * 40_000, "p" + "\U0001F50C" * 16_383, "p" + "\U0001F50C" * 16_384,
        "w" * (MOST - 2) + "\U0001F50C" * 3, "_x0041_" * 4_000]
RIGHT_TO_LEFT = ["شارع النخيل", "רחוב התמר", "12 رقم Fern", "\u202eevil\u202c", "\u2066abc\u2069", "\u200fא\u200e"]
BEYOND = ["\U0001F468\u200D\U0001F469\u200D\U0001F467", "\U0001F1EC\U0001F1E7", "\U0001F50C plug", "\U0010FFFF",
          "\U0001F3F4\U000E0067\U000E0062\U000E007F", "e\u0301\u0327\u0308", "Z\u0351\u036b\u0343", "a\u200bb\u200cc",
          "\u00adsoft", "\ufeffmark", "\ufffe", "\uffff", "\ufffd", "\ufdd0", "\ue000", "a\u2028b\u2029c", "a\u0085b"]
MARKUP = ["</t>", "</t></is></c><c r=\"A1\"><f>1+1</f></c>", "&amp;", "&", "&#0;", "&#x41;", "]]>", "<![CDATA[x]]>",
          "<!-- x -->", "<?xml?>", "\"", "'", "''", "\"\"", "`", "\\", "\\n", "%00", "${x}", "{{x}}"]
BLANKS = ["two  blanks", "  before", "after  ", "line\nbreak", "line\r\nbreak", "line\rbreak", "\n\nends\n\n", "a\tb",
          "\u00a0no-break\u00a0", "a \n b"]
NUMBERS = ["#REF!", "#N/A", "1/2", "1e5", "1E+400", "TRUE", "false", "2026-11-25", "25/11/2026", "45000", "007", "NaN",
           "inf", "-0", "0x1F", "1,234", "£5", "50%", "12:30", "1:2:3"]
LINKS = ["http://127.0.0.1/x", "https://127.0.0.1/?q=%22", "ftp://127.0.0.1", "mailto:a@b.invalid", "file:///etc/hosts",
         "internal:'Ranking'!A1", "external:x.xlsx", "javascript:alert(1)", "\\\\host\\share", "www.b.invalid"]
TEXTS = [*FORMULAS, *(f"a{mark}b" for mark in CONTROLS), *ESCAPES, *LONG, *RIGHT_TO_LEFT, *BEYOND, *MARKUP, *BLANKS,
         *NUMBERS, *LINKS]

OWN = ["site_id", "address", "postcode", "cutout_rating_a", "existing_demand_a", "parking_distance_m", "lot", "feeder",
       "notes"]
REMARK = "Our remark"
# Headings that are no survey columns. Each of the first is a name by itself, so that As read is a table.
NAMES = ["=1+1", "+x", "-x", "@x", "_x0041", "</t>&amp;", "]]>", "\"quoted\"", "'apostrophe", "a[b]#c",
         "#REF!", "#", "شارع", "\U0001F468\u200D\U0001F469", "http://127.0.0.1/", "R1C1", "A1", "x\u200by", "\u202ez",
         "h" * 255, " edge ", "a\u2028b", "two  blanks"]
# Each of these keeps it from being one.
NO_NAMES = ["twice", "twice", "TWICE", "", "   ", "h" * 300, "line\nbreak", "line\r\nbreak", "tab\there", "a\x01b",
            "i\ufffej", "k\uffffl", "_x0041_", "_x005F_"]


# What Unicode says is a blank.
BLANK = ("\t\n\x0b\x0c\r \x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u2028\u2029\u202f"
         "\u205f\u3000")


def trimmed(text):
    """The text without the blanks at its ends."""
    return text.strip(BLANK)


def understood(field, text):
    """What a text of the portfolio stands for; None where that hangs on other rows."""
    text = re.sub(f"[{BLANK}]+", " ", trimmed(text))
    if field in ("lot", "feeder"):
        if text == '"':
            return None
        if text in ("#N/A", "#REF!", "NaN") or not any(letter.isalnum() for letter in text):
            return ""
    return text


def held(text):
    """As much of a text as a cell may hold."""
    text = trimmed(text)
    if len(text.encode("utf-16-le")) // 2 <= MOST:
        return text
    kept, units = [], 0
    for letter in text:
        units += 2 if ord(letter) > 0xFFFF else 1
        if units >= MOST:
            break
        kept.append(letter)
    return "".join(kept) + "…"


def portfolio(texts, headings, most):
    """Headings and rows: each text by itself in lot, feeder, notes and every unknown column, and at the head of address
    (with so many characters at most) and site_id, which have to tell sites apart."""
    rows = []
    for number, text in enumerate(texts, 1):
        start = text if len(text) < 200 else text[:20]
        rows.append([f"{start}S{number:03}", f"{text[:most]} {number} Fern Road", f"ZR{1 + number // 90} {number % 9 + 1}AA",
                     "100", "20", "8", text, text, text, *[text] * len(headings)])
    return [*OWN, *headings], rows


def write_csv(path, headings, rows):
    with open(path, "w", encoding="utf-8", newline="") as file:
        csv.writer(file, quoting=csv.QUOTE_ALL).writerows([headings, *rows])


def write_xlsx(path, headings, rows):
    book = Workbook()
    for row in [headings, *rows]:
        book.active.append(row)
    for row in book.active.iter_rows():
        for cell in row:
            if isinstance(cell.value, str):
                cell.data_type = "s"
    book.save(path)


def holds(text):
    """Whether openpyxl writes the text and it is the same for whoever reads the file: it escapes nothing, so what looks
    like an escape would be read as one."""
    return (not ILLEGAL_CHARACTERS_RE.search(text) and len(text) <= MOST and "\ufffe" not in text
            and "\uffff" not in text and "\r" not in text and undone(text) == text)


def rows_of(package, name):
    """Headings and rows of a sheet as the XML has them."""
    sheet = package.sheets[name]
    lines = [[sheet.cells.get((row, column)) for column in range(1, sheet.extent[1] + 1)]
             for row in range(1, sheet.extent[0] + 1)]
    return lines[0], lines[1:]


def through_openpyxl(cell):
    """A text as openpyxl gives it, with the escapes undone that it leaves."""
    return undone(cell.value) if isinstance(cell.value, str) else cell.value


def text_of(cell):
    """The text of a cell of the XML: None where it is blank, the cell itself where it is no text."""
    if cell is None or cell.kind == "blank":
        return None
    return cell.value if cell.kind == "text" else cell


def check_book(check, path, name, headings, rows):
    package = Package(path)
    book = load_workbook(path)
    tells = f"{name}: "
    for sheet in package.sheets.values():
        own = {cell.formula for cell in sheet.cells.values() if cell.formula}
        # The program's own formulas stand on these sheets, and none of them quotes a text of the portfolio.
        known = {"Ranking", "Weights", "Try a site"}
        check(not own or sheet.name in known, f"{tells}formulas on {sheet.name}: {list(own)[:3]}")
        for formula in own:
            check(not re.search(r"HYPERLINK|cmd\||SUM\(A1:A9\)|</f>", formula), f"{tells}a text's formula: {formula}")
        for at, inside, outside in sheet.links():
            check(outside is None and re.fullmatch(r"('[^']+'|\w+)!A[0-9]+", inside or ""),
                  f"{tells}a link made of a text: {sheet.name} {at}: {inside} {outside}")
    told, lines = rows_of(package, "As read")
    first = next(at for at, cell in enumerate(told) if text_of(cell) == "site_id")
    check(len(told) - first == len(headings), f"{tells}{len(told) - first} columns, {len(headings)} written")
    check(len(lines) == len(rows), f"{tells}{len(lines)} rows on As read, {len(rows)} written")
    other = book["As read"]
    is_table = bool(list(package.sheets["As read"].tables()))
    for at, heading in enumerate(headings):
        # A blank heading is named by its place.
        due = trimmed(heading) or f"(column {at + 1})"
        for reader, found in (("XML", text_of(told[first + at])),
                              ("openpyxl", through_openpyxl(other.cell(1, first + at + 1)))):
            check(isinstance(found, str) and trimmed(found) == due, f"{tells}headings in {reader}: {heading!r}: {found!r}")
    row_number = next(at for at, cell in enumerate(told) if text_of(cell) == "Row")
    for line, cells in enumerate(lines):
        written = rows[int(cells[row_number].value) - 2]
        for at, text in enumerate(written):
            due = held(text) or None
            found = text_of(cells[first + at])
            check(found == due, f"{tells}As read in XML, {headings[at]!r}: row {line + 2}: {short(found)}, not {short(due)}")
            cell = other.cell(line + 2, first + at + 1)
            check(through_openpyxl(cell) == due and cell.data_type in ("s", "inlineStr", "n"[:due is None]),
                  f"{tells}As read in openpyxl, {headings[at]!r}: row {line + 2}: {short(cell.value)}, not {short(due)}")
            check(cell.hyperlink is None, f"{tells}a link at {cell.coordinate}")
    check_ranking(check, tells, package, book["Ranking"], rows)
    return is_table


def check_ranking(check, tells, package, other, rows):
    told, lines = rows_of(package, "Ranking")
    titles = [text_of(cell) for cell in told]
    check(len(lines) == len(rows), f"{tells}{len(lines)} sites judged of {len(rows)}")
    places = {field: titles.index(title) for field, title in
              (("site_id", "Site"), ("address", "Address"), ("lot", "Lot"), ("feeder", "Feeder"))}
    as_read = titles.index("Row as read")
    for line, cells in enumerate(lines):
        written = rows[int(cells[as_read].value) - 2]
        for field, place in places.items():
            due = understood(field, written[OWN.index(field)])
            if due is None:
                continue
            due = held(due) or None
            found = text_of(cells[place])
            check(found == due, f"{tells}Ranking, XML, {field}: {short(found)}, not {short(due)}")
            cell = other.cell(line + 2, place + 1)
            check(through_openpyxl(cell) == due, f"{tells}Ranking, openpyxl, {field}: {short(cell.value)}")


def short(value):
    text = ascii(value if isinstance(value, str) or value is None else (value.kind, value.value))
    return text if len(text) < 90 else f"{text[:60]}…({len(value)})…{text[-12:]}"


def guarded(text):
    """As the CSV has a text that begins like a formula."""
    return "'" + text if text.startswith(("=", "+", "-", "@", "\t", "\r", "\0")) else text


def check_tables(check, stem, name, rows):
    with open(f"{stem}.json", encoding="utf-8") as file:
        document = json.load(file)
    with open(f"{stem}.csv", encoding="utf-8-sig", newline="") as file:
        csv.field_size_limit(1 << 24)
        table = list(csv.DictReader(file))
    check(len(document["sites"]) == len(table) == len(rows), f"{name}: sites in the JSON and the CSV")
    for kind, sites in (("JSON", document["sites"]), ("CSV", table)):
        for site in sites:
            written = rows[int(site["row"]) - 2]
            for field in ("site_id", "address", "lot", "feeder"):
                if field not in site:
                    continue
                due = understood(field, written[OWN.index(field)])
                if due is None:
                    continue
                found = site[field] or ""
                check(found == (guarded(due) if kind == "CSV" else due),
                      f"{name}: {kind}, {field}: {short(found)}, not {short(due)}")
    # Whatever else is written as text for spreadsheets: the order schedule, the cutting list.
    for path in glob.glob(f"{glob.escape(stem)}*.csv"):
        with open(path, encoding="utf-8-sig", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        bare = [cell for cell in cells if cell != guarded(cell) and not re.fullmatch(r"-[0-9.]+", cell)]
        check(not bare, f"{name}: a formula in {os.path.basename(path)}: {[short(cell) for cell in bare[:3]]}")
    return set(table[0]) & {"site_id", "address", "lot", "feeder"}


def main(binary, folder):
    os.makedirs(folder, exist_ok=True)
    check = Checks()
    few = [text for text in TEXTS if len(text) < 100 and text.isprintable()][::5]
    files = {
        "texts.csv": (TEXTS, [REMARK], write_csv),
        "texts.xlsx": ([text for text in TEXTS if holds(text)], [REMARK], write_xlsx),
        "names.csv": (few, NAMES, write_csv),
        "headings.csv": (few, NO_NAMES + NAMES, write_csv),
    }
    tables = {}
    for name, (texts, more, write) in files.items():
        headings, rows = portfolio(texts, more, MOST - 20 if name.endswith("xlsx") else len(max(texts, key=len)))
        path = os.path.join(folder, name)
        write(path, headings, rows)
        stem = os.path.join(folder, name.replace(".", "-") + "-assessed")
        ran = subprocess.run([binary, "assess", path, "-o", f"{stem}.xlsx", "--json", "--csv", "--force"],
                             capture_output=True, text=True, timeout=300, check=False)
        check(ran.returncode == 0, f"{name}: it ends with {ran.returncode}: {ran.stderr.strip()[-400:]}")
        check(not ran.stderr.strip(), f"{name}: something is said beside the result: {ran.stderr.strip()[-400:]}")
        if ran.returncode == 0:
            tables[name] = check_book(check, f"{stem}.xlsx", name, headings, rows)
            known = check_tables(check, stem, name, rows)
            check({"site_id", "address"} <= known, f"{name}: columns of the CSV: {known}")
    check(tables == {"texts.csv": True, "texts.xlsx": True, "names.csv": True, "headings.csv": False},
          f"tables: As read is a table: {tables}")
    return check.end()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
