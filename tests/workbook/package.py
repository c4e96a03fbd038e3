"""A workbook's package as it lies in the file, read with nothing but the XML reader of Python: no library that knows
spreadsheets stands between the file and what is asserted of it.
"""

import posixpath
import re
import zipfile
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
TOLD = "{http://schemas.openxmlformats.org/package/2006/relationships}"

# Number formats that have a number and no text in the file.
BUILT_IN = {
    0: "General", 1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 11: "0.00E+00", 12: "# ?/?",
    13: "# ??/??", 14: "mm-dd-yy", 15: "d-mmm-yy", 16: "d-mmm", 17: "mmm-yy", 18: "h:mm AM/PM", 19: "h:mm:ss AM/PM",
    20: "h:mm", 21: "h:mm:ss", 22: "m/d/yy h:mm", 37: "#,##0 ;(#,##0)", 38: "#,##0 ;[Red](#,##0)",
    39: "#,##0.00;(#,##0.00)", 40: "#,##0.00;[Red](#,##0.00)", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mmss.0",
    48: "##0.0E+0", 49: "@",
}


def undone(text):
    """A text of the file with its `_xHHHH_` escapes undone."""
    if "_x" not in text:
        return text
    return re.sub("_x([0-9A-Fa-f]{4})_", lambda found: chr(int(found.group(1), 16)), text)


def number_of(letters):
    """The number of a column named by letters, from 1."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def letters_of(number):
    """The letters of a column numbered from 1."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def corners(area):
    """First column, first row, last column, last row of `A1:B2` or `A1`, with or without dollars."""
    ends = re.fullmatch(r"([A-Z]+)([0-9]+)(?::([A-Z]+)([0-9]+))?", area.replace("$", ""))
    left, top, right, bottom = ends.groups()
    return number_of(left), int(top), number_of(right or left), int(bottom or top)


class Cell:
    """One cell: its kind ("text", "number", "truth", "fault", "blank"), value, formula and the place of its style."""

    __slots__ = ("kind", "value", "formula", "style")

    def __init__(self, kind, value, formula, style):
        self.kind, self.value, self.formula, self.style = kind, value, formula, style


class Sheet:
    """One worksheet: its cells by (row, column) from 1, and the element of everything beside them."""

    def __init__(self, package, name, part):
        self.package, self.name, self.part = package, name, part
        self.cells, self.heights = {}, {}
        self.relations = package.relations(part)
        with package.zip.open(part) as stream:
            shared = {}
            for event, element in ElementTree.iterparse(stream, ("start", "end")):
                if event == "start":
                    if element.tag == MAIN + "worksheet":
                        self.root = element
                elif element.tag == MAIN + "row":
                    self.read(element, shared)
                    element.clear()
        self.extent = (max((row for row, _ in self.cells), default=0), max((c for _, c in self.cells), default=0))

    def read(self, row, shared):
        number = int(row.get("r"))
        if row.get("ht") is not None and row.get("customHeight") in ("1", "true"):
            self.heights[number] = float(row.get("ht"))
        for cell in row:
            place = corners(cell.get("r"))
            kind, formula, text = cell.get("t", "n"), None, None
            for child in cell:
                if child.tag == MAIN + "f":
                    formula = child.text or f"shared {child.get('si')}"
                elif child.tag == MAIN + "v":
                    text = child.text or ""
                elif child.tag == MAIN + "is":
                    text = "".join(part.text or "" for part in child.iter(MAIN + "t"))
            self.cells[number, place[0]] = Cell(*self.typed(kind, text), formula, int(cell.get("s", "0")))

    def typed(self, kind, text):
        if text is None or (text == "" and kind == "n"):
            return "blank", None
        if kind == "s":
            return "text", self.package.strings[int(text)]
        if kind in ("str", "inlineStr"):
            return "text", undone(text)
        if kind == "b":
            return "truth", text == "1"
        if kind == "e":
            return "fault", text
        if kind == "d":
            return "moment", text
        return "number", float(text)

    def one(self, path):
        """The element of that path below the worksheet, or None."""
        return self.root.find("/".join(MAIN + part for part in path.split("/")))

    def all(self, path):
        return self.root.findall("/".join(MAIN + part for part in path.split("/")))

    def links(self):
        """Links of the sheet: the cells they stand on, the place within the workbook, the target outside it."""
        for link in self.all("hyperlinks/hyperlink"):
            outside = self.relations.get(link.get(RELATION + "id"))
            yield link.get("ref"), link.get("location"), outside and outside[1]

    def tables(self):
        """Every table of the sheet, as its element."""
        for kind, target in self.relations.values():
            if kind == "table":
                yield ElementTree.fromstring(self.package.zip.read(target))

    def format_of(self, cell):
        return self.package.formats[cell.style]


class Package:
    """The parts of a workbook."""

    def __init__(self, path):
        self.path = path
        self.zip = zipfile.ZipFile(path)
        self.parts = self.zip.namelist()
        self.book = ElementTree.fromstring(self.zip.read("xl/workbook.xml"))
        self.strings = list(self.shared_strings())
        self.read_styles()
        relations = self.relations("xl/workbook.xml")
        self.sheets = {
            sheet.get("name"): Sheet(self, sheet.get("name"), relations[sheet.get(RELATION + "id")][1])
            for sheet in self.book.iter(MAIN + "sheet")
        }
        order = list(self.sheets)
        # Name and the sheet that it is local to, or None.
        self.names = {
            (name.get("name"), order[int(name.get("localSheetId"))] if name.get("localSheetId") else None): name.text
            for name in self.book.iter(MAIN + "definedName")
        }

    def relations(self, part):
        """Kind and target of every relation of a part, by its id; targets outside as they are written."""
        folder, name = posixpath.split(part)
        path = f"{folder}/_rels/{name}.rels"
        if path not in self.parts:
            return {}
        told = {}
        for relation in ElementTree.fromstring(self.zip.read(path)).iter(TOLD + "Relationship"):
            target = relation.get("Target")
            if relation.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/" + folder, target)).lstrip("/")
            told[relation.get("Id")] = (relation.get("Type").rsplit("/", 1)[1], target)
        return told

    def shared_strings(self):
        if "xl/sharedStrings.xml" in self.parts:
            for entry in ElementTree.fromstring(self.zip.read("xl/sharedStrings.xml")):
                # Phonetic readings (rPh) are no part of the text.
                runs = [entry, *entry.findall(MAIN + "r")]
                yield undone("".join(run.findtext(MAIN + "t") or "" for run in runs))

    def read_styles(self):
        root = ElementTree.fromstring(self.zip.read("xl/styles.xml"))
        told = {int(each.get("numFmtId")): each.get("formatCode") for each in root.iter(MAIN + "numFmt")}
        fonts = root.find(MAIN + "fonts")
        self.formats, self.fonts, self.alignments = [], [], []
        for style in root.find(MAIN + "cellXfs"):
            number = int(style.get("numFmtId", "0"))
            self.formats.append(told.get(number) or BUILT_IN.get(number, "General"))
            self.fonts.append(fonts[int(style.get("fontId", "0"))])
            alignment = style.find(MAIN + "alignment")
            self.alignments.append({} if alignment is None else dict(alignment.attrib))


class Checks:
    """Counts what holds and tells what does not."""

    def __init__(self):
        self.passed, self.failed, self.by_kind = 0, 0, {}

    def __call__(self, held, words, most=12):
        """`words` begins with what was looked at and what of it, a colon after each; of a kind the first failures are
        told."""
        if held:
            self.passed += 1
            return
        self.failed += 1
        kind = ": ".join(words.split(": ")[:2])
        self.by_kind[kind] = self.by_kind.get(kind, 0) + 1
        if self.by_kind[kind] <= most:
            print("FAILED:", words.encode("unicode_escape").decode() if not words.isprintable() else words)

    def end(self):
        for kind, failures in self.by_kind.items():
            if failures > 12:
                print(f"FAILED: {kind}: {failures} in all")
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed else 0
