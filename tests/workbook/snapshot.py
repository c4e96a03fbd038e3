"""What of a workbook has to survive, in plain values that can be compared: part by part, each a table of where and what.
"""

import re
from xml.etree import ElementTree

from package import MAIN, corners, letters_of

PROPERTIES = {
    "title": "{http://purl.org/dc/elements/1.1/}title",
    "subject": "{http://purl.org/dc/elements/1.1/}subject",
    "comments": "{http://purl.org/dc/elements/1.1/}description",
    "keywords": "{http://schemas.openxmlformats.org/package/2006/metadata/core-properties}keywords",
}
CUSTOM = "{http://schemas.openxmlformats.org/officeDocument/2006/custom-properties}property"


def meaning(code):
    """What a number format makes of a number: kind, places, thousands mark; however it is spelled."""
    first = code.split(";")[0]
    plain = re.sub(r"\[\$([^\]-]*)(-[^\]]*)?\]", r"\1", first)
    plain = re.sub(r"\[[^\]]*\]|[\\\"]|_.", "", plain)
    if plain in ("General", "Standard", ""):
        return ("general",)
    if plain == "@":
        return ("text",)
    if re.search(r"[dy]", plain) and not re.search(r"[#0]", plain):
        return ("date", re.sub(r"[^a-z]+", " ", plain.lower()).strip())
    places = len(re.search(r"(?:\.(0*))?[^0#]*$", plain)[1] or "")
    kind = "percent" if "%" in plain else "pounds" if "£" in plain else "number"
    return (kind, places, "," in plain)


def spelled(reference):
    """A reference or formula without what programs spell each in their own way: dollars and needless quotes."""
    return re.sub(r"'(\w+)'!", r"\1!", (reference or "").replace("$", "").lstrip("="))


def cells_of(areas):
    """Areas of a list of them, in one order."""
    return tuple(sorted(corners(area) for area in (areas or "").split()))


def truth(value):
    return value in ("1", "true")


def printed(text):
    """A header or footer by its parts: the size of the letters and what is printed, however the commands are spelled.
    The face is left out."""
    parts = {}
    for part in re.finditer(r"&([LCR])((?:(?!&[LCR]).)*)", text, re.S):
        size = re.search(r"&([0-9]+)", part[2])
        words = re.sub(r'&"[^"]*"|&[0-9]+ ?', "", part[2])
        parts[part[1]] = (size and size[1], words.strip())
    return tuple(sorted(parts.items()))


class Snapshot:
    """The parts of a package."""

    def __init__(self, package):
        self.parts = {name: {} for name in (
            "sheets", "values", "formulas", "results", "formats", "validations", "links", "names", "tables", "panes",
            "print areas", "print set-up", "headers and footers", "widths", "groups", "merged cells", "conditional formats",
            "charts",
            "properties")}
        self.package = package
        for at, sheet in enumerate(package.sheets.values()):
            self.parts["sheets"][at] = sheet.name
            self.read_cells(sheet)
            self.read_sheet(sheet)
            self.read_page(sheet)
            self.read_columns(sheet)
        self.read_book()

    def read_cells(self, sheet):
        values, formulas, results, formats = (self.parts[part] for part in ("values", "formulas", "results", "formats"))
        for (row, column), cell in sheet.cells.items():
            where = (sheet.name, f"{letters_of(column)}{row}")
            if cell.formula is not None:
                formulas[where] = spelled(cell.formula)
                results[where] = cell.value
            elif cell.kind != "blank":
                values[where] = cell.value
                formats[where + ("kind",)] = cell.kind
            if cell.formula is not None or cell.kind == "number":
                formats[where] = meaning(sheet.format_of(cell))

    def read_sheet(self, sheet):
        name = sheet.name
        for validation in sheet.all("dataValidations/dataValidation"):
            for area in cells_of(validation.get("sqref")):
                formula = validation.find(MAIN + "formula1")
                self.parts["validations"][name, area] = (
                    validation.get("type"), validation.get("operator", "between"),
                    validation.get("errorStyle", "stop"), validation.get("error", ""),
                    spelled(None if formula is None else formula.text))
        for at, inside, outside in sheet.links():
            # A link of one cell is told as the cell or as the area that it is merged to.
            self.parts["links"][name, corners(at)[:2]] = outside or spelled((inside or "").lstrip("#"))
        for table in sheet.tables():
            titles = tuple(column.get("name") for column in table.iter(MAIN + "tableColumn"))
            filtered = table.find(MAIN + "autoFilter")
            self.parts["tables"][name, table.get("name")] = table.get("ref")
            self.parts["tables"][name, table.get("name"), "columns"] = titles
            self.parts["tables"][name, table.get("name"), "filter"] = filtered is not None and filtered.get("ref")
        own = sheet.one("autoFilter")
        if own is not None:
            self.parts["tables"][name, "filter of the sheet"] = own.get("ref")
        pane = sheet.one("sheetViews/sheetView/pane")
        if pane is not None:
            split = (float(pane.get("xSplit", "0")), float(pane.get("ySplit", "0")))
            self.parts["panes"][name] = (*split, pane.get("state"))
        for merged in sheet.all("mergeCells/mergeCell"):
            self.parts["merged cells"][name, merged.get("ref")] = True
        for rules in sheet.all("conditionalFormatting"):
            for area in cells_of(rules.get("sqref")):
                told = tuple((rule.get("type"), rule.get("operator"), spelled(rule.findtext(MAIN + "formula")))
                             for rule in rules)
                self.parts["conditional formats"][name, area] = told
        charts = 0
        for kind, target in sheet.relations.values():
            if kind == "drawing":
                charts += sum(kind == "chart" for kind, _ in sheet.package.relations(target).values())
        if charts:
            self.parts["charts"][name] = charts

    def read_page(self, sheet):
        setup, fits = sheet.one("pageSetup"), sheet.one("sheetPr/pageSetUpPr")
        if setup is not None:
            self.parts["print set-up"][sheet.name] = (
                setup.get("paperSize"), setup.get("orientation"), fits is not None and truth(fits.get("fitToPage")),
                setup.get("fitToWidth", "1"), setup.get("fitToHeight", "1"))
        for part in ("oddHeader", "oddFooter"):
            text = sheet.one(f"headerFooter/{part}")
            if text is not None and text.text:
                self.parts["headers and footers"][sheet.name, part] = printed(text.text)

    def read_columns(self, sheet):
        last = sheet.extent[1]
        usual = sheet.one("sheetFormatPr").get("defaultColWidth", "8.71")
        for number in range(1, last + 1):
            self.parts["widths"][sheet.name, letters_of(number)] = float(usual)
        for column in sheet.all("cols/col"):
            for number in range(int(column.get("min")), min(int(column.get("max")), last) + 1):
                self.parts["widths"][sheet.name, letters_of(number)] = float(column.get("width"))
                if column.get("outlineLevel", "0") != "0":
                    hidden = truth(column.get("hidden", "0"))
                    self.parts["groups"][sheet.name, letters_of(number)] = (column.get("outlineLevel"), hidden)

    def read_book(self):
        for (title, scope), refers in self.package.names.items():
            if title.startswith("_xlnm."):
                if title != "_xlnm._FilterDatabase":
                    self.parts["print areas"][scope, title] = sorted(spelled(refers).split(","))
            else:
                self.parts["names"][title, scope] = spelled(refers)
        if "docProps/core.xml" in self.package.parts:
            core = ElementTree.fromstring(self.package.zip.read("docProps/core.xml"))
            for name, tag in PROPERTIES.items():
                self.parts["properties"][name] = core.findtext(tag)
        if "docProps/custom.xml" in self.package.parts:
            for one in ElementTree.fromstring(self.package.zip.read("docProps/custom.xml")).iter(CUSTOM):
                self.parts["properties"]["custom", one.get("name")] = "".join(one.itertext())
