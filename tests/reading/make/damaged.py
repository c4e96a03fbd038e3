"""Files that are damaged, locked, of another kind or lie about their size: by hand, from workbooks of openpyxl."""
import io
import re
import struct
import zipfile

import xlsxwriter
from parts import FOUR, put, site
from workbooks import DAY, book, saved, steady

SHEET = "xl/worksheets/sheet1.xml"


def plain():
    return saved(book([FOUR, site(1), site(2, 60, 30, 9)])[0])


def shared():
    """The same by xlsxwriter, which keeps texts in a table of their own."""
    raw = io.BytesIO()
    made = xlsxwriter.Workbook(raw, {"in_memory": True})
    made.set_properties({"created": DAY})
    sheet = made.add_worksheet("Survey")
    for at, row in enumerate([FOUR, site(1), site(2, 60, 30, 9)]):
        sheet.write_row(at, 0, row)
    made.close()
    return raw.getvalue()


def archive(parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, body in parts:
            made.writestr(zipfile.ZipInfo(name, (2026, 11, 25, 0, 0, 0)), body, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def replaced(part, body):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(plain())) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new:
        for entry in old.infolist():
            if entry.filename != part:
                new.writestr(zipfile.ZipInfo(entry.filename, (2026, 11, 25, 0, 0, 0)), old.read(entry), zipfile.ZIP_DEFLATED)
        with new.open(zipfile.ZipInfo(part, (2026, 11, 25, 0, 0, 0)), "w") as stream:
            stream._compressor = __import__("zlib").compressobj(9, 8, -15)
            stream._compress_type = zipfile.ZIP_DEFLATED
            stream._zinfo.compress_type = zipfile.ZIP_DEFLATED
            for piece in body:
                stream.write(piece)
    return out.getvalue()


def compound(name):
    """The smallest compound file of an old office program with one stream of this name."""
    header = bytearray(512)
    header[:8] = bytes.fromhex("D0CF11E0A1B11AE1")
    struct.pack_into("<HHHHH", header, 24, 0x3E, 3, 0xFFFE, 9, 6)
    struct.pack_into("<IIIIIIIII", header, 40, 0, 1, 1, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0)
    struct.pack_into("<109I", header, 76, 0, *[0xFFFFFFFF] * 108)
    table = struct.pack("<128I", 0xFFFFFFFD, 0xFFFFFFFE, *[0xFFFFFFFF] * 126)
    def entry(text, kind, child):
        raw = text.encode("utf-16-le")
        return raw.ljust(64, b"\0") + struct.pack("<HBBIII", len(raw) + 2, kind, 1, 0xFFFFFFFF, 0xFFFFFFFF, child) + bytes(36) + struct.pack("<IQ", 0xFFFFFFFE, 0)
    return bytes(header) + table + entry("Root Entry", 5, 1) + entry(name, 2, 0xFFFFFFFF) + bytes(256)


def make():
    data = plain()
    put("cut-short.xlsx", data[: len(data) // 2])
    put("workbook-named.csv", data)
    put("workbook-named.xls", data)
    put("locked.xlsx", compound("EncryptedPackage"))
    try:
        from msoffcrypto.format.ooxml import OOXMLFile
        sealed = io.BytesIO()
        OOXMLFile(io.BytesIO(data)).encrypt("tarnholt", sealed)
        put("really-locked.xlsx", sealed.getvalue())
    except (ImportError, AttributeError):
        pass
    put("hollow.xls", compound("Workbook"))
    put("locked.ods", archive([("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("META-INF/manifest.xml",
        '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml" manifest:size="3000"><manifest:encryption-data manifest:checksum-type="SHA1/1K" manifest:checksum="AAAA"><manifest:algorithm manifest:algorithm-name="Blowfish CFB" manifest:initialisation-vector="AAAA"/></manifest:encryption-data></manifest:file-entry></manifest:manifest>'),
        ("content.xml", bytes(range(256)) * 4)]))
    put("letter.docx.xlsx", archive([("[Content_Types].xml", "<Types/>"), ("word/document.xml", "<w:document/>")]))
    put("photos.xlsx", archive([("IMG_0001.jpg", b"\xff\xd8\xff"), ("IMG_0002.jpg", b"\xff\xd8\xff")]))
    put("other-characters.bin.csv", bytes((n * 73 + n // 7) % 256 for n in range(4096)))
    corner = '<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row></sheetData>'
    put("far-corner.xlsx", steady(data, {SHEET: lambda text: text.replace("</sheetData>", corner).replace('ref="A1:D3"', 'ref="A1:XFD1048576"')}))
    put("dimension-backwards.xlsx", steady(data, {SHEET: lambda text: text.replace('ref="A1:D3"', 'ref="D3:A1"')}))
    put("row-beyond-the-sheet.xlsx", steady(data, {SHEET: lambda text: text.replace('<row r="3"', '<row r="4294967295"').replace('r="A3"', 'r="A4294967295"')}))
    put("texts-that-lie.xlsx", steady(shared(), {"xl/sharedStrings.xml": lambda text: re.sub('uniqueCount="[0-9]+"', 'uniqueCount="99999999999"', text)}))
    put("shared-formula-that-lies.xlsx", steady(data, {SHEET: lambda text: text.replace("<v>35</v>", '<f t="shared" si="3000000000" ref="C2:C3">1+1</f><v>35</v>')}))
    put("bomb-of-texts.xlsx", replaced("xl/sharedStrings.xml", [b'<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>'] + [b"a" * (1 << 20)] * 260 + [b"</t></si></sst>"]))
    put("bomb-of-blank-rows.xlsx", replaced(SHEET, [b'<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'] + [b"<row></row>" * 100_000] * 150 + [b"</sheetData></worksheet>"]))
    table = '<table:table table:name="Survey">{}</table:table>'
    def ods(body):
        return archive([("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("META-INF/manifest.xml", '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'),
            ("content.xml", '<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"><office:body><office:spreadsheet>' + table.format(body) + '</office:spreadsheet></office:body></office:document-content>')])
    def text(value, more=""):
        return f'<table:table-cell office:value-type="string"{more}><text:p>{value}</text:p></table:table-cell>'
    def number(value, more=""):
        return f'<table:table-cell office:value-type="float" office:value="{value}"{more}><text:p>{value}</text:p></table:table-cell>'
    head = "<table:table-row>" + "".join(text(heading) for heading in FOUR) + '<table:table-cell table:number-columns-repeated="16380"/></table:table-row>'
    row = "<table:table-row{}>" + text("1 Fennel Row") + number(80) + number(35) + number(12) + '<table:table-cell table:number-columns-repeated="16380"/></table:table-row>'
    blank = '<table:table-row table:number-rows-repeated="1048570"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    put("repeated-blanks.ods", ods(head + row.format("") + row.format("").replace("1 Fennel", "2 Fennel") + blank))
    put("repeated-row.ods", ods(head + row.format(' table:number-rows-repeated="1000000"')))
    put("repeated-cells.ods", ods(head + '<table:table-row table:number-rows-repeated="1048570">' + number(80, ' table:number-columns-repeated="16384"') + "</table:table-row>"))
    put("beyond-count.ods", ods(head + row.format(' table:number-rows-repeated="18446744073709551615"')))
