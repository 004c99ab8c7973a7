"""What another program sees in a TIFF of inks: python3 tiff.py FILE RAW

Writes the samples as tifffile unpacks them to RAW, native byte order, and prints shape, sample type, photometric interpretation, ink set,
number of inks, resolution and the inks' names, tabs between.
"""

import sys

try:
    import imagecodecs  # noqa: F401 (tifffile unpacks LZW by it)
    import tifffile
except ImportError as missing:
    print(missing)
    sys.exit(3)

path, raw = sys.argv[1:]
with tifffile.TiffFile(path) as file:
    page = file.pages[0]
    samples = page.asarray()
    samples.tofile(raw)
    tags = page.tags
    names = tags["InkNames"].value
    names = names.split("\0") if isinstance(names, str) else list(names)
    x, y = (tags[name].value for name in ("XResolution", "YResolution"))
    print(
        "x".join(map(str, samples.shape)), samples.dtype, int(page.photometric), int(tags["InkSet"].value),
        int(tags["NumberOfInks"].value), x[0] / x[1], y[0] / y[1], *[name for name in names if name], sep="\t",
    )
