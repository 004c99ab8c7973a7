"""Places on a square torus that are as far apart as possible: the seeds of src/screen/beside/seeds.rs, which it prints.

    pip install numpy scipy
    python3 seeds.py

From many random beginnings, the least distance is raised by linear programmes in small steps. In each arrangement the first place is
at the origin, each next one is the furthest from those before. Made with numpy 2.4 and scipy 1.17; some minutes.
"""

import numpy as np
from scipy.optimize import linprog

rng = np.random.default_rng(1)


def apart(p):
    d = p[:, None] - p[None]
    d -= np.round(d)
    d = np.hypot(d[..., 0], d[..., 1])
    np.fill_diagonal(d, 1.0)  # its own copies
    return d


def raised(p):
    k, step = len(p), 0.05
    while step > 1e-12:
        least = apart(p).min()
        rows, bounds = [], []
        for i in range(k):
            for j in range(i + 1, k):
                for copy in np.ndindex(3, 3):
                    v = p[i] - p[j] + np.array(copy) - 1
                    length = np.hypot(*v)
                    if length < least + 0.3:
                        row = np.zeros(2 * k + 1)
                        row[2 * i : 2 * i + 2], row[2 * j : 2 * j + 2], row[-1] = -v / length, v / length, 1
                        rows.append(row)
                        bounds.append(length)
        box = [(0, 0)] * 2 + [(-step, step)] * (2 * k - 2) + [(0, 1)]
        goal = np.zeros(2 * k + 1)
        goal[-1] = -1
        found = linprog(goal, A_ub=np.array(rows), b_ub=bounds, bounds=box)
        moved = p + found.x[:-1].reshape(k, 2)
        if apart(moved).min() > least + 1e-12:
            p = moved
        else:
            step /= 2
    return p


for k in range(1, 13):
    best = np.zeros((1, 2))
    for _ in range(0 if k == 1 else 60):
        p = raised(rng.random((k, 2)))
        if len(best) < k or apart(p).min() > apart(best).min() + 1e-9:
            best = p
    best = (best - best[0]) % 1
    d, order = apart(best), [0]
    np.fill_diagonal(d, 0)
    while len(order) < k:
        order.append(int(np.argmax(np.round(d[:, order].min(1), 9))))
    places = np.round(best[order], 5) % 1
    least = apart(places).min() if k > 1 else 1.0
    print(f"// {least:.4f} apart: dots touch at {k * np.pi * least**2 / 4:.3f} in all")
    print("&[" + ", ".join(f"[{x:.5f}, {y:.5f}]" for x, y in places) + "],", flush=True)
