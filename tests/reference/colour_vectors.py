"""Colours computed by general-purpose libraries: colour-science (spaces under D50, CIEDE2000) and scikit-image (L*a*b* under D65).

    pip install colour-science scikit-image
    python3 colour_vectors.py

writes colour_vectors.csv: pairs of sRGB codes; for the first X, Y, Z and L*a*b* under D50 (Bradford) and L*a*b* under D65; CIEDE2000
of the pair under D50. Made with colour-science 0.4.7 and scikit-image 0.26.0.
"""

from pathlib import Path

import colour
import numpy as np
from skimage.color import rgb2lab

D50 = np.array([0.9642, 1.0, 0.8249])  # ICC.1
D65_XY = np.array([0.3127, 0.3290])  # IEC 61966-2-1

rng = np.random.default_rng(2000)
one = rng.integers(0, 256, (240, 3))
step = np.where(np.arange(240)[:, None] % 2 == 0, rng.integers(-9, 10, (240, 3)), rng.integers(-255, 256, (240, 3)))
two = np.clip(one + step, 0, 255)
corners = np.array([[r, g, b] for r in (0, 255) for g in (0, 255) for b in (0, 255)])
one, two = np.vstack([one, corners]), np.vstack([two, corners[::-1]])

primaries = colour.normalised_primary_matrix(np.array([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]), D65_XY)
adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(colour.xy_to_XYZ(D65_XY), D50, transform="Bradford")


def xyz_d50(codes):
    light = colour.models.eotf_sRGB(codes / 255)
    return light @ primaries.T @ adapt.T


def lab(xyz):
    return colour.XYZ_to_Lab(xyz, illuminant=colour.XYZ_to_xy(D50))


first, second = xyz_d50(one), xyz_d50(two)
delta = colour.delta_E(lab(first), lab(second), method="CIE 2000")
d65 = rgb2lab(one[None] / 255, illuminant="D65", observer="2")[0]
with open(Path(__file__).parent / "colour_vectors.csv", "w") as out:
    out.write("r1,g1,b1,r2,g2,b2,X,Y,Z,L,a,b,L65,a65,b65,dE00\n")
    for codes in zip(one, two, first, lab(first), d65, delta):
        a, b, xyz, l50, l65, d = codes
        numbers = [*xyz, *l50, *l65, d]
        out.write(",".join(map(str, [*a, *b])) + "," + ",".join(f"{n:.10f}" for n in numbers) + "\n")
