"""Reads a map and a comparison that the program wrote with readers that share no code with it: shapes by a geometry
library, the documents against their JSON Schemas.

    read_geojson.py BAYWRIGHT SCHEMAS FOLDER
"""
import json
import math
import pathlib
import random
import subprocess
import sys

from jsonschema import Draft202012Validator
from shapely.geometry import MultiPoint, Point, shape

HEADINGS = (
    "site_id,address,postcode,feeder_id,latitude,longitude,cutout_rating_a,cutout_evidence,existing_demand_a,"
    "parking_distance_m,premises_type,parking_type"
)
HOMES, FEEDERS = 60, 7
# A tenth of a metre, to which places are written, with room for the rounding of a middle.
NEAR = 2e-6


def homes(moved):
    """A drawn portfolio: homes about the middle of their feeder, some without a place; the same places every time."""
    draw = random.Random(7)
    rows = [HEADINGS]
    for n in range(HOMES):
        feeder = n % FEEDERS
        north, east = 52 + feeder / 50 + draw.uniform(-1, 1) / 300, -1.5 + feeder / 40 + draw.uniform(-1, 1) / 300
        place = ["", ""] if n % 11 == 5 else [f"{north:.7f}", f"{east:.7f}"]
        fuse = ["", ""] if n % 4 == 1 and not moved else ["80", "fuse"]
        row = [f"H{n:03}", f'"{2 * n + 1} Fennel Row, Tarnholt"', "QX4 7LP", f"F{feeder}", *place, *fuse]
        rows.append(",".join([*row, str(18 + n % 9), "12", "house", "driveway"]))
    return "\n".join(rows) + "\n"


def main(program, schemas, folder):
    folder = pathlib.Path(folder)

    def schema(name):
        held = json.loads((pathlib.Path(schemas) / f"{name}.schema.json").read_text())
        Draft202012Validator.check_schema(held)
        return Draft202012Validator(held)

    def run(*arguments):
        subprocess.run([program, *map(str, arguments)], check=True, stdout=subprocess.DEVNULL)

    results = []
    for name, moved in (("before", False), ("after", True)):
        portfolio = folder / f"{name}.csv"
        portfolio.write_text(homes(moved))
        workbook = folder / f"{name}-result.xlsx"
        run("assess", portfolio, "-o", workbook, "--json", "--geojson", "--force", "--as-of", "2026-11-25")
        results.append(workbook.with_suffix(".json"))
    run("compare", *results, "-o", folder / "changes.xlsx", "--json", "--force")

    result = json.loads(results[0].read_text())
    chart = json.loads(results[0].with_suffix(".geojson").read_text())
    schema("results").validate(result)
    schema("map").validate(chart)
    changes = json.loads((folder / "changes.json").read_text())
    schema("changes").validate(changes)
    assert len(changes["changed"]) >= HOMES // 5, "the planted answers are not told"

    points, shapes = {}, 0
    for feature in chart["features"]:
        geometry, told = shape(feature["geometry"]), feature["properties"]
        assert geometry.is_valid and not geometry.is_empty, feature
        if told["feature"] == "site":
            points[told["site_id"]] = geometry
    placed = [row.split(",") for row in homes(False).splitlines()[1:]]
    # The address has a comma of its own: the place stands two columns later.
    for row in placed:
        where = points.get(row[0])
        assert (where is None) == (row[5] == ""), row
        if where is not None:
            assert math.dist((where.x, where.y), (float(row[6]), float(row[5]))) < NEAR, "longitude comes first"
    clusters = {cluster["cluster_id"]: cluster for cluster in result["clusters"]}
    for feature in chart["features"]:
        geometry, told = shape(feature["geometry"]), feature["properties"]
        if told["feature"] != "cluster":
            continue
        own = [points[site] for site in clusters[told["cluster_id"]]["site_ids"] if site in points]
        hull = MultiPoint(own).convex_hull
        assert len(own) == told["sites_on_the_map"]
        if hull.geom_type == "Polygon":
            shapes += 1
            assert geometry.geom_type == "Polygon" and geometry.exterior.is_ccw
            assert geometry.equals(hull) or geometry.symmetric_difference(hull).area < 1e-12, told
        else:
            assert isinstance(geometry, Point)
    assert len(points) > HOMES * 0.8 and shapes == FEEDERS, (len(points), shapes)
    print(f"{len(points)} sites and {shapes} clusters on the map, {len(changes['changed'])} changes: as they should be.")


if __name__ == "__main__":
    main(*sys.argv[1:])
