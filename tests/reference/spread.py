"""What small films print when their edges move: an independent computation, twice over.

    python3 spread.py        # needs numpy, scipy, shapely; writes spread_films.txt, spread_coverage.csv, spread_pixels.csv

exact:   ink pixels as rectangles, united and grown by shapely (circles as polygons of 1024 sides), areas of intersections.
sampled: eight times eight points a pixel, each looked at for an ink pixel whose square lies near enough. A line of points
         stands for its eighth of a pixel, so this is right to a sixteenth of a pixel along upright edges: half a point at 22 px a
         cell, more on specks. (A distance transform of the finer film measures to the middles of its pixels instead of their edges.)

Ink that shrinks is bare ground that spreads; around a film lies bare ground. Lengths in micrometres.
"""

from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter
from shapely import box, unary_union

HERE = Path(__file__).parent


def euclidean(x, y):
    """The spot function Round of ISO 32000-2, Table 126."""
    a, b = np.abs(x), np.abs(y)
    return np.where(a + b <= 1, 1 - (x * x + y * y), (a - 1) ** 2 + (b - 1) ** 2 - 1)


def ranked(values, tone):
    order = np.argsort(-values.ravel(), kind="stable")
    film = np.zeros(values.size, bool)
    film[order[: round(tone * values.size)]] = True
    return film.reshape(values.shape)


def cells(n, tone):
    x = (2 * np.arange(n) + 1) / n - 1
    return np.tile(ranked(euclidean(*np.meshgrid(x, x)), tone), (3, 3))


def turned(width, height, pitch, degrees, tone):
    x, y = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    u, v = (x * c - y * s) / pitch, (x * s + y * c) / pitch
    return ranked(euclidean(2 * (u - np.floor(u)) - 1, 2 * (v - np.floor(v)) - 1), tone)


def blobs(width, height, tone, seed):
    return ranked(gaussian_filter(np.random.default_rng(seed).standard_normal((height, width)), 1.3), tone)


def lone():
    film = np.zeros((9, 11), bool)
    film[4, 5] = True
    return film


FILMS = {
    "lone": lone(),
    "cell22_10": cells(22, 0.10),
    "cell22_50": cells(22, 0.50),
    "cell22_75": cells(22, 0.75),
    "turned22_30": turned(64, 60, 22, 22.5, 0.30),
    "turned22_65": turned(64, 60, 22, 22.5, 0.65),
    "blobs": blobs(43, 32, 0.4, 1),
    "specks": np.random.default_rng(2).random((24, 27)) < 0.2,
}

RESOLUTIONS = [(1210, 1210), (720, 1440)]
GROWTHS = [5, 12.7, 25.4, 50.8, -8, -25.4]


def outline(film, px, py):
    runs = []
    for y, row in enumerate(film):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        runs += [box(a * px, y * py, b * px, (y + 1) * py) for a, b in edges.reshape(-1, 2)]
    return unary_union(runs)


def printed(film, px, py, growth):
    """The printed ink as a shape; outside of the film's rectangle only where ink spreads there."""
    ink = outline(film, px, py)
    if growth >= 0:
        return ink.buffer(growth, quad_segs=256)
    height, width = film.shape
    far = 4 * abs(growth)
    around = box(-far, -far, width * px + far, height * py + far)
    return around.difference(around.difference(ink).buffer(-growth, quad_segs=256))


def exact(shape, px, py, piece):
    x, y, w, h = piece
    return shape.intersection(box(x * px, y * py, (x + w) * px, (y + h) * py)).area / (w * px * h * py)


def sampled(film, px, py, growth, piece, times=8):
    far = abs(growth)
    mx, my = int(np.ceil(far / px)), int(np.ceil(far / py))
    x, y, w, h = piece
    padded = np.pad(film, ((my, my), (mx, mx)))
    spreading = padded if growth >= 0 else ~padded
    count = 0
    for sy in (np.arange(times) + 0.5) / times:
        for sx in (np.arange(times) + 0.5) / times:
            reached = np.zeros((h, w), bool)
            for j in range(-my, my + 1):
                for i in range(-mx, mx + 1):
                    # From the point to the square of the pixel i to the right and j below.
                    dx, dy = max(i - sx, sx - i - 1, 0) * px, max(j - sy, sy - j - 1, 0) * py
                    if np.hypot(dx, dy) <= far:
                        reached |= spreading[y + my + j : y + my + j + h, x + mx + i : x + mx + i + w]
            count += reached.sum()
    covered = count / (times * times * w * h)
    return covered if growth >= 0 else 1 - covered


def main():
    with open(HERE / "spread_films.txt", "w") as out:
        for name, film in FILMS.items():
            out.write(f"# {name} {film.shape[1]}x{film.shape[0]} (1 = ink)\n")
            for row in film:
                out.write("".join("01"[int(p)] for p in row) + "\n")
    with open(HERE / "spread_coverage.csv", "w") as out:
        out.write("film,px_per_inch_x,px_per_inch_y,growth_um,x,y,width,height,exact,sampled\n")
        for name, film in FILMS.items():
            height, width = film.shape
            # Of 3 x 3 cells the middle one, as a cell among its like.
            piece = (22, 22, 22, 22) if name.startswith("cell") else (0, 0, width, height)
            for rx, ry in RESOLUTIONS:
                px, py = 25400 / rx, 25400 / ry
                for growth in GROWTHS:
                    a = exact(printed(film, px, py, growth), px, py, piece)
                    b = sampled(film, px, py, growth, piece)
                    place = ",".join(map(str, piece))
                    out.write(f"{name},{rx},{ry},{growth},{place},{a:.7f},{b:.5f}\n")
    with open(HERE / "spread_pixels.csv", "w") as out:
        out.write("film,px_per_inch_x,px_per_inch_y,growth_um,y,covered parts of the row's pixels\n")
        for name, (rx, ry), growth in [("blobs", (720, 1440), 14), ("specks", (1210, 1210), 9), ("blobs", (1210, 1210), -12)]:
            film, px, py = FILMS[name], 25400 / rx, 25400 / ry
            shape = printed(film, px, py, growth)
            for y in range(film.shape[0]):
                row = [f"{exact(shape, px, py, (x, y, 1, 1)):.5f}" for x in range(film.shape[1])]
                out.write(f"{name},{rx},{ry},{growth},{y},{' '.join(row)}\n")


if __name__ == "__main__":
    main()
