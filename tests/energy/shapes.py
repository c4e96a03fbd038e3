"""Published standard load profiles, as a general energy library holds them, brought to the form of the program's own shapes.

    shapes.py           writes standard-profiles.csv and standard-peaks.csv
    shapes.py --check   works them out again and compares with the kept answers

Only these few answers are kept: the mean weekday of December to February by half-hour as a share of its own peak, and the
highest half-hour of a year a thousand kilowatt-hours. It knows nothing of the program.
"""

import csv
import sys
import warnings
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pandas as pd
from demandlib import bdew

HERE = Path(__file__).resolve().parent
# A year without a leap day; holidays are left out, so that every weekday is one.
YEAR = 2022
PROFILES = {
    "H0": "households, 1999",
    "H25": "households, 2025",
    "G0": "trade in general, 1999",
    "G1": "trade on weekdays 8 to 18, 1999",
    "G3": "trade running through, 1999",
    "G25": "trade, 2025",
}


def quarters():
    """Load in every quarter of an hour of the year, in whatever unit, by profile."""
    index = pd.date_range(f"{YEAR}-01-01", f"{YEAR}-12-31 23:45", freq="15min")
    old = bdew.ElecSlp(YEAR).slp_frame
    found = {
        # The households of 1999 with the smoothing over the year that belongs to them.
        "H0": old["h0_dyn"],
        "G0": old["g0"],
        "G1": old["g1"],
        "G3": old["g3"],
        "H25": bdew.H25(index),
        "G25": bdew.G25(index),
    }
    return {name: pd.Series(np.asarray(found[name]), index=index) for name in PROFILES}


def answers():
    shares, peaks = [], []
    for name, load in quarters().items():
        halves = load.resample("30min").mean()
        winter = halves[(halves.index.dayofweek < 5) & halves.index.month.isin([12, 1, 2])]
        day = winter.groupby(winter.index.hour * 2 + winter.index.minute // 30).mean()
        shares += [
            {"profile": name, "half_hour": half_hour, "share_of_peak": f"{share:.4f}"}
            for half_hour, share in (day / day.max()).items()
        ]
        peaks.append(
            {
                "profile": name,
                "peak_kw_a_1000_kwh": f"{halves.max() / halves.mean() * 1000 / len(halves) * 2:.4f}",
                "of": PROFILES[name],
                "source": f"BDEW standard load profile {name}, by demandlib {version('demandlib')}",
            }
        )
    return {"standard-profiles.csv": shares, "standard-peaks.csv": peaks}


def main():
    warnings.simplefilter("ignore")
    check = "--check" in sys.argv[1:]
    found = answers()
    for name, rows in found.items():
        if not check:
            with open(HERE / name, "w", newline="") as file:
                writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
                writer.writeheader()
                writer.writerows(rows)
            continue
        with open(HERE / name, newline="") as file:
            kept = list(csv.DictReader(file))
        assert len(kept) == len(rows), f"{name}: {len(kept)} kept, {len(rows)} worked out"
        for line, (old, new) in enumerate(zip(kept, rows), start=2):
            for column, value in new.items():
                try:
                    same = abs(float(old[column]) - float(value)) < 2e-4
                except ValueError:
                    same = old[column] == str(value)
                if not same:
                    sys.exit(f"{name}:{line}: {column} is {old[column]}, worked out again it is {value}")
    print(f"{len(PROFILES)} standard profiles {'agree' if check else 'written'}")


main()
