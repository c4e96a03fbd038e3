"""A second reading of the schedules for the network operators, with openpyxl and the standard library alone: from the
portfolio's own cells, which operator must hear of which site; then workbook, tables and JSON document against that and
against each other.

Usage: check.py BAYWRIGHT PORTFOLIO.xlsx FOLDER

What is known here of the world, apart from the program: the check digit of a supply number (weights 3 to 43 without 11,
modulo 11, modulo 10; published description of the number), the distributor in its first two digits, and the rule that
a notice is due within 28 days of the installation (operators' common process).
"""

import csv
import datetime
import json
import pathlib
import re
import subprocess
import sys

from openpyxl import load_workbook

FIRST_INDEPENDENT = 24
NOTICE_DAYS = 28
# Worked numbers (supply notes 3.1, derived); the second has the residue 10, which becomes 0.
WORKED = ("1012345678903", "1812345678900", "2412345678904")
TIMES = pathlib.Path(__file__).resolve().parents[2] / "src/reference/tables/operator_times.csv"
# What every row lacks until somebody has bought and photographed.
EVERYDAY = ("make and model", "photographs", "UPRN", "supply number", "operator", "postcode", "type of premises")
CHECKS = {"passed": 0, "failed": 0}


def check(held, words):
    CHECKS["passed" if held else "failed"] += 1
    if not held:
        print("FAILED:", words)


def check_digit_is_right(core):
    """Whether the thirteenth digit of a core is what the other twelve make it."""
    primes = [p for p in range(3, 44) if p != 11 and all(p % q for q in range(2, p))]
    return sum(int(digit) * prime for digit, prime in zip(core, primes)) % 11 % 10 == int(core[12])


def core_of(cell):
    """The thirteen digits that a cell holds, as a person reads it; None where it holds no such number."""
    if cell is None or isinstance(cell, float) and not cell.is_integer():
        return None
    text = str(int(cell)) if isinstance(cell, (int, float)) else str(cell)
    text = re.sub(r"[\s\-/.']", "", text).upper().removeprefix("S")
    full = re.fullmatch(r"\d{5}[A-Z0-9]{3}(\d{13})", text)
    if full:
        return full.group(1)
    return text if re.fullmatch(r"\d{13}", text) else None


def day_of(value):
    """A day of a worksheet, a table or a document; None where there is none."""
    if value in (None, ""):
        return None
    return value.date() if isinstance(value, datetime.datetime) else datetime.date.fromisoformat(str(value))


def working_days(first, last):
    """Days from Monday to Friday after `first`, up to and with `last`."""
    days = (first + datetime.timedelta(step) for step in range(1, (last - first).days + 1))
    return sum(1 for day in days if day.weekday() < 5)


def surveyed(portfolio):
    """Supply number and stated distributor by row of the survey sheet, which this sample heads in these words."""
    sheet = load_workbook(portfolio, read_only=True).worksheets[0]
    rows = list(sheet.iter_rows(values_only=True))
    top = next(at for at, row in enumerate(rows) if "MPAN (13 digits)" in row)
    column = {heading: at for at, heading in enumerate(rows[top])}
    return {
        at + 1: (row[column["MPAN (13 digits)"]], row[column["DNO no."]])
        for at, row in enumerate(rows)
        if at > top and row[column["Ref"]]
    }


def shown(value):
    """A cell as the table of text writes it."""
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(value)


def sheets_of(book):
    """The sheets of the operators: by their short name, the rows by heading."""
    found = {}
    for sheet in book.worksheets:
        if sheet.title.startswith("Operator "):
            headings, *rows = sheet.iter_rows(values_only=True)
            found[sheet.title.removeprefix("Operator ").lower()] = [dict(zip(headings, row)) for row in rows]
    return found


def tables_of(folder, stem):
    """The tables beside the workbook: by the operator in the name of the file, the rows by heading."""
    found = {}
    for path in sorted(folder.glob(f"{stem}-operator-*.csv")):
        with path.open(encoding="utf-8-sig", newline="") as file:
            found[path.stem.removeprefix(f"{stem}-operator-")] = list(csv.DictReader(file))
    return found


def check_operator(site, told, cells):
    """The operator of one site, from the cells of its row."""
    name, number = site["site_id"], told["distributor"]
    mpan, stated = cells
    core = core_of(mpan)
    missing = " ".join(told["schedule_missing"])
    right = core is not None and check_digit_is_right(core)
    if right:
        check(number == int(core[:2]) and told["distributor_from"] == "mpan", f"{name}: {core} is not of {number}")
    else:
        check(told["distributor_from"] != "mpan", f"{name}: {mpan!r} names nobody")
        if re.fullmatch(r"\d\d", str(stated or "").strip()):
            check(number == int(stated), f"{name}: {number}, but {stated} is stated")
    wrong = core is not None and not right
    check(("fails its check digit" in missing) == wrong, f"{name}: check digit of {mpan!r}: {missing}")
    if mpan in (None, ""):
        check("supply number" in missing, f"{name}: no supply number, and that is not missing")
    independent = number is not None and number >= FIRST_INDEPENDENT
    check(("R17" in told["operator_rules"]) == independent, f"{name}: R17 of operator {number}")


def check_route(site, told):
    """Rules and route of one site, as far as its verdict and its findings tell them."""
    name, rules, route = site["site_id"], told["operator_rules"], told["route"]
    numbers = [int(rule[1:]) for rule in rules]
    check(rules and numbers == sorted(set(numbers)) and all(1 <= n <= 17 for n in numbers), f"{name}: rules {rules}")
    check(("R1" in rules) == route.endswith("notify"), f"{name}: {route} by {rules}")
    check(("R10" in rules) == route.startswith("engage first"), f"{name}: {route} by {rules}")
    deciding = set(rules) - {"R1", "R10", "R11", "R16", "R17"}
    check(bool(deciding) == (not route.endswith("notify")), f"{name}: {route} by {rules}")
    if site["operator_route"] == "apply":
        check(route.endswith("apply"), f"{name}: judged apply, told {route}")
    if route.endswith("ask"):
        asked = [lack for lack in told["schedule_missing"] if not lack.startswith(EVERYDAY)]
        check(asked, f"{name}: asked first, and nothing says what")
    reasons = {finding["reason"] for finding in site["findings"]}
    for reason, rule in (("loop-yes", "R5"), ("loop-unknown", "R5"), ("cutout-unknown", "R4"), ("new-connection", "R12"),
                         ("unmetered-supply", "R7"), ("demand-over-60", "R2"), ("cutout-unsafe", "R6")):
        check(reason not in reasons or rule in rules, f"{name}: {reason} without {rule}")


def check_dates(site, told, as_of, bands):
    """The dates of one site: notice within the days of the process, answers after working days."""
    name = site["site_id"]
    planned, notify = day_of(told["planned"]), day_of(told["notify_by"])
    apply, answer = day_of(told["apply_by"]), day_of(told["answer_by"])
    waits = datetime.timedelta(weeks=site["weeks_likely"] or 0)
    check(planned is not None and planned >= as_of + waits, f"{name}: planned {planned}")
    only_notice = told["route"].endswith("notify")
    check((notify is not None) == only_notice, f"{name}: notice by {notify}, {told['route']}")
    if notify is not None:
        check(0 < (notify - planned).days <= NOTICE_DAYS, f"{name}: notice {notify} for {planned}")
    asked = told["route"] != "notify"
    check((apply is not None) == asked and (answer is not None) == asked, f"{name}: {apply} {answer} {told['route']}")
    if asked:
        check(as_of <= apply <= planned, f"{name}: apply by {apply}, planned {planned}")
        check(answer.weekday() < 5 and apply.weekday() < 5 or apply == as_of, f"{name}: {apply} or {answer}: no working day")
        check(working_days(as_of, answer) in {likely for likely, _ in bands}, f"{name}: answer by {answer}")
        left = working_days(apply, planned)
        highest = {high for _, high in bands}
        check(left in highest or apply == as_of and left <= max(highest), f"{name}: apply by {apply} for {planned}")
        late = any("planned before" in lack for lack in told["schedule_missing"])
        check(late == (planned < answer), f"{name}: planned {planned}, answer {answer}")


def check_row(site, told, operator, row, table_row):
    """One row of a sheet against the document, and against the table beside the workbook."""
    name = site["site_id"]
    number = told["distributor"]
    short = {None: ("ni", "unknown")}.get(number, (str(number),))
    check(operator in short, f"{name} stands at operator {operator}, not {number}")
    check(row["Rank"] == site["rank"], f"{name}: rank {row['Rank']}")
    check((row["Postcode"] or None) == site["postcode"], f"{name}: postcode {row['Postcode']}")
    check(row["Rules"] == ", ".join(told["operator_rules"]), f"{name}: rules {row['Rules']}")
    check(row["Route"] == told["route"], f"{name}: route {row['Route']}")
    check((row["Missing or in doubt"] or "") == "; ".join(told["schedule_missing"]), f"{name}: what is missing")
    for heading, key in (("Planned", "planned"), ("Apply, ask or engage by", "apply_by"), ("Notify by", "notify_by"),
                         ("Answer likely by (no bank holidays counted)", "answer_by")):
        check(day_of(row[heading]) == day_of(told[key]), f"{name}: {heading} {row[heading]}, {told[key]}")
    for heading, cell in row.items():
        check(shown(cell) == table_row[heading], f"{name}: {heading} is {cell!r} and {table_row[heading]!r}")
    for heading in ("Customer contact", "Make, model, listing number", "Installed", "Installer, accreditation, contact"):
        check(row[heading] is None, f"{name}: {heading} is filled, and nobody surveyed it")
    if row["Supply number"]:
        check(isinstance(row["Supply number"], str) and check_digit_is_right(row["Supply number"]), f"{name}: number")
    current, phases, kva = row["Current a phase, A"], row["Phases each"], row["Power each, kVA"]
    if current is not None:
        check(abs(kva - current * phases * 0.23) < 0.01, f"{name}: {current} A, {phases} phases, {kva} kVA")
        standard = "61000-3-2" if current <= 16 else "61000-3-12"
        check(row["Harmonics and flicker"].startswith(f"BS EN {standard} "), f"{name}: {row['Harmonics and flicker']}")
        check(row["Demand with charging, A (same)"] is not None, f"{name}: no demand with charging")
    if row["Limitation set at, A"] is not None:
        check(row["Limitation set at, A"] <= row["Cut-out, A"], f"{name}: limited above its cut-out")


def check_order(operator, rows):
    """Clusters that are told early first, each together, applications before notices, then by rank."""
    early = [bool(row["Cluster told early"]) for row in rows]
    check(early == sorted(early, reverse=True), f"operator {operator}: early words are not first")
    blocks = [row["Cluster told early"] for row in rows]
    starts = [name for at, name in enumerate(blocks) if at == 0 or blocks[at - 1] != name]
    check(len(starts) == len(set(starts)), f"operator {operator}: a cluster is torn apart")
    weight = {"apply": 0, "ask": 1, "ask first": 1, "notify": 2}
    keys = [(blocks[at], weight[row["Route"].split("then ")[-1]], row["Rank"]) for at, row in enumerate(rows)]
    for one, other in zip(keys, keys[1:]):
        check(one[0] != other[0] or one[1:] < other[1:], f"operator {operator}: {one} before {other}")


def main(baywright, portfolio, folder):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    result = folder / "schedules.xlsx"
    for stale in folder.glob("schedules-operator-*.csv"):
        stale.unlink()
    command = [baywright, "assess", portfolio, "-o", str(result), "--json", "--csv", "--force"]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    document = json.loads(result.with_suffix(".json").read_text(encoding="utf-8"))
    with TIMES.open(encoding="utf-8", newline="") as file:
        bands = {(int(row["working_days_likely"]), int(row["working_days_high"])) for row in csv.DictReader(file)}
    check(all(map(check_digit_is_right, WORKED)) and not check_digit_is_right("1012345678904"), "the worked numbers")
    as_of = datetime.date.fromisoformat(document["summary"]["as_of"])
    sheets, tables = sheets_of(load_workbook(result)), tables_of(folder, "schedules")
    check(sheets.keys() == tables.keys() and len(sheets) >= 10, f"sheets {list(sheets)}, tables {list(tables)}")
    cells = surveyed(portfolio)
    stands = {}
    for operator, rows in sheets.items():
        check(len(rows) == len(tables[operator]) > 0, f"operator {operator}: {len(rows)}, {len(tables[operator])} rows")
        check_order(operator, rows)
        for row, table_row in zip(rows, tables[operator]):
            check(row["Site"] not in stands, f"{row['Site']} stands twice")
            stands[row["Site"]] = (operator, row, table_row)
    for site in document["sites"]:
        told, name = site["operator_schedule"], site["site_id"]
        verdict = site["override_verdict"] or site["verdict"]
        check((told is not None) == (name in stands), f"{name}: on a sheet or in the document alone")
        check(told is not None or verdict != "ready", f"{name} is ready, and no operator hears of it")
        if told is None or name not in stands:
            continue
        check_operator(site, told, cells[site["row"]])
        check_route(site, told)
        check_dates(site, told, as_of, bands)
        check_row(site, told, *stands[name])
    print(f"{len(stands)} sites with {len(sheets)} operators: {CHECKS['passed']} passed, {CHECKS['failed']} failed")
    return 1 if CHECKS["failed"] else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
