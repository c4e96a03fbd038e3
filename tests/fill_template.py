"""Fills the survey template as a person would, with a writer that shares no code with the program, has the program read
it back, and holds the same rows against the Table Schema of the survey sheet.

    fill_template.py BAYWRIGHT SCHEMA FOLDER
"""
import csv
import datetime
import json
import pathlib
import subprocess
import sys

from frictionless import Checklist, Resource, Schema, system
from openpyxl import load_workbook

SITES = 20
HEADING_ROW, EXAMPLE_ROW, FIRST_ROW = 2, 3, 4


def value(field, example, n):
    """A value of the n-th site, fit for the column: the example's own answers, which go with one another."""
    name, constraints = field["name"], field.get("constraints", {})
    if name == "site_id":
        return f"S{n:03}"
    if name == "address":
        return f"{n + 1} Fennel Row, Tarnholt"
    if name == "uprn":
        return f"9000000{n:05}"
    if name in ("postcode", "mpan"):
        return None
    if name == "latitude":
        return 52 + n / 100
    if name == "longitude":
        return -1 - n / 100
    if "enum" in constraints and example is None:
        return constraints["enum"][n % len(constraints["enum"])]
    if field["type"] == "date":
        return datetime.date(2026, 11, n + 1)
    if "pattern" in constraints and example is None:
        return f"{n:02}:30"
    return example if example is not None else f"{name} {n}"


def main(program, schema_path, folder):
    folder = pathlib.Path(folder)
    fields = {field["name"]: field for field in json.loads(pathlib.Path(schema_path).read_text())["fields"]}
    template = folder / "template.xlsx"
    subprocess.run([program, "template", "-o", template, "--force"], check=True, stdout=subprocess.DEVNULL)
    for sheet_name in ("Homes", "Shared car parks"):
        book = load_workbook(template)
        sheet = book[sheet_name]
        headings = [cell.value for cell in sheet[HEADING_ROW]]
        examples = [cell.value for cell in sheet[EXAMPLE_ROW]]
        assert set(headings) <= set(fields), set(headings) - set(fields)
        assert examples[headings.index("site_id")] == "EXAMPLE"
        assert all(cell.comment for cell in sheet[HEADING_ROW]), "a heading without help"
        listed = {str(each.sqref).split(":")[0].rstrip("0123456789") for each in sheet.data_validations.dataValidation}
        for cell in sheet[HEADING_ROW]:
            if "enum" in fields[cell.value].get("constraints", {}):
                assert cell.column_letter in listed, f"{cell.value} has no list"
        rows = [[value(fields[name], example, n) for name, example in zip(headings, examples)] for n in range(SITES)]
        for at, row in enumerate(rows):
            for column, cell in enumerate(row, 1):
                sheet.cell(row=FIRST_ROW + at, column=column).value = cell
        filled = folder / f"{sheet_name}.xlsx"
        book.save(filled)
        said = subprocess.run([program, "inspect", filled], check=True, capture_output=True, text=True).stdout
        assert f'sheet "{sheet_name}"' in said, said
        assert f"{len(headings)} of {len(headings)} are read" in said, said
        assert f"by their own names ({len(headings)})" in said, said
        assert "need a word" not in said and "Contradictions" not in said, said
        assert f"{SITES} can be judged, 1 set aside" in said and "worked example" in said, said
        # The same rows as a table of text, the worked example among them.
        table = folder / f"{sheet_name}.csv"
        with table.open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(headings)
            for row in [examples] + rows:
                days = [cell.date() if isinstance(cell, datetime.datetime) else cell for cell in row]
                writer.writerow(["" if cell is None else cell for cell in days])
        check(table, fields, headings, schema_path, True)
        # A value that breaks the schema is found: the oracle is awake.
        broken = folder / f"{sheet_name}, broken.csv"
        at = headings.index("tenure")
        lines = list(csv.reader(table.open(encoding="utf-8")))
        lines[1][at] = "squatted"
        with broken.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(lines)
        check(broken, fields, headings, schema_path, False)
    # Both sheets filled in are one portfolio.
    book = load_workbook(template)
    for sheet_name in ("Homes", "Shared car parks"):
        sheet = book[sheet_name]
        filled = load_workbook(folder / f"{sheet_name}.xlsx")[sheet_name]
        for row in filled.iter_rows(min_row=FIRST_ROW, max_row=FIRST_ROW + SITES - 1):
            for cell in row:
                told_apart = {"site_id": "P", "address": "Long Yard ", "uprn": "1"} if sheet_name != "Homes" else {}
                before = told_apart.get(sheet.cell(row=HEADING_ROW, column=cell.column).value)
                value_there = f"{before}{cell.value}" if before else cell.value
                sheet.cell(row=cell.row, column=cell.column).value = value_there
    both = folder / "both.xlsx"
    book.save(both)
    said = subprocess.run([program, "inspect", both], check=True, capture_output=True, text=True).stdout
    assert f"{2 * SITES} can be judged, 2 set aside" in said, said
    assert "Columns of Homes" in said and "Columns of Shared car parks" in said, said
    subprocess.run([program, "assess", both, "--json", "--force"], check=True, stdout=subprocess.DEVNULL)
    sites = json.loads((folder / "both-assessed.json").read_text())["sites"]
    rows = {(site["sheet"], site["row"]) for site in sites}
    names = ("Homes", "Shared car parks")
    assert rows == {(name, FIRST_ROW + n) for name in names for n in range(SITES)}, sorted(rows)
    print("the template: filled in by another writer, read back without a note, valid against the Table Schema")


def check(table, fields, headings, schema_path, wanted):
    document = json.loads(pathlib.Path(schema_path).read_text())
    # This validator knows no fieldsMatch: the columns that the table leaves out are left out of the schema.
    document["fields"] = [fields[name] for name in headings]
    with system.use_context(trusted=True):
        schema = Schema.from_descriptor(document)
        report = Resource(path=str(table), schema=schema).validate(Checklist())
    assert report.valid == wanted, report.flatten(["rowNumber", "fieldName", "message"])[:5]


main(*sys.argv[1:])
