"""Tussock's zones against the same overlay done with Shapely (GEOS): same map, same arcs, same run.

Run by `make bench`. Prints one table; the peer's own zones are checked against tussock's areas
before any time is taken, so that both do the same work.
"""

import json
import math
import os
import platform
import subprocess
import sys
import time

import shapely
from shapely.geometry import LineString, Point, Polygon, shape

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "..")
SEGMENTS = 16
FOOT = 0.3048


def demo_map():
    with open(os.path.join(ROOT, "demo", "alder-bend", "property.geojson"), encoding="utf-8") as file:
        features = json.load(file)["features"]
    lot = next(f for f in features if f["properties"]["kind"] == "boundary")
    longitude, latitude = lot["geometry"]["coordinates"][0][0]
    # Radii of curvature of the WGS 84 ellipsoid at the lot: a plane good to a millimetre here.
    a, e2 = 6378137.0, 0.00669437999014
    s = math.sin(math.radians(latitude))
    east = math.radians(1) * a / math.sqrt(1 - e2 * s * s) * math.cos(math.radians(latitude))
    north = math.radians(1) * a * (1 - e2) / (1 - e2 * s * s) ** 1.5

    def plane(c):
        if isinstance(c[0], (int, float)):
            return ((c[0] - longitude) * east, (c[1] - latitude) * north)
        return [plane(part) for part in c]

    return {
        f["id"]: (f["properties"]["kind"], shape({"type": f["geometry"]["type"], "coordinates": plane(f["geometry"]["coordinates"])}))
        for f in features
    }


def overlay(features):
    """The zones of the visit: band, hedge, turf within three distances, the rest."""
    lot = features["lot"][1]
    drawn = [g for kind, g in features.values() if kind not in ("boundary", "water", "hive")]
    turf = lot.difference(shapely.union_all(drawn))
    house = features["house"][1]
    ring = house.buffer(3 * FOOT, quad_segs=SEGMENTS).difference(house)
    grow = 1.0  # arcs inside the circle; the two differ by less than the check below
    kept = [
        features["water-0"][1].buffer(25 * FOOT * grow, quad_segs=SEGMENTS),
        features["vegetables"][1].buffer(6 * FOOT * grow, quad_segs=SEGMENTS),
        features["perennials"][1].buffer(5 * FOOT * grow, quad_segs=SEGMENTS),
    ]
    band = turf.intersection(ring)
    rest = turf.difference(ring)
    within = []
    for distance in kept:
        within.append(rest.intersection(distance))
        rest = rest.difference(distance)
    return {"perimeter": band, "lawn": rest, "water": within[0], "food": within[1], "bloom": within[2]}


def best(work, seconds=2.0):
    """Median time of a piece of work, in seconds."""
    times = []
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    times.sort()
    return times[len(times) // 2]


def main():
    features = demo_map()
    peer_zones = overlay(features)
    own = json.loads(subprocess.run([os.path.join(ROOT, "target", "release", "bench")], check=True, capture_output=True, text=True, cwd=ROOT).stdout)
    for name in ("perimeter", "lawn"):
        difference = abs(own["areas_m2"][name] / peer_zones[name].area - 1)
        if difference > 1e-4:
            sys.exit(f"the two do not do the same work: {name} differs by {difference:.2e}")
    peer = best(lambda: overlay(features))
    cores = os.cpu_count()
    rows = [
        ("overlay with Shapely %s (GEOS %s)" % (shapely.__version__, shapely.geos_version_string), peer, ""),
        ("zones of one property", own["zones_s"], "%.2f × the overlay (goal: at most 0.5)" % (own["zones_s"] / peer)),
        ("plan of one property, read before", own["plan_s"], "%.2f × the overlay (goal: at most 2)" % (own["plan_s"] / peer)),
        ("reading request, map, three labels, forecast, history", own["reading_s"], ""),
        ("drawing the SVG map", own["map_s"], ""),
        ("writing visit.json", own["json_s"], ""),
        ("reading, plan, JSON, map and calendar", own["whole_s"], "%.2f × the overlay" % (own["whole_s"] / peer)),
        ("PDF work sheet", own["pdf_s"], ""),
    ]
    print("%s, %s cores, Python %s\n" % (platform.machine(), cores, platform.python_version()))
    print("| what | median | |\n| --- | --- | --- |")
    for what, seconds, note in rows:
        print("| %s | %.3f ms | %s |" % (what, seconds * 1e3, note))
    for folder in own.get("folders", []):
        share = folder["one_s"] * folder["properties"] / cores / folder["seconds"]
        print(
            "| folder of %s properties | %.1f s | %.0f %% of (one × %s / %s cores) (goal: 90 %%); peak memory %.0f MB |"
            % (f"{folder['properties']:,}", folder["seconds"], share * 100, f"{folder['properties']:,}", cores, folder["peak_mb"])
        )


if __name__ == "__main__":
    main()
