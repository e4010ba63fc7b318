"""Areas of lots, setbacks, bands and partitions with Shapely (GEOS), for the test beside this file.

Run from this folder with Shapely 2.2:  python generate.py > areas.csv

The offsets are not GEOS buffers: they are built from the definition alone, as the union of the shape,
one rectangle per edge and one fan of triangles per corner, so that arcs have the same chords as the
documented construction (offset.rs) while nothing of its method is shared. GEOS's own buffer is stored
besides (`*-geos-buffer`), to be compared within the difference that the placing of chords makes.
"""

import math
import sys

from shapely import union_all
from shapely.geometry import LineString, Point, Polygon

PER_QUARTER = 40
SETBACK = 1.5
BAND = 0.9144
EDGE = 2.0
POINT = 6.0
LINE = 3.0


def read(path):
    lots = {}
    for line in open(path):
        name, role, numbers = line.strip().split(";")
        n = [float(v) for v in numbers.split()]
        lots.setdefault(name, []).append((role, list(zip(n[0::2], n[1::2]))))
    return lots


def fan(corner, start, turn, d, circumscribed):
    steps = max(1, math.ceil(turn / (math.pi / 2 / PER_QUARTER) - 1e-9))
    step = turn / steps
    at = lambda a, r: (corner[0] + r * math.cos(a), corner[1] + r * math.sin(a))
    arc = [at(start, d)]
    if circumscribed:
        arc += [at(start + step * (i + 0.5), d / math.cos(step / 2)) for i in range(steps)]
    else:
        arc += [at(start + step * i, d) for i in range(1, steps)]
    arc.append(at(start + turn, d))
    return Polygon([corner] + arc)


def ring_pieces(ring, d, circumscribed):
    """Rectangles on the right of each edge and fans at right-hand corners; the ground lies left."""
    pieces, n = [], len(ring)
    for i in range(n):
        a, b, c = ring[i - 1], ring[i], ring[(i + 1) % n]
        if a == b or b == c:
            raise ValueError("repeated point")
        heading = math.atan2(b[1] - a[1], b[0] - a[0])
        leaving = math.atan2(c[1] - b[1], c[0] - b[0])
        ox, oy = d * math.sin(heading), -d * math.cos(heading)
        pieces.append(Polygon([a, b, (b[0] + ox, b[1] + oy), (a[0] + ox, a[1] + oy)]))
        turn = (leaving - heading + math.pi) % (2 * math.pi) - math.pi
        if abs(abs(turn) - math.pi) < 1e-12:
            turn = math.pi
        if turn > 0:
            pieces.append(fan(b, heading - math.pi / 2, turn, d, circumscribed))
    return pieces


def signed(ring):
    return sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(ring, ring[1:] + ring[:1])) / 2


def wound(ring, left):
    return ring if (signed(ring) > 0) == left else ring[::-1]


def grown(polygon, d, circumscribed):
    rings = [wound(list(polygon.exterior.coords)[:-1], True)]
    rings += [wound(list(hole.coords)[:-1], False) for hole in polygon.interiors]
    return union_all([polygon] + [p for ring in rings for p in ring_pieces(ring, d, circumscribed)])


def line_setback(points, d):
    there_and_back = points + points[-2:0:-1]
    return union_all(ring_pieces(there_and_back, d, True))


def point_setback(p, d):
    n = 4 * PER_QUARTER
    step = 2 * math.pi / n
    r = d / math.cos(step / 2)
    return Polygon([(p[0] + r * math.cos(step * (i + 0.5)), p[1] + r * math.sin(step * (i + 0.5))) for i in range(n)])


def main():
    print("lot,figure,area_m2")
    count = 0
    for name, rings in read("outlines.txt").items():
        outline = [r for role, r in rings if role == "outline"][0]
        holes = [r for role, r in rings if role == "hole"]
        house = Polygon([r for role, r in rings if role == "house"][0])
        lot = Polygon(outline, holes)
        whole = Polygon(outline)
        if not (lot.is_valid and house.is_valid):
            print("left out, not valid:", name, file=sys.stderr)
            continue
        count += 1
        edge = line_setback(outline[:3], LINE)
        hive = point_setback(outline[0], POINT)
        figures = {
            "lot": lot,
            "whole": whole,
            "house-setback": grown(house, SETBACK, True),
            "house-band": grown(house, BAND, False).difference(house),
            "house-band-on-lot": grown(house, BAND, False).difference(house).intersection(lot),
            "line-setback": edge,
            "point-setback": hive,
            "lot-setback": grown(lot, EDGE, True),
            "lot-band": grown(lot, BAND, False).difference(lot),
            "house-setback-geos-buffer": house.buffer(SETBACK, quad_segs=PER_QUARTER),
            "lot-band-geos-buffer": lot.buffer(BAND, quad_segs=PER_QUARTER).difference(lot),
        }
        # The partition: each claim takes what is left.
        rest = whole
        for part, claim in [
            ("part-house", house),
            ("part-hive", hive),
            ("part-edge", edge),
            ("part-band", grown(house, BAND, False)),
            ("part-setback", grown(house, SETBACK, True)),
            ("part-lot", lot),
        ]:
            figures[part] = rest.intersection(claim)
            rest = rest.difference(claim)
        figures["part-rest"] = rest
        for figure, shape in figures.items():
            print(f"{name},{figure},{shape.area:.9f}")
    print(count, "lots", file=sys.stderr)


main()
