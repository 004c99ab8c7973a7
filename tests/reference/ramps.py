"""Ramps of single inks out of characterisation data: X, Y, Z as measured, and tone values by the colorimetric form of ISO 12647-1.

    python3 ramps.py FOLDER     # with the .ti3 files of the Debian package icc-profiles-free; writes single_ink_ramps.csv

Repeats of one patch are averaged. The channel is X for cyan, Y for magenta and black, Z for yellow; 0 % is paper, 100 % solid.
"""

import sys
from pathlib import Path

SETS = ["FOGRA28L", "FOGRA29L", "FOGRA30L", "FOGRA39L", "FOGRA40L", "TR002", "TR003", "TR005", "TR006"]
INKS = {"C": 0, "M": 1, "Y": 2, "K": 1}


def patches(path):
    text = path.read_text(encoding="latin-1").split("BEGIN_DATA_FORMAT")[1]
    fields, rest = text.split("END_DATA_FORMAT")
    fields = fields.split()
    for line in rest.split("BEGIN_DATA")[1].split("END_DATA")[0].strip().splitlines():
        row = dict(zip(fields, line.split()))
        yield [float(row["CMYK_" + i]) for i in "CMYK"], [float(row["XYZ_" + i]) for i in "XYZ"]


def main(folder):
    with open(Path(__file__).parent / "single_ink_ramps.csv", "w") as out:
        out.write("dataset,channel,tint_pct,X,Y,Z,tone_value_pct\n")
        for name in SETS:
            data = list(patches(folder / f"{name}.ti3"))
            for ink, (letter, channel) in enumerate(INKS.items()):
                ramp = {}
                for cmyk, xyz in data:
                    if all(v == 0 for i, v in enumerate(cmyk) if i != ink):
                        ramp.setdefault(cmyk[ink], []).append(xyz)
                ramp = {t: [sum(v) / len(v) for v in zip(*repeats)] for t, repeats in sorted(ramp.items())}
                paper, solid = ramp[0.0][channel], ramp[100.0][channel]
                for tint, xyz in ramp.items():
                    tone = 100 * (paper - xyz[channel]) / (paper - solid)
                    values = ",".join(f"{v:.5f}" for v in xyz)
                    out.write(f"{name},{letter},{tint},{values},{tone:.4f}\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
