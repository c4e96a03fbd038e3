"""Read the sheets back: python check.py DIR [NAME]: does each truth row's address stand in that row? NAME prints rows beside truth."""
import csv, glob, os, subprocess, sys, tempfile, collections
from kit import FIELDS
ENC = {"tenant-replies": ("utf-8-sig", ","), "taxi-drivers": ("cp1252", ","), "parcels-depots": ("utf-16", "\t"), "tablet-export": ("utf-8", ";")}


def rows(d, name):
    if name in ENC:
        enc, sep = ENC[name]
        got, at = {}, 1
        with open(f"{d}/{name}.csv", newline="", encoding=enc) as h:
            rd = csv.reader(h, delimiter=sep)
            for row in rd:
                got[at] = row
                at = rd.line_num + 1
        return got
    import openpyxl
    path = glob.glob(f"{d}/{name}.[xo][ld]s*")[0]
    with tempfile.TemporaryDirectory() as tmp:
        if not path.endswith("xlsx"):
            subprocess.run(["soffice", f"-env:UserInstallation=file://{tmp}/lo", "--headless", "--convert-to", "xlsx", "--outdir", tmp, path],
                           check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            path = f"{tmp}/{name}.xlsx"
        ws = openpyxl.load_workbook(path).worksheets[0]
        return {i: list(r) for i, r in enumerate(ws.iter_rows(values_only=True), 1)}


d, seen = sys.argv[1], collections.Counter()
for f in sorted(glob.glob(d + "/*-truth.csv")):
    name = os.path.basename(f)[:-10]
    truth, sheet = list(csv.DictReader(open(f, encoding="utf-8"))), rows(d, name)
    heads = next(r for r in sheet.values() if sum(c not in (None, "") for c in r) > 20)
    bad = 0
    for t in truth:
        cells = [str(c) for c in sheet[int(t["row"])] if c not in (None, "")]
        ok = any(", ".join(cells[i:j]) == t["address"] for i in range(len(cells)) for j in range(i + 1, i + 4))
        bad += not ok
        seen.update({k for k, v in t.items() if v})
    a = [t["address"] + t.get("postcode", "") for t in truth]
    print(f"{name:18} sites {len(truth)} misplaced {bad} repeated {len(a) - len(set(a))} rows in sheet {len(sheet)} widths {len(heads)}",
          {k: sum(bool(t.get(k)) for t in truth) for k in ("cutout_rating_a", "agreed_capacity_kva", "existing_demand_a", "existing_demand_kw", "parking_distance_m") if k in truth[0]})
    if len(sys.argv) > 2 and name == sys.argv[2]:
        for t in truth[1::max(1, len(truth) // 5)]:
            print("\nrow", t["row"])
            for h, c in zip(heads, sheet[int(t["row"])]):
                print("   ", str(h)[:70], "|", "" if c is None else repr(c) if isinstance(c, (int, float)) else c)
            print("   TRUTH", {k: v for k, v in t.items() if v})
print("fields never stated:", [f for f in FIELDS if f not in seen])
