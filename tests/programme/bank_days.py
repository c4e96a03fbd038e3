"""Bank holidays of the United Kingdom by a general calendar library (holidays, from PyPI).

    bank_days.py            writes bank-days.csv
    bank_days.py --check    the library's days are the kept ones

Days on which a bank holiday falls on a weekend are left out: the day kept instead stands for it. A day proclaimed once is
marked, for no rule gives it.
"""

import csv
import sys
from pathlib import Path

import holidays

NATIONS = {"england and wales": "ENG", "scotland": "SCT", "northern ireland": "NIR"}
YEARS = range(2026, 2041)
PROCLAIMED_ONCE = {("scotland", "2026-06-15")}


def lines():
    for nation, part in NATIONS.items():
        for date in sorted(holidays.country_holidays("GB", subdiv=part, years=YEARS)):
            if date.weekday() < 5:
                once = (nation, date.isoformat()) in PROCLAIMED_ONCE
                yield [nation, date.isoformat(), "yes" if once else "no"]


def main():
    path = Path(__file__).parent / "bank-days.csv"
    rows = [["nation", "date", "proclaimed_once"], *lines()]
    if "--check" not in sys.argv:
        with open(path, "w", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)
        return
    with open(path, newline="") as file:
        assert list(csv.reader(file)) == rows, "the library has other days: run bank_days.py and look at the change"
    print(f"{len(rows) - 1} bank holidays as kept")


main()
