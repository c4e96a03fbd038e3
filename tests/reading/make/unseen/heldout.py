"""Writes the ten held-out sheets and their truths: python make/heldout.py OUTDIR"""
import os, sys
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import people_a, people_b, people_c, people_d

out = sys.argv[1] if len(sys.argv) > 1 else "."
os.makedirs(out, exist_ok=True)
for room in (people_a, people_b, people_c, people_d):
    for make in room.SHEETS:
        sheet = make(out)
        sheet.write_truth(out)
        stated = sum(1 for t in sheet.truth for k, v in t.items() if k != "row" and v != "")
        print(f"{sheet.name:24} {len(sheet.truth):3} sites {stated:5} values")
