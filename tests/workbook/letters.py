"""How wide texts and numbers stand in the face of the workbook: real advance widths, of a free face with the same metrics
(Carlito for Calibri), on a screen of 96 pixels an inch.
"""

import datetime
import logging
import re
import subprocess

from fontTools.ttLib import TTFont

# When the face was made is no matter here.
logging.getLogger("fontTools").setLevel(logging.ERROR)

PIXELS_A_POINT = 96 / 72
# Pixels of a digit of the face that widths of columns are counted in (Calibri, 11 points).
DIGIT = 7
# Pixels inside a cell's edges that hold no letters, and those of one step of indent.
EDGE, INDENT = 5, 9


class Face:
    """Advance widths of the plain and of the bold face."""

    def __init__(self):
        self.tables = [self.table(style) for style in ("Regular", "Bold")]

    @staticmethod
    def table(style):
        found = subprocess.run(["fc-match", "-f", "%{family}|%{style}|%{file}", f"Carlito:style={style}"],
                               check=True, capture_output=True, text=True).stdout
        family, _, path = found.split("|")
        if not family.startswith("Carlito"):
            raise SystemExit("the face Carlito is not installed (fonts-crosextra-carlito)")
        font = TTFont(path)
        units, widths = font["head"].unitsPerEm, font["hmtx"]
        return {code: widths[glyph][0] / units for code, glyph in font.getBestCmap().items()}

    def pixels(self, text, size, bold):
        # What the face does not have comes from another one: taken as wide as the size.
        table = self.tables[bold]
        return sum(table.get(ord(letter), 1.0) for letter in text) * size * PIXELS_A_POINT

    def lines(self, text, size, bold, room):
        """Lines that a text takes where it is wrapped in so many pixels; a word that is too long breaks within."""
        lines, space = 0, self.pixels(" ", size, bold)
        for part in text.split("\n"):
            lines, used = lines + 1, 0.0
            for word in part.split(" "):
                width = self.pixels(word, size, bold)
                if used and used + space + width > room:
                    lines, used = lines + 1, 0.0
                elif used:
                    used += space
                while width > room and len(word) > 1:
                    lines, word = lines + 1, word[self.fitting(word, size, bold, room):]
                    width = self.pixels(word, size, bold)
                used += width
        return lines

    def fitting(self, word, size, bold, room):
        count = 1
        while count < len(word) and self.pixels(word[:count + 1], size, bold) <= room:
            count += 1
        return count


def column_pixels(width):
    """Pixels of a column of a width as the file has it, which counts the room at its edges."""
    return int((256 * width + int(128 / DIGIT)) / 256 * DIGIT)


def shown(value, code):
    """A number as its format shows it."""
    code = code.split(";")[0]
    if code == "General":
        text = f"{value:.10g}"
        return text if "e" in text or "." not in text else text.rstrip("0").rstrip(".")
    if re.search("[dy]", code) and not re.search("[#0]", code):
        day = datetime.date(1899, 12, 30) + datetime.timedelta(days=int(value))
        if code == "d mmm yyyy":
            return f"{day.day} {day:%b %Y}"
        raise SystemExit(f"no rule for the number format {code}")
    plain = re.fullmatch(r'("£")?(#,##)?0(?:\.(0+))?(%)?', code)
    if not plain:
        raise SystemExit(f"no rule for the number format {code}")
    pounds, thousands, places, percent = plain.groups()
    number = value * 100 if percent else value
    text = f"{abs(number):{',' if thousands else ''}.{len(places or '')}f}"
    return ("-" if number < 0 and text.strip("0.,") else "") + ("£" if pounds else "") + text + (percent or "")
