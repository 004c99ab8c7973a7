"""What small films print together, pixel by pixel: an independent computation.

    python3 proof_films.py        # needs numpy, scipy, shapely; writes proof_films.txt, proof_films.csv

Ink is the union of its pixels' rectangles, each stretched about the film's middle and shifted, in micrometres, and grown by shapely
(circles as polygons of 1024 sides); ink that shrinks is bare ground that spreads; around a film lies bare ground. Each pixel of the
proof is cut by the inks' shapes into its combinations, whose areas weigh their colours. Colours: drawdowns in CIE L*a*b* (D50) to linear
light in the primaries of ITU-R BT.2020 brought to D50 by Bradford's matrix; R = R0 + T2 g / (1 - R0 g); ink on wet ink at a part of
its thickness by Kubelka and Munk's a, b, S X form.
"""

from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter
from shapely import affinity, box, unary_union

HERE = Path(__file__).parent
WIDTH, HEIGHT = 26, 21


def blobs(tone, seed, sigma):
    values = gaussian_filter(np.random.default_rng(seed).standard_normal((HEIGHT, WIDTH)), sigma)
    return values > np.quantile(values, 1 - tone)


FILMS = [blobs(0.55, 11, 1.6), blobs(0.35, 12, 1.0), np.random.default_rng(13).random((HEIGHT, WIDTH)) < 0.2]

# name; px/inch x, y of film; growth in um, shift x, y in um, stretch x, y of each film; left, top, width, height; px/inch x, y of proof
CASES = [
    ("as they are", (1210, 1210), [(0, 0, 0, 0, 0)] * 3, (0, 0, 26, 21), (1210, 1210)),
    ("shifted", (1210, 1210), [(0, 0, 0, 0, 0), (0, 31.7, -12.3, 0, 0), (0, -100, 55, 0, 0)], (0, 0, 26, 21), (1210, 1210)),
    ("stretched", (720, 1440), [(0, 0, 0, 0.02, -0.03), (0, 0, 0, 0, 0), (0, 9, 0, -0.01, 0.05)], (3, 2, 19, 16), (720, 1440)),
    ("grown", (1210, 1210), [(12.7, 0, 0, 0, 0), (25, 0, 0, 0, 0), (-6, 0, 0, 0, 0)], (0, 0, 26, 21), (1210, 1210)),
    ("all of it", (720, 1440), [(14, 0, 0, 0, 0), (-9, 40, 22, 0.01, 0), (20, -15, 60, 0, 0.04)], (2, 1, 21, 18), (720, 1440)),
    ("smaller", (1210, 1210), [(12.7, 10, 0, 0, 0), (5, 0, -33, 0.02, 0), (0, 0, 0, 0, 0)], (1, 2, 20, 18), (302.5, 403.3333333333333)),
]

# Drawdowns over white and over black; the second ink is printed on dried ink, the third on wet.
WHITE, BLACK, GARMENT = (95.5, -0.5, 1.0), (15.0, 0.2, 0.3), (28.0, 6.0, -18.0)
INKS = [((94.6, -0.4, 2.2), (80.0, -0.2, 1.5)), ((88.0, -3.0, 62.0), (60.4, -2.4, 26.8)), ((50.0, 66.0, 44.0), (39.7, 35.2, 26.1))]
WET = 0.7

D50 = np.array([0.9642, 1.0, 0.8249])


def to_xyz(lab):
    fy = (lab[0] + 16) / 116
    f = np.array([fy + lab[1] / 500, fy, fy - lab[2] / 200])
    return D50 * np.where(f > 6 / 29, f**3, 108 / 841 * (f - 4 / 29))


def wide_to_xyz():
    xy = lambda x, y: np.array([x / y, 1, (1 - x - y) / y])
    d65 = xy(0.3127, 0.3290)
    columns = np.array([xy(0.708, 0.292), xy(0.170, 0.797), xy(0.131, 0.046)]).T
    to_d65 = columns * np.linalg.solve(columns, d65)
    cones = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    return np.linalg.inv(cones) @ np.diag((cones @ D50) / (cones @ d65)) @ cones @ to_d65


WIDE = wide_to_xyz()


def light(lab):
    return np.linalg.solve(WIDE, to_xyz(lab))


def layer(ink):
    """R0 and T2 from the two drawdowns."""
    gw, gb, rw, rb = light(WHITE), light(BLACK), light(ink[0]), light(ink[1])
    own = (gw * rb - gb * rw) / (gw - gb + gw * gb * (rb - rw))
    return own, (rw - own) * (1 - own * gw) / gw


def thinner(own, through, part):
    """Kubelka and Munk: coth bSX = (1/R0 - a)/b, then R0 = 1/(a + b coth), T = b/(a sinh + b cosh)."""
    a = (1 + own**2 - through) / (2 * own)
    b = np.sqrt(a * a - 1)
    x = part * np.arctanh(b / (1 / own - a))
    return 1 / (a + b / np.tanh(x)), (b / (a * np.sinh(x) + b * np.cosh(x))) ** 2


def colour(inks):
    ground, below = light(GARMENT), False
    for i, ink in enumerate(INKS):
        if not inks[i]:
            continue
        # The first ink is dried before the second; the third falls on whatever lies wet of the second.
        own, through = layer(ink)
        if i == 2 and inks[1]:
            own, through = thinner(own, through, WET)
        ground = own + through * ground / (1 - own * ground)
    return WIDE @ ground


def printed(film, px, py, growth, dx, dy, sx, sy):
    rows = []
    for y, row in enumerate(film):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        rows += [box(a * px, y * py, b * px, (y + 1) * py) for a, b in edges.reshape(-1, 2)]
    middle = (WIDTH * px / 2, HEIGHT * py / 2)
    ink = affinity.translate(affinity.scale(unary_union(rows), 1 + sx, 1 + sy, origin=middle), dx, dy)
    if growth >= 0:
        return ink.buffer(growth, quad_segs=256)
    around = box(-3000, -3000, 6000, 6000)
    return around.difference(around.difference(ink).buffer(-growth, quad_segs=256))


def main():
    with open(HERE / "proof_films.txt", "w") as out:
        for film in FILMS:
            out.write(f"# {WIDTH}x{HEIGHT} (1 = ink)\n")
            for row in film:
                out.write("".join("01"[int(p)] for p in row) + "\n")
    with open(HERE / "proof_films.csv", "w") as out:
        out.write("case,film px/inch x y,proof px/inch x y,left top width height,growth shift shift stretch stretch of each film,y,X Y Z of the row's pixels\n")
        for name, (rx, ry), lays, (left, top, width, height), (ox, oy) in CASES:
            px, py = 25400 / rx, 25400 / ry
            shapes = [printed(film, px, py, *lay) for film, lay in zip(FILMS, lays)]
            wide, high = 25400 / ox, 25400 / oy
            columns, rows = round(width * px / wide), round(height * py / high)
            told = ";".join(" ".join(map(str, lay)) for lay in lays)
            head = f"{name},{rx} {ry},{ox} {oy},{left} {top} {width} {height},{told}"
            for y in range(rows):
                pixels = []
                for x in range(columns):
                    x0, y0 = left * px + x * wide, top * py + y * high
                    parts = {(): box(x0, y0, x0 + wide, y0 + high)}
                    for shape in shapes:
                        parts = {
                            inks + (covered,): part.intersection(shape) if covered else part.difference(shape)
                            for inks, part in parts.items()
                            for covered in (False, True)
                        }
                    xyz = sum(part.area * colour(inks) for inks, part in parts.items()) / (wide * high)
                    pixels.append(" ".join(f"{v:.5f}" for v in xyz))
                out.write(f"{head},{y},{';'.join(pixels)}\n")


if __name__ == "__main__":
    main()
