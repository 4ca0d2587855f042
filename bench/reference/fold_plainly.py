"""The bench design folded and balanced the plain way, with Shapely.

Same folds, unions and centroids as `bench/designs/twelve.plane`, written as one would write them
for a single use: a list of polygons with an affine map each, split by half planes, mirrored,
united. Prints the balance point, the wing area and the median time of one run in seconds.

    pip install shapely numpy
    python bench/reference/fold_plainly.py
"""

import json
import math
import statistics
import sys
import time

from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

FAR = 10_000.0  # mm, larger than any sheet
TOUCH = 1e-6  # mm


def mirror(p, q):
    """Affine map (Shapely order a, b, d, e, xoff, yoff) of the mirror image in the line pq."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    n = math.hypot(dx, dy)
    c, s = (dx * dx - dy * dy) / n**2, 2 * dx * dy / n**2
    return [c, s, s, -c, p[0] - c * p[0] - s * p[1], p[1] - s * p[0] + c * p[1]]


def after(m, first):
    """The map `first`, then `m`."""
    a, b, d, e, x, y = m
    A, B, D, E, X, Y = first
    return [a * A + b * D, a * B + b * E, d * A + e * D, d * B + e * E,
            a * X + b * Y + x, d * X + e * Y + y]


def inverse(m):
    a, b, d, e, x, y = m
    k = a * e - b * d
    return [e / k, -b / k, -d / k, a / k, (b * y - e * x) / k, (d * x - a * y) / k]


def at(m, p):
    a, b, d, e, x, y = m
    return a * p[0] + b * p[1] + x, d * p[0] + e * p[1] + y


def half_plane(p, q):
    """A very large polygon on the left of the line from p to q."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    n = math.hypot(dx, dy)
    dx, dy = dx / n * FAR, dy / n * FAR
    a, b = (p[0] - dx, p[1] - dy), (p[0] + dx, p[1] + dy)
    return Polygon([a, b, (b[0] - dy, b[1] + dx), (a[0] - dy, a[1] + dx)])


class Model:
    """Faces from the table upwards: [outline on the sheet, map to the table]."""

    def __init__(self, width, length):
        sheet = Polygon([(0, 0), (width, 0), (width, length), (0, length)])
        self.faces = [[sheet, [1, 0, 0, 1, 0, 0]]]

    def where(self, p):
        """Where a place on the sheet lies now."""
        for outline, m in self.faces:
            if outline.distance(Point(p)) < TOUCH:
                return at(m, p)
        raise ValueError("not on the sheet")

    def turn_over(self):
        """Left to right, as one turns a page."""
        self.faces = [[o, after([-1, 0, 0, 1, 0, 0], m)] for o, m in reversed(self.faces)]

    def crease(self, p, q):
        """Cuts every face along the line."""
        cut = []
        for outline, m in self.faces:
            for side in (half_plane(p, q), half_plane(q, p)):
                part = affinity.affine_transform(outline, m).intersection(side)
                if part.area > TOUCH:
                    cut.append([affinity.affine_transform(part, inverse(m)), m])
        self.faces = cut

    def fold(self, line, moving, flap=None):
        """Valley fold along a line on the table: the side with the place `moving` comes over; of
        the whole model, or of the flap that carries the place `flap` on the sheet."""
        p, q = line
        side = (q[0] - p[0]) * (moving[1] - p[1]) - (q[1] - p[1]) * (moving[0] - p[0])
        if side < 0:
            p, q = q, p
        left, right = half_plane(p, q), half_plane(q, p)
        table = [affinity.affine_transform(outline, m) for outline, m in self.faces]
        inside = [t.intersection(left) for t in table]
        moves = [i.area > TOUCH for i in inside]
        if flap is not None:
            seeds = [k for k, (outline, _) in enumerate(self.faces)
                     if moves[k] and outline.distance(Point(flap)) < TOUCH]
            moves = self.closure(seeds, inside)
        image = mirror(p, q)
        stay, moved = [], []
        for (outline, m), t, part, goes in zip(self.faces, table, inside, moves):
            if not goes:
                stay.append([outline, m])
                continue
            back = inverse(m)
            moved.append([affinity.affine_transform(part, back), after(image, m)])
            rest = t.intersection(right)
            if rest.area > TOUCH:
                stay.append([affinity.affine_transform(rest, back), m])
        self.faces = stay + moved[::-1]

    def closure(self, seeds, inside):
        """The seeds, what is hinged to them on the moving side, and what lies on them there."""
        moving = [k in seeds for k in range(len(self.faces))]
        sheet_part = [affinity.affine_transform(i, inverse(m)) if i.area > TOUCH else None
                      for i, (_, m) in zip(inside, self.faces)]
        grown = True
        while grown:
            grown = False
            for k in range(len(self.faces)):
                if moving[k] or sheet_part[k] is None:
                    continue
                for j in range(len(self.faces)):
                    if not moving[j]:
                        continue
                    hinged = sheet_part[k].buffer(TOUCH).intersection(
                        sheet_part[j].boundary).length > 1e-3
                    carried = k > j and inside[k].intersection(inside[j]).area > 1e-3
                    if hinged or carried:
                        moving[k] = grown = True
                        break
        return moving

    def balance(self):
        """Centroid of all layers, union seen from above, both on the table."""
        table = [affinity.affine_transform(outline, m) for outline, m in self.faces]
        mass = sum(t.area for t in table)
        x = sum(t.area * t.centroid.x for t in table) / mass
        y = sum(t.area * t.centroid.y for t in table) / mass
        return (x, y), unary_union(table)


def bisector(hinge, a, b):
    """Line through the hinge that takes the direction of a to that of b."""
    u = math.atan2(a[1] - hinge[1], a[0] - hinge[0])
    v = math.atan2(b[1] - hinge[1], b[0] - hinge[0])
    w = (u + v) / 2
    return hinge, (hinge[0] + math.cos(w) * 100, hinge[1] + math.sin(w) * 100)


def share_ahead(wing, y):
    """Share of the area that lies above y."""
    return wing.intersection(half_plane((0, y), (1, y))).area / wing.area


def main():
    from twelve import fold_twelve  # the bench design, step by step

    times = []
    for _ in range(int(sys.argv[1]) if len(sys.argv) > 1 else 21):
        start = time.perf_counter()
        answer = fold_twelve()
        times.append(time.perf_counter() - start)
    print(json.dumps({"seconds": statistics.median(times), **answer}))


if __name__ == "__main__":
    main()
