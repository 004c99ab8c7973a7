"""Small films and what they hold, computed with numpy, scipy and Pillow: the oracle of tests/film_reading.rs and tests/measured_films.rs.

Run in tests/reference:  python3 films.py
Writes films/*.pbm (patterns drawn here), foreign/*.tif and *.png (the same, as Pillow and libtiff write them), films.csv.
"""
import csv, os
import numpy as np
from PIL import Image
from scipy import ndimage

rng = np.random.default_rng(20)
y, x = np.mgrid[0:97, 0:131]
dots = np.hypot((x % 17) - 8, (y % 17) - 8) < 5.2
turned = np.cos((x * 0.9 + y * 0.436) * 0.45) + np.cos((-x * 0.436 + y * 0.9) * 0.45) > 0.35
films = {
    "dots": dots,
    "turned": turned,
    "holes": ~turned,
    "noise": rng.random((61, 77)) < 0.42,
    "sparse": rng.random((50, 200)) < 0.01,
}
EIGHT = np.ones((3, 3), int)

os.makedirs("films", exist_ok=True)
os.makedirs("foreign", exist_ok=True)
rows = []
for name, ink in films.items():
    h, w = ink.shape
    with open(f"films/{name}.pbm", "wb") as f:
        f.write(b"P4\n%d %d\n" % (w, h) + np.packbits(ink, axis=1).tobytes())
    row = {"film": name, "width": w, "height": h, "ink": int(ink.sum())}
    # Ink that touches at corners is one dot; what is bare then must not.
    for kind, picture, structure in (("dots", ink, EIGHT), ("holes", ~ink, None)):
        labels, count = ndimage.label(picture, structure)
        sizes = np.bincount(labels.ravel())[1:]
        border = np.unique(np.r_[labels[0], labels[-1], labels[:, 0], labels[:, -1]])
        cut = np.isin(np.arange(1, count + 1), border)
        row |= {f"{kind}_whole": int((~cut).sum()), f"{kind}_cut": int(cut.sum()),
                f"{kind}_whole_pixels": int(sizes[~cut].sum()), f"{kind}_largest": int(sizes.max())}
    # Distance of every bare pixel's centre to the nearest ink pixel's, pixels 10 x 20 um; and of ink to bare.
    for kind, picture in (("to_ink", ~ink), ("to_bare", ink)):
        d = ndimage.distance_transform_edt(picture, sampling=(20.0, 10.0))
        row |= {f"{kind}_sum": repr(float(d.sum())), f"{kind}_most": repr(float(d.max()))}
    rows.append(row)
with open("films.csv", "w", newline="") as f:
    writer = csv.DictWriter(f, rows[0].keys(), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)

black = Image.fromarray(~turned)  # True is white
black.save("foreign/group4.tif", compression="group4", dpi=(720, 720))
black.save("foreign/packbits.tif", compression="packbits", dpi=(720, 720))
black.save("foreign/lzw.tif", compression="tiff_lzw", dpi=(720, 720))
black.save("foreign/grey.png", dpi=(720, 720))
Image.fromarray((~turned).astype(np.uint8) * 255).save("foreign/eight_bits.png")
