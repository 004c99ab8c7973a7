"""Least-grain mixtures of colours, and the nearest print of colours that cannot be mixed, by scipy.

    python3 index.py            # writes index_mixtures.csv and index_nearest.csv; numpy, scipy

Mixtures: areas >= 0 of given colours (X, Y, Z) that add up to 1 and mix a colour, with the least sum of area * |p|^2, p = (116 Y,
250 (X - Y), 100 (Y - Z)) relative to the white of D50: a linear programme, solved by HiGHS (scipy.optimize.linprog).
Nearest: areas of the least CIEDE2000 from a colour that is out of reach (scipy.optimize.minimize, SLSQP, from many starts). Colours are invented.
"""

from pathlib import Path

import numpy as np
from scipy.optimize import linprog, minimize

WHITE = np.array([0.9642, 1.0, 0.8249])


def lab(xyz):
    t = np.asarray(xyz) / WHITE
    f = np.where(t > 216 / 24389, np.cbrt(t), t * 841 / 108 + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def xyz(lab):
    fy = (lab[0] + 16) / 116
    f = np.array([fy + lab[1] / 500, fy, fy - lab[2] / 200])
    return WHITE * np.where(f > 6 / 29, f**3, 108 / 841 * (f - 4 / 29))


def ciede2000(one, other):
    """Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    c7 = (0.5 * (np.hypot(a1, b1) + np.hypot(a2, b2))) ** 7
    g = 0.5 * (1 - np.sqrt(c7 / (c7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360, np.degrees(np.arctan2(b2, a2)) % 360
    dh = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0
    h = h1 + h2 if not c1 * c2 else (h1 + 0.5 * dh) % 360
    l, c = 0.5 * (l1 + l2), 0.5 * (c1 + c2)
    cos = lambda d: np.cos(np.radians(d))
    t = 1 - 0.17 * cos(h - 30) + 0.24 * cos(2 * h) + 0.32 * cos(3 * h + 6) - 0.20 * cos(4 * h - 63)
    rt = -np.sin(np.radians(60 * np.exp(-(((h - 275) / 25) ** 2)))) * 2 * np.sqrt(c**7 / (c**7 + 25.0**7))
    dl = (l2 - l1) / (1 + 0.015 * (l - 50) ** 2 / np.sqrt(20 + (l - 50) ** 2))
    dc = (c2 - c1) / (1 + 0.045 * c)
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(dh / 2)) / (1 + 0.015 * c * t)
    return np.sqrt(dl**2 + dc**2 + dh**2 + rt * dc * dh)


def opponent(p):
    x, y, z = (p / WHITE).T
    return np.stack([116 * y, 250 * (x - y), 100 * (y - z)], axis=-1)


def colours(random, count):
    """Some of a print: a dark and a light one, the rest anywhere that a surface can be."""
    found = [np.array([12.0, 2, -6]), np.array([92.0, -1, 3])]
    while len(found) < count:
        c = np.array([random.uniform(15, 90), random.uniform(-55, 65), random.uniform(-55, 75)])
        if (xyz(c) > 0.004).all() and (xyz(c) < 0.95 * WHITE).all():
            found.append(c)
    return np.array([xyz(c) for c in found])


def line(case, points, *rest):
    numbers = [f"{v:.12g}" for part in (points.ravel(), *rest) for v in np.atleast_1d(part)]
    return ",".join([str(case), str(len(points)), *numbers]) + "\n"


def main():
    folder = Path(__file__).parent
    random = np.random.default_rng(5)
    with open(folder / "index_mixtures.csv", "w") as out:
        out.write("case,colours,X Y Z of each,X Y Z wanted,area of each\n")
        for case, count in enumerate([4, 5, 6, 7, 7, 8, 10, 13] * 6):
            points = colours(random, count)
            wanted = random.dirichlet(np.full(count, 0.7)) @ points
            cost = (opponent(points) ** 2).sum(axis=1)
            found = linprog(cost, A_eq=np.vstack([points.T, np.ones(count)]), b_eq=[*wanted, 1], bounds=(0, 1))
            assert found.status == 0
            out.write(line(case, points, wanted, found.x))
    with open(folder / "index_nearest.csv", "w") as out:
        out.write("case,colours,X Y Z of each,X Y Z wanted,least CIEDE2000\n")
        case = 0
        while case < 40:
            count = [2, 3, 4, 5, 7, 7, 9, 13][case % 8]
            points = colours(random, count)
            wanted = np.array([random.uniform(10, 90), random.uniform(-60, 70), random.uniform(-60, 80)])
            off = lambda areas: ciede2000(lab(areas @ points), wanted)
            one = {"type": "eq", "fun": lambda areas: areas.sum() - 1}
            better = lambda start: minimize(off, start, bounds=[(0, 1)] * count, constraints=one, tol=1e-12, options={"maxiter": 1000})
            found = [better(start) for start in [*random.dirichlet(np.ones(count), 12), *np.eye(count)]]
            for _ in range(3):
                # From the best again, its areas of next to nothing set to nothing, and a little off it.
                best = min(found, key=lambda f: f.fun).x
                tidy = np.where(best > 1e-3, best, 0)
                starts = [tidy, *(0.9 * best + 0.1 * random.dirichlet(np.ones(count), 6))]
                found += [better(start / start.sum()) for start in starts]
            least = min(f.fun for f in found if abs(f.x.sum() - 1) < 1e-6)
            if (xyz(wanted) > 0.002).all() and least > 1:
                out.write(line(case, points, xyz(wanted), least))
                case += 1


if __name__ == "__main__":
    main()
