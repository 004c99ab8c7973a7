"""Shapes, and what a disk leaves of them: scipy.ndimage.binary_erosion at sixteen times the pixels, for tests/choke.rs.

Shapes are drawn as formulas at 16 x 16 points a pixel. A disk of radius r pixels is one of 16 r points there, so parts of a pixel are whole points.
What is left is brought back by the mean of each pixel. Pictures are written as PNG: shape NAME.png, choked NAME-RR.png with r in tenths of a pixel.
`grey-R0.png` are grey erosions of `grey.png` by whole-pixel disks: all pixels whose centres lie within r.

    python3 tests/reference/choke.py        # needs numpy, scipy, Pillow

Made with scipy 1.17.1, numpy 2.4.6, Pillow 13.0. Made by the script; no rights of others.
"""

from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

FINE = 16
SIDE = 48
HERE = Path(__file__).parent / "choke"


def disk(radius):
    """Points whose centres lie within."""
    reach = int(np.ceil(radius))
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    return x * x + y * y <= radius * radius


def turned(degrees, x, y):
    a = np.radians(degrees)
    return x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a)


def shapes():
    centre = (np.arange(SIDE * FINE) + 0.5) / FINE - SIDE / 2
    x, y = np.meshgrid(centre, centre)
    u, v = turned(30, x, y)
    yield "disc", (x - 0.3) ** 2 + (y + 0.2) ** 2 < 17.4**2
    yield "square", (abs(x - 0.25) < 15.6) & (abs(y - 0.4) < 13.3)
    yield "turned", (abs(u) < 14.7) & (abs(v) < 11.2)
    angle = np.arctan2(y, x)
    yield "star", np.hypot(x, y) < 15.5 + 4.5 * np.cos(5 * angle + 0.4)
    yield "ring", (np.hypot(x, y) < 20.3) & (np.hypot(x - 1.4, y) > 9.2)


def coarse(fine):
    mean = fine.reshape(SIDE, FINE, SIDE, FINE).mean(axis=(1, 3))
    return np.round(mean * 255).astype(np.uint8)


def main():
    HERE.mkdir(exist_ok=True)
    for name, shape in shapes():
        Image.fromarray(coarse(shape)).save(HERE / f"{name}.png", optimize=True)
        for tenths in (3, 5, 10, 15, 20, 30):
            left = ndimage.binary_erosion(shape, disk(tenths / 10 * FINE), border_value=1)
            Image.fromarray(coarse(left)).save(HERE / f"{name}-{tenths:02}.png", optimize=True)
    # Grey, by whole-pixel disks.
    state = np.random.default_rng(5)
    noise = state.integers(0, 256, (SIDE, SIDE))
    smooth = ndimage.gaussian_filter(noise.astype(float), 3, mode="nearest")
    smooth = (smooth - smooth.min()) / (smooth.max() - smooth.min())
    grey = np.where(smooth > 0.5, np.round(80 + 175 * smooth), 0).astype(np.uint8)
    Image.fromarray(grey).save(HERE / "grey.png", optimize=True)
    for radius in range(1, 7):
        left = ndimage.grey_erosion(grey, footprint=disk(radius), mode="nearest")
        Image.fromarray(left).save(HERE / f"grey-{radius}0.png", optimize=True)


main()
