"""Writes the files of tests/corpus/troubles that our own library does not write: needs openpyxl, xlsxwriter,
msoffcrypto-tool and LibreOffice. What is expected of each stands in the .toml beside it and is written by hand."""
import sys

import converted
import damaged
import texts
import workbooks

PARTS = {"workbooks": workbooks, "texts": texts, "damaged": damaged, "converted": converted}

for part in sys.argv[1:] or PARTS:
    PARTS[part].make()
