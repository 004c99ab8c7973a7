"""Reduces characterisation data of offset prints to what the tests need.

    apt-get download icc-profiles-free && dpkg-deb -x icc-profiles-free_*.deb data
    python3 characterisation.py data/usr/share/color/icc

writes fogra39l.csv and tr002.csv (device values and X, Y, Z of every patch) and solids.csv (the sixteen combinations of full inks in
nine sets). Patches measured more than once are averaged. No package but Python itself is needed.
"""

import re
import sys
from itertools import product
from pathlib import Path

HEAD = (
    "# Altered: reduced from {file} of Debian's icc-profiles-free (zlib licence, Copyright Kai-Uwe Behrmann) by characterisation.py\n"
    "# {source}; D50, 2 degrees; ink in per cent, X Y Z with Y = 100 for the perfect white\n"
)
SOURCES = {
    "FOGRA39L": "Fogra, characterisation data FOGRA39L, offset on coated paper",
    "TR002": "ANSI CGATS/SNAP TR 002-2007, coldset on newsprint",
}
SETS = ["FOGRA28L", "FOGRA29L", "FOGRA30L", "FOGRA39L", "FOGRA40L", "TR002", "TR003", "TR005", "TR006"]


def patches(path):
    text = path.read_text(encoding="latin-1")
    fields = re.search(r"BEGIN_DATA_FORMAT\s+(.*?)\s+END_DATA_FORMAT", text, re.S).group(1).split()
    rows = re.search(r"BEGIN_DATA\s*\n(.*?)END_DATA\s", text, re.S).group(1).split("\n")
    column = [fields.index(f) for f in ("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K", "XYZ_X", "XYZ_Y", "XYZ_Z")]
    found = {}
    for row in rows:
        values = row.split()
        if values:
            picked = [float(values[c]) for c in column]
            found.setdefault(tuple(picked[:4]), []).append(picked[4:])
    return {ink: [sum(v) / len(v) for v in zip(*xyz)] for ink, xyz in found.items()}


def line(values):
    return ",".join(f"{v:.4f}".rstrip("0").rstrip(".") for v in values) + "\n"


def main(folder):
    here = Path(__file__).parent
    for name, source in SOURCES.items():
        with open(here / f"{name.lower()}.csv", "w") as out:
            out.write(HEAD.format(file=f"{name}.ti3", source=source) + "C,M,Y,K,X,Y,Z\n")
            for ink, xyz in patches(folder / f"{name}.ti3").items():
                out.write(line([*ink, *xyz]))
    with open(here / "solids.csv", "w") as out:
        source = "Fogra, characterisation data FOGRA28L to FOGRA40L; CGATS TR 002, TR 003, TR 005, TR 006"
        out.write(HEAD.format(file="the .ti3 files", source=source) + "set,C,M,Y,K,X,Y,Z\n")
        for name in SETS:
            found = patches(folder / f"{name}.ti3")
            for ink in product((0.0, 100.0), repeat=4):
                out.write(name + "," + line([*ink, *found[ink]]))


main(Path(sys.argv[1]))
