"""Workbooks written by openpyxl and xlsxwriter, one trouble each."""
import datetime
import io
import re
import zipfile

import openpyxl
import xlsxwriter

from parts import FOUR, address, put, site, supply_number

DAY = datetime.datetime(2026, 11, 25)


def saved(book):
    """The bytes of a workbook, the same every time: fixed dates inside and in the archive."""
    book.properties.created = book.properties.modified = DAY
    raw = io.BytesIO()
    book.save(raw)
    return steady(raw.getvalue())


def steady(data, change=None):
    """The archive again with fixed dates; `change` maps part names to functions over their text."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            body = old.read(part)
            if part.filename == "docProps/core.xml":
                body = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2026-11-25T00:00:00Z", body)
            if change and part.filename in change:
                body = change[part.filename](body.decode()).encode()
            new.writestr(zipfile.ZipInfo(part.filename, (2026, 11, 25, 0, 0, 0)), body, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def book(rows, title="Survey"):
    made = openpyxl.Workbook()
    sheet = made.active
    sheet.title = title
    for row in rows:
        sheet.append(row)
    return made, sheet


def sheet_of(name, rows, change=None):
    made, sheet = book(rows)
    if change:
        change(made, sheet)
    put(name, saved(made))


def four(name, rows, more=(), change=None):
    sheet_of(name, [FOUR + list(more), *rows], change)


def layout():
    sheet_of("titles-above.xlsx", [["Fern Road programme: survey returns"], ["Printed 25 November 2026"], [], FOUR,
                                   site(1), site(2, 60, 30, 9)])
    sheet_of("units-on-a-second-line.xlsx", [["Address", "Main fuse", "Max demand", "Distance to parking"],
                                             [None, "A", "kW", "ft"], site(1, 80, 9.5, 40), site(2, 60, 7, 30)])
    sheet_of("heading-over-two-lines.xlsx", [["Site", "Main", "Maximum", "Distance"],
                                             ["address", "fuse", "demand", "to parking"], site(1), site(2, 60, 30, 9)])

    def groups(_, sheet):
        sheet.merge_cells("B1:C1")
        sheet.merge_cells("D1:E1")
    sheet_of("merged-group-headings.xlsx", [["", "Cut-out", None, "Consumer unit", None, "", ""],
                                            ["Address", "Rating", "Condition", "Type", "Condition", "Max demand",
                                             "Cable run"],
                                            [address(1), 80, "sound", "metal", "doubtful", 35, 12],
                                            [address(2), 60, "doubtful", "plastic", "sound", 30, 9]], groups)
    sheet_of("blank-columns.xlsx", [[None, "Address", None, "Main fuse (A)", None, None, "Max demand (A)",
                                     "Distance to parking (m)"],
                                    [None, address(1), None, 80, None, None, 35, 12],
                                    [None, address(2), None, 60, None, "moved", 30, 9]])
    four("blank-rows.xlsx", [[], site(1), [], [], site(2, 60, 30, 9), []])
    four("subtotals.xlsx", [site(1), site(2, 60, 30, 9), ["Sub-total Lot 1", None, 65, 21], site(3), ["Average", 73, 33, 11],
                            ["GRAND TOTAL", None, 100, 33]])
    four("total-court.xlsx", [[address(1, "Total Court"), 80, 35, 12], [address(2, "Average Lane"), 60, 30, 9],
                              [address(3, "Sum Street"), 60, 30, 9]])

    def hide_column(_, sheet):
        sheet.column_dimensions["C"].hidden = True
    four("hidden-column.xlsx", [site(1), site(2)], change=hide_column)

    def filtered(_, sheet):
        sheet.auto_filter.ref = "A1:D4"
        sheet.row_dimensions[3].hidden = True
    four("filtered-rows.xlsx", [site(1), site(2), site(3)], change=filtered)

    def last_year(made, _):
        old = made.create_sheet("2024", 0)
        for row in [FOUR, site(1, 100, 50, 99), site(2, 100, 50, 99), site(9, 100, 50, 99)]:
            old.append(row)
        old.sheet_state = "hidden"
    four("hidden-sheet.xlsx", [site(1), site(2)], change=last_year)
    four("headings-again.xlsx", [site(1), FOUR, site(2), FOUR, site(3)])
    four("second-table.xlsx", [site(1), site(2, 60, 30, 9), [], ["Code", "Meaning"], ["A", "allocated"], ["B", "visitor"]])
    four("notes-after-the-end.xlsx", [site(1), site(2), [], ["* distances were paced, not taped"],
                                      ["Signed off by the survey team"]])
    four("street-titles.xlsx", [["MILL LANE ESTATE"], site(1), site(2), ["HERON QUAY"], site(3)])

    def two_surveys(made, _):
        other = made.create_sheet("South")
        for row in [FOUR, site(11), site(12)]:
            other.append(row)
    four("two-surveys.xlsx", [site(1), site(2)], change=two_surveys)

    def covered(made, _):
        cover = made.create_sheet("Cover", 0)
        cover["B2"] = "Charge point programme"
        cover["B4"] = "Address"
        cover["C4"] = "1 Harbour Walk, Tarnholt"
    four("cover-sheet.xlsx", [site(1), site(2)], change=covered)
    sheet_of("below-a-form.xlsx", [[f"Instruction {n}", "read this before you begin"] for n in range(1, 38)] + [[], FOUR, site(1), site(2)])

    def lots(_, sheet):
        sheet.merge_cells("E2:E4")
    four("merged-lot.xlsx", [site(1, 80, 35, 12, "Lot 7"), site(2), site(3), site(4, 80, 35, 12, "Lot 8")], ["Lot"], lots)

    def fuses(_, sheet):
        sheet.merge_cells("B2:B4")
    four("merged-quantity.xlsx", [site(1, 80), site(2, None), site(3, None)], change=fuses)
    sheet_of("address-in-parts.xlsx", [["No", "Street", "Town", "Post Code", "Fuse", "Load", "Run"],
                                       [7, "Fennel Row", "Tarnholt", "qx47lp", 80, 35, 12],
                                       ["7A", "Fennel Row", "Tarnholt", "QX4  7LP", 60, 30, 9]])
    sheet_of("headings-as-questions.xlsx", [["What is the address?", "What is the rating of the main fuse (A)?",
                                             "What is the estimated maximum demand?", "How long is the cable run (m)?",
                                             "Is the supply looped?"], site(1, 80, 35, 12, "No"), site(2, 60, 30, 9, "yes")])
    sheet_of("headings-misspelt.xlsx", [["Adress", "Main fuse ratng (A)", "Maximun demand (A)", "Distence to parking (m)"],
                                        site(1), site(2)])
    sheet_of("headings-shouted.xlsx", [["SITE  ADDRESS", "MAIN\nFUSE\n(AMPS)", "MAX. DEMAND (A)", "DIST. TO PARKING [M]"],
                                       site(1), site(2)])
    sheet_of("same-heading-twice.xlsx", [FOUR + ["Distance to parking (m)"], site(1, 80, 35, 12, 14), site(2, 60, 30, 9, 11)])
    sheet_of("same-heading-one-empty.xlsx", [FOUR + ["Distance to parking (m)"], site(1), site(2, 60, 30, 9)])
    four("supply-number-under-a-vague-heading.xlsx", [site(n, 80, 35, 12, supply_number(12, 3_400_010_000 + 37 * n)) for n in range(1, 7)], ["Meter details"])
    four("earthing-under-a-vague-heading.xlsx", [site(n, 80, 35, 12, ["TN-S", "PME", "TT"][n % 3]) for n in range(1, 7)], ["Arrangement"])
    four("own-columns.xlsx", [site(1, 80, 35, 12, "Tuesday", "blue", 4411), site(2, 60, 30, 9, "Friday", "=green", 4412)], ["Bin day", "Door", "Key safe"])
    wide = [f"Note {n}" for n in range(1, 301)]
    four("three-hundred-columns.xlsx", [site(1, 80, 35, 12, *range(300)), site(2)], wide)
    four("long-text.xlsx", [site(1, 80, 35, 12, "gate " * 6000), site(2)], ["Comments"])
    made, sheet = book([FOUR, site(1), site(2)])
    data = saved(made)
    put("macro-workbook.xlsm", steady(data, {"[Content_Types].xml": lambda text: text.replace(
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
        "application/vnd.ms-excel.sheet.macroEnabled.main+xml")}))


def values():
    four("feet.xlsx", [site(1, 80, 35, "40ft"), site(2, 80, 35, "40'"), site(3, 80, 35, "40 feet"), site(4, 80, 35, "13' 6\""),
                       site(5, 80, 35, "40’"), site(6, 80, 35, "12 yds")])
    four("millimetres.xlsx", [site(1, 80, 35, "12000mm"), site(2, 80, 35, 12000), site(3, 80, 35, "1200 cm"), site(4, 80, 35, "0.012 km")])
    four("kva-and-kw.xlsx", [site(1, 80, "14 kVA", 12, 1), site(2, 80, "9.2kVA", 12, 1), site(3, 100, "69 kVA", 12, 3), site(4, 80, "35 amps", 12, 1),
                             site(5, 80, "35A per phase", 12, 3)], ["Phases"])
    four("ranges.xlsx", [site(1, "60/80", 35, "10-15m"), site(2, "60 or 80", "30-40", "10 to 15"), site(3, "60-80", 35, "between 10 and 15 m"), site(4, "60\u201180A", 35, "10\u201315")])
    four("approximations.xlsx", [site(n, 80, 35, text) for n, text in enumerate(["approx 12m", "~12", "c.12", "12ish", "12m+", "about 12", "12 m approx.", "up to 12m", "12?"], 1)])
    four("ditto.xlsx", [site(1, 80, 35, 12, "PME"), site(2, '"', 'ditto', "as above", "do."), site(3, "\u201d", "\u3003", '"', "''"), site(4, 60, 30, 9, "TT")], ["Earthing"])
    four("ditto-after-a-gap.xlsx", [site(1, 80, 35, 12), [], ["MILL LANE"], site(2, '"', 35, 12), site(3, 60, 35, 12)])
    four("ticks-and-crosses.xlsx", [site(n, 80, 35, 12, "✓" if n % 2 else "✗", "✓" if n % 2 else "x", "x" if n % 2 else None, "y" if n % 2 else "x") for n in range(1, 7)],
         ["Looped", "Isolator", "Covered parking", "Listed"])
    four("serial-dates.xlsx", [site(1, 80, 35, 12, 46351), site(2, 80, 35, 12, "46351"), site(3, 80, 35, 12, DAY)], ["Survey date"])
    four("dates-of-both-orders.xlsx", [site(n, 80, 35, 12, text) for n, text in enumerate(["25/11/2026", "11/25/2026", "25.11.26", "2026-11-25", "25 Nov 2026", "25th November 2026", "Nov-26", "03/04/2026"], 1)], ["Date of survey"])
    four("impossible-dates.xlsx", [site(n, 80, 35, 12, text) for n, text in enumerate(["31/02/2026", "45/13/2026", "last spring", "00/00/0000", -5], 1)], ["Survey date"])
    four("text-numbers.xlsx", [site(1, "80", "35", "12"), site(2, " 80 ", "35.0", "12.50"), site(3, "'80", "+35", "012")])
    four("error-cells.xlsx", [site(1, "#N/A", "#DIV/0!", "#REF!"), site(2, 60, "#VALUE!", 9), site(3, "#NAME?", 30, "#NUM!")])
    made, sheet = book([FOUR, site(1, "#N/A", 35, 12), site(2, 60, 30, 9)])
    put("spill-error.xlsx", steady(saved(made), {"xl/worksheets/sheet1.xml": lambda text: text.replace("#N/A", "#SPILL!")}))
    four("formulas-without-results.xlsx", [site(1, 80, "=20+15", 12), site(2, 60, 30, "=3*3")])
    four("letters-for-digits.xlsx", [site(1, "l00A", "3O", "l2m", "O.35"), site(2, "8O", "35", "1O", ".3S"), site(3, "IOO", "30", "9", "0.2l")], ["Ze"])
    four("odd-blanks.xlsx", [site(1, "80\u00a0A", "\u00a035", "12\u2009m"), site(2, "\u200b80", "35\ufeff", "\uff11\uff12"), site(3, "80\tA", " 35\n", "12\u202fm")])
    four("place-number-as-number.xlsx", [site(1, 80, 35, 12, 100012345678), site(2, 80, 35, 12, 12345678901)], ["UPRN"])

    def noughts(_, sheet):
        for row in (2, 3):
            sheet.cell(row, 5).number_format = "0000"
    four("noughts-by-format.xlsx", [site(1, 80, 35, 12, 7), site(2, 80, 35, 12, 12)], ["Site ref"], noughts)
    core = supply_number(12, 3_400_010_037)
    four("supply-numbers.xlsx", [site(1, 80, 35, 12, "01 801 002 " + " ".join([core[:2], core[2:6], core[6:10], core[10:]])), site(2, 80, 35, 12, "S01801002" + supply_number(12, 3_400_010_074)),
                                 site(3, 80, 35, 12, int(supply_number(12, 3_400_010_111))), site(4, 80, 35, 12, core[:-1] + str((int(core[-1]) + 1) % 10)), site(5, 80, 35, 12, "9313462207"),
                                 site(6, 80, 35, 12, "1.23E+12")], ["MPAN"])
    four("one-supply-number-on-many-rows.xlsx", [site(n, 80, 35, 12, core) for n in range(1, 6)], ["MPAN"])
    four("copied-down.xlsx", [site(n, 80, 35, 12, "TN-S") for n in range(1, 21)], ["Earthing"])
    four("resurvey.xlsx", [site(1, 60, 35, 12, "01/02/2025"), site(2), site(1, 80, 38, 12, "01/02/2026")], ["Survey date"])
    four("contradicting-rows.xlsx", [site(1, 100, 35, 12, "TT", 0.3, 25, 1, 7.4), site(2, 80, 35, 12, "TN-C-S", 0.6, 25, 1, 7.4), site(3, 80, 35, 12, "TN-S", 0.3, 16, 1, 22),
                                     site(4, 80, 200, 12, "TN-S", 0.3, 16, 1, 7.4)], ["Earthing", "Ze (ohms)", "Meter tails", "Phases", "Charger kW"])
    four("unknown-in-many-words.xlsx", [site(n, text, 35, 12) for n, text in enumerate(["tbc", "N/K", "??", "-", "see photo", "no access", "0000", "n/a", "behind boxing", "photo 3", "dont know", "--", "."], 1)])
    four("standards-in-the-fuse-column.xlsx", [site(1, "BS 1361"), site(2, "BS88"), site(3, "1361"), site(4, "BS 1361 80A"), site(5, "100A (sealed)")])
    four("value-and-doubt.xlsx", [site(1, "80?", 35, 12, "TNCS - rod?"), site(2, "100A?", 35, 12, "TN-S?"), site(3, 80, "35 (est)", 12, "PME (label)"), site(4, "80 (carrier 100)", 35, 12, "T.N.S")], ["Earthing"])
    four("ohms.xlsx", [site(n, 80, 35, 12, text, "TN-C-S") for n, text in enumerate(["0.35", ".35", 0.35, "0.35Ω", "350m", "350 mΩ", "0,35", "35"], 1)], ["Ze", "Earthing"])
    four("cross-sections.xlsx", [site(n, 80, 35, 12, text) for n, text in enumerate(["16mm", "16.0", "16sq", "16mm2", "16 mm²", "16/25", "25mm T+E", "16 sq mm"], 1)], ["Meter tails"])
    four("powers.xlsx", [site(n, 80, 35, 12, text, fault) for n, (text, fault) in enumerate([("7", 1.6), ("7.4kW", "1600"), ("7400", "1.6kA"), ("32A", "1600A"), ("7kw", 1600), ("0.0074 MW", "1.6 kA")], 1)], ["Charger rating", "PSCC"])
    four("ratio-as-capacity.xlsx", [site(1, 400, 200, 60, "300/5"), site(2, 400, 200, 60, "1,200 kVA"), site(3, 400, 200, 60, "unrestricted"), site(4, 400, 200, 60, "1200kW")], ["Agreed capacity (kVA)"])
    four("nought-and-less.xlsx", [site(1, 0, 0, 0), site(2, -80, -35, -12), site(3, 5000, 9999, 99999)])
    four("true-and-false.xlsx", [site(1, 80, 35, 12, True, 1), site(2, 80, 35, 12, False, 0), site(3, 80, 35, 12, "TRUE", "1"), site(4, 80, 35, 12, None, None)], ["Looped", "Isolator"])
    four("phases.xlsx", [site(n, 80, 35, 12, text) for n, text in enumerate(["single", "3ph", "TPN", "sigle phase", "1", "split phase", "three", "3N~"], 1)], ["Phases"])
    four("power-shower.xlsx", [site(n, 80, 35, 12, text) for n, text in enumerate(["9.5", "9500W", "power shower", "none", "2 x 9.5", "mixer"], 1)], ["Electric shower"])
    four("hubs-and-people.xlsx", [site(1, 80, 35, 12, "07700 900123", "A. Placeholder"), site(2, 80, 35, 12, "80", "60")], ["Mobile", "Contact name"])


def formats():
    """By xlsxwriter."""
    def written(name, rows, fmt=None, **options):
        raw = io.BytesIO()
        made = xlsxwriter.Workbook(raw, {"in_memory": True, **options})
        made.set_properties({"created": DAY})
        sheet = made.add_worksheet("Survey")
        styles = {key: made.add_format({"num_format": value}) for key, value in (fmt or {}).items()}
        for at, row in enumerate(rows):
            for column, value in enumerate(row):
                if isinstance(value, tuple):
                    sheet.write(at, column, value[0], styles[value[1]])
                elif value is not None:
                    sheet.write(at, column, value)
        made.close()
        put(name, steady(raw.getvalue()))
    plain = ["Address", "Main fuse", "Max demand", "Cable run"]
    written("epoch-of-1904.xlsx", [FOUR + ["Survey date"], site(1, 80, 35, 12, (DAY, "day")), site(2, 80, 35, 12, (DAY, "day"))], {"day": "dd/mm/yyyy"}, date_1904=True)
    written("units-in-formats.xlsx", [plain + ["Charger power"], [address(1), (80, "a"), (9.5, "kw"), (40, "ft"), (7.4, "kw")], [address(2), (60, "a"), (7, "kw"), (30, "ft"), (22, "kw")]],
            {"a": '0" A"', "kw": '0.0" kW"', "ft": '0" ft"'})
    written("kilowatts-shown-as-dates.xlsx", [FOUR + ["Charger power"], site(1, 80, 35, 12, (7.4, "day")), site(2, 80, 35, (9, "day"), (22, "day"))], {"day": "dd/mm/yyyy"})
    written("range-turned-into-a-date.xlsx", [FOUR, site(1, 80, 35, (datetime.datetime(2026, 10, 15), "day")), site(2, 80, 35, 9)], {"day": "dd-mmm"})
    written("formulas-with-results.xlsx", [FOUR, site(1, 80, "=20+15", 12), site(2, 60, 30, 9)])


def make():
    layout()
    values()
    formats()
