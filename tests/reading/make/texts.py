"""Delimited text written by hand, one trouble each."""
from parts import put

HEAD = "Address,Main fuse (A),Max demand (A),Distance to parking (m)"
ROWS = ['"1 Fennel Row, Tarnholt, QX4 7LP",80,35,12', '"2 Fennel Row, Tarnholt, QX4 7LP",60,30,9']
PLAIN = "\n".join([HEAD, *ROWS]) + "\n"
FEET = "Address;Main fuse;Max demand;Cable run;Comments\n1 Sj\u00f6 Row, Tarnholt;80A;35;12,5 m;caf\u00e9 \u20ac 40\n2 Sj\u00f6 Row, Tarnholt;60A;30;9 m;\u00a3 5 \u2013 half\n"


def make():
    put("utf-16-le.csv", b"\xff\xfe" + FEET.replace(";", "\t").encode("utf-16-le"))
    put("utf-16-be.csv", b"\xfe\xff" + PLAIN.encode("utf-16-be"))
    put("utf-16-without-mark.csv", PLAIN.encode("utf-16-le"))
    put("windows-1252.csv", FEET.encode("cp1252"))
    put("byte-mark.csv", b"\xef\xbb\xbf" + PLAIN.replace("\n", "\r\n").encode())
    put("old-line-ends.csv", PLAIN.replace("\n", "\r").encode())
    put("quoted-lines.csv", (HEAD.replace("Main fuse (A)", '"Main\nfuse (A)"') + ',Comments\n"1 Fennel Row,\nTarnholt,\nQX4 7LP",80,35,12,"gate ""code""\nasked"\n"2 Fennel Row, Tarnholt, QX4 7LP",60,30,9,\n').encode())
    put("tabs.tsv", PLAIN.replace('"', "").replace(", ", "; ").replace(",", "\t").encode())
    put("bars.txt", PLAIN.replace('"', "").replace(", ", "; ").replace(",", "|").encode())
    put("separator-line.csv", b"sep=;\n" + FEET.encode())
    put("ragged.csv", (HEAD + ',Comments\n"1 Fennel Row",80,35,12\n"2 Fennel Row",60,30,9,ok,and,more\n"3 Fennel Row",60\n').encode())
    put("rounded-place-numbers.csv", ("UPRN," + HEAD + "\n" + "".join(f"{u},{r}\n" for u, r in zip(["1.00E+11", "1.00023E+11"], ROWS))).encode())
    put("noughts-in-keys.csv", ("Site ref,UPRN," + HEAD + "\n" + f"007,010012345678,{ROWS[0]}\n0012,000098765432,{ROWS[1]}\n").encode())
    put("one-key-for-two.csv", ("Site ref," + HEAD + "\n" + f"H1,{ROWS[0]}\nH1,{ROWS[1]}\n").encode())
    put("street-number-as-place-number.csv", ("UPRN," + HEAD + "\n" + f"20012345,{ROWS[0]}\nA1234,{ROWS[1]}\n").encode())
    put("open-quote.csv", (HEAD + '\n"1 Fennel Row, Tarnholt,80,35,12\n2 Fennel Row,60,30,9\n').encode())
    put("nul-bytes.csv", PLAIN.replace("35", "3\0005").encode())
    put("only-blanks.csv", b" \n\t\n  \r\n")
    put("empty.xls", b"")
    put("headings-only.csv", HEAD.encode())
    put("letter.csv", "Dear all,\n\nplease find the survey attached; it is not in this file.\n\nYours\n".encode())
    put("no-distance.csv", "Address,Main fuse,Max demand,Dist. to meter position\n1 Mill Lane,80,35,12\n".encode())
    put("text-named.xls", PLAIN.encode())
    put("web-page.xls", b"<html><body><table><tr><th>Address</th><th>Main fuse</th></tr><tr><td>1 Mill Lane</td><td>80</td></tr></table></body></html>")
    put("workbook-as-markup.xls", b'<?xml version="1.0"?>\n<?mso-application progid="Excel.Sheet"?>\n<Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"><Worksheet/></Workbook>')
    put("document.xlsx", b"%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n")
    put("decimal-commas.csv", "Address;Main fuse (A);Max demand (kW);Cable run (m);Ze\n1 Mill Lane;80;9,5;12,25;0,35\n2 Mill Lane;60;7,25;9,0;0,2\n".encode())
