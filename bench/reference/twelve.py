"""The steps of `bench/designs/twelve.plane`, one call a fold."""

from fold_plainly import Model, bisector, share_ahead

WIDTH, LENGTH = 210.0, 297.0
BAND, TIP, EDGE = 20.0, 30.0, 8.0
MIDDLE = WIDTH / 2


def level(y):
    return (0.0, y), (WIDTH, y)


def upright(x):
    return (x, 0.0), (x, LENGTH)


def fold_twelve():
    m = Model(WIDTH, LENGTH)
    m.crease(*upright(MIDDLE))
    # A band, and once more.
    first = LENGTH - BAND
    roll = first - BAND
    m.fold(level(first), moving=(0, LENGTH))
    m.fold(level(roll), moving=(0, first))
    # Shoulders to the centre line, then the slanted edges to the centre line.
    nose, tail = (MIDDLE, roll), (MIDDLE, 0.0)
    corners = [(0.0, roll), (WIDTH, roll)]
    for corner in corners:
        m.fold(bisector(nose, tail, corner), moving=corner, flap=corner)
    for sign in (-1, 1):
        edge = (MIDDLE + sign * 50, roll - 50)
        on_edge = corners[0] if sign < 0 else corners[1]
        m.fold(bisector(nose, tail, edge), moving=edge, flap=on_edge)
    # The tip back, the wing edges in, the tail edge over.
    m.fold(level(roll - TIP / 2), moving=nose)
    m.fold(upright(EDGE), moving=(0, 0), flap=(0, 0))
    m.fold(upright(WIDTH - EDGE), moving=(WIDTH, 0), flap=(WIDTH, 0))
    m.turn_over()
    m.fold(level(EDGE), moving=(0, 0), flap=(0, 0))
    m.turn_over()
    (_, y), wing = m.balance()
    nose_y = wing.bounds[3]
    return {
        "faces": len(m.faces),
        "behind_nose_mm": nose_y - y,
        "area_mm2": wing.area,
        "area_ahead_fraction": share_ahead(wing, y),
        "paper_mm2": sum(outline.area for outline, _ in m.faces),
    }
