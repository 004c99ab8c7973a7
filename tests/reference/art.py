"""Small art files and what they hold: an outside answer for the reader of art.

    python3 art.py          # needs numpy and Pillow (with LittleCMS); writes art/ and art.csv

Pillow writes the files and reads them back (orientation by ImageOps.exif_transpose). Profiles are built here from the ICC's
format (ICC.1:2010): two RGB profiles of three primaries and a curve, one with a table, one grey, and heads of kinds that are to
be refused. What they make of a colour is computed twice: here in double precision from the format's formulas (16 bits), and by
LittleCMS through ImageCms (8 bits); the script fails if the two differ by more than a level of 255.
"""

import csv
import io
import pathlib
import struct
import zlib

import numpy as np
from PIL import Image, ImageCms, ImageOps

HERE = pathlib.Path(__file__).parent
OUT = HERE / "art"
D50 = np.array([0.9642, 1.0, 0.8249])
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def colorants(primaries, white):
    """Columns are the primaries' XYZ under D50 (Bradford), white adding up to D50."""
    xyz = lambda x, y: np.array([x / y, 1, (1 - x - y) / y])
    m = np.array([xyz(*p) for p in primaries]).T
    w = xyz(*white)
    m = m * np.linalg.solve(m, w)
    cone = np.diag((BRADFORD @ D50) / (BRADFORD @ w))
    return np.linalg.inv(BRADFORD) @ cone @ BRADFORD @ m


def s15(values):
    return b"".join(struct.pack(">i", round(v * 65536)) for v in np.ravel(values))


def xyz_tag(v):
    return b"XYZ \0\0\0\0" + s15(v)


def gamma_tag(g):
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(g * 256))


def table_tag(values):
    v = [round(x * 65535) for x in values]
    return b"curv\0\0\0\0" + struct.pack(f">I{len(v)}H", len(v), *v)


def para_tag(*p):
    kind = {1: 0, 3: 1, 4: 2, 5: 3, 7: 4}[len(p)]
    return b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + s15(p)


def text_tag(t):
    return b"text\0\0\0\0" + t.encode() + b"\0"


def desc_tag(t):
    return b"desc\0\0\0\0" + struct.pack(">I", len(t) + 1) + t.encode() + b"\0" + b"\0" * 78


def profile(space, tags, klass=b"mntr", pcs=b"XYZ ", version=0x02400000):
    tags = {b"desc": desc_tag("made for a test"), b"cprt": text_tag("no rights"), b"wtpt": xyz_tag(D50), **tags}
    head = struct.pack(">I4sI4s4s4s6H4s", 0, b"\0\0\0\0", version, klass, space, pcs, 2026, 1, 1, 0, 0, 0, b"acsp")
    head += b"\0" * (64 - len(head)) + struct.pack(">I", 1) + s15(D50) + b"\0" * 48
    at, body, index = 128 + 4 + 12 * len(tags), b"", b""
    for name, data in tags.items():
        data += b"\0" * (-len(data) % 4)
        index += name + struct.pack(">II", at + len(body), len(data))
        body += data
    whole = head + struct.pack(">I", len(tags)) + index + body
    return struct.pack(">I", len(whole)) + whole[4:]


def rgb_profile(matrix, curve, **kw):
    tags = {b"rXYZ": xyz_tag(matrix[:, 0]), b"gXYZ": xyz_tag(matrix[:, 1]), b"bXYZ": xyz_tag(matrix[:, 2])}
    return profile(b"RGB ", {**tags, b"rTRC": curve, b"gTRC": curve, b"bTRC": curve}, **kw)


def decode(v):
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def encode(v):
    v = np.clip(v, 0, 1)
    return np.where(v <= 0.0031308, v * 12.92, 1.055 * v ** (1 / 2.4) - 0.055)


SRGB = colorants([(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)], (0.3127, 0.3290))
WIDE = np.round(colorants([(0.68, 0.32), (0.21, 0.71), (0.15, 0.06)], (0.3127, 0.3290)) * 65536) / 65536
GAMMA = 563 / 256
TABLE = np.linspace(0, 1, 33) ** 1.8
SRGB_PARA = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)

WIDE_GAMMA = rgb_profile(WIDE, gamma_tag(GAMMA))
WIDE_PARA = rgb_profile(WIDE, para_tag(*SRGB_PARA), version=0x04200000)
WIDE_TABLE = rgb_profile(WIDE, table_tag(TABLE))
GREY_GAMMA = profile(b"GRAY", {b"kTRC": gamma_tag(1.8)})
LAB_PROFILE = profile(b"Lab ", {}, klass=b"spac", pcs=b"Lab ")


def lab16(xyz):
    t = xyz / D50
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    lab = np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], -1)
    # The encoding of lut16Type: 65280 is 100, 32768 is 0 of a and b.
    scaled = np.stack([lab[..., 0] * 652.8, lab[..., 1] * 256 + 32768, lab[..., 2] * 256 + 32768], -1)
    return np.clip(np.round(scaled), 0, 65535).astype(">u2")


def lut_profile():
    """A table of 17 steps a channel from codes of the wide space to L*a*b*."""
    n = 17
    v = np.linspace(0, 1, n)
    grid = np.stack(np.meshgrid(v, v, v, indexing="ij"), -1)
    clut = lab16((grid**GAMMA) @ WIDE.T)
    lut = b"mft2\0\0\0\0" + bytes([3, 3, n, 0]) + s15(np.eye(3)) + struct.pack(">HH", 2, 2)
    lut += struct.pack(">HH", 0, 65535) * 3 + clut.tobytes() + struct.pack(">HH", 0, 65535) * 3
    return profile(b"RGB ", {b"A2B0": lut}, klass=b"scnr", pcs=b"Lab ")


def to_srgb(codes, curve, matrix=None):
    """Codes 0…1 to sRGB codes 0…1 and how many pixels were clipped by more than half a level of 255."""
    light = curve(codes)
    if matrix is not None:
        light = light @ (np.linalg.inv(SRGB) @ matrix).T
    low, high = -0.5 / 255 / 12.92, decode(np.float64(255.5 / 255))
    out = ((light < low) | (light > high)).any(-1).sum()
    return encode(light), int(out)


def png(path, samples, bits, colour, extra=()):
    """A PNG by its standard (ISO/IEC 15948): Pillow has no RGB of 16 bits."""
    h, w = samples.shape[:2]
    raw = samples.astype(">u2" if bits == 16 else "u1").reshape(h, -1)
    rows = b"".join(b"\0" + r.tobytes() for r in raw)
    chunk = lambda t, d: struct.pack(">I", len(d)) + t + d + struct.pack(">I", zlib.crc32(t + d))
    body = chunk(b"IHDR", struct.pack(">IIBBBBB", w, h, bits, colour, 0, 0, 0))
    body += b"".join(chunk(t, d) for t, d in extra) + chunk(b"IDAT", zlib.compress(rows, 9)) + chunk(b"IEND", b"")
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + body)


def iccp(icc):
    return b"iCCP", b"x\0\0" + zlib.compress(icc, 9)


def colours():
    """8 x 6 colours: the corners of the cube first, then an even spread."""
    corners = [(r, g, b) for r in (0, 255) for g in (0, 255) for b in (0, 255)]
    rest = [((37 * i) % 256, (91 * i + 40) % 256, (149 * i + 90) % 256) for i in range(40)]
    return np.array(corners + rest, np.uint8).reshape(6, 8, 3)


def lcms(rgb8, icc):
    source = ImageCms.ImageCmsProfile(io.BytesIO(icc))
    # Flags 0x100: without an 8-bit optimisation of LittleCMS.
    change = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "RGB", "RGB", 1, 0x100)
    return np.array(ImageCms.applyTransform(Image.fromarray(rgb8), change))


def main():
    OUT.mkdir(exist_ok=True)
    rows = []

    def expect(name, samples, tolerance, clipped=0, resolution=""):
        """Samples as the reader must give them, in 65535ths."""
        h, w, c = samples.shape
        text = " ".join(f"{v:04x}" for v in np.round(samples * 65535).astype(int).ravel())
        rows.append([name, w, h, c, tolerance, clipped, resolution, text])

    rgb = colours()
    v = rgb / 255.0
    gamma = lambda x: x**GAMMA
    table = lambda x: np.interp(x, np.linspace(0, 1, 33), np.round(TABLE * 65535) / 65535)

    # Profiles: the same colours by curve, kind of file and depth.
    for name, icc, curve in [
        ("gamma", WIDE_GAMMA, gamma),
        ("para", WIDE_PARA, decode),
        ("table", WIDE_TABLE, table),
    ]:
        want, clipped = to_srgb(v, curve, WIDE)
        assert abs(lcms(rgb, icc) - want * 255).max() < 1.0, name
        Image.fromarray(rgb).save(OUT / f"{name}.png", icc_profile=icc, dpi=(300, 300))
        expect(f"{name}.png", want, 3, clipped, "300")
        Image.fromarray(rgb).save(OUT / f"{name}.tif", icc_profile=icc, dpi=(200, 200), compression="tiff_lzw")
        expect(f"{name}.tif", want, 3, clipped, "200")
    fine = np.random.default_rng(5).integers(0, 65536, (6, 8, 3))
    want, clipped = to_srgb(fine / 65535.0, gamma, WIDE)
    png(OUT / "gamma16.png", fine, 16, 2, [iccp(WIDE_GAMMA)])
    expect("gamma16.png", want, 3, clipped)
    # With a table of colours only LittleCMS answers: to 2 levels of 255.
    icc = lut_profile()
    Image.fromarray(rgb).save(OUT / "lut.png", icc_profile=icc)
    expect("lut.png", lcms(rgb, icc) / 255.0, 514, -1)
    # LittleCMS's own sRGB changes nothing.
    Image.fromarray(rgb).save(OUT / "srgb.png", icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    expect("srgb.png", v, 0)
    grey = np.arange(48, dtype=np.uint8).reshape(6, 8) * 5
    want, _ = to_srgb(np.repeat(grey[..., None] / 255.0, 3, 2), lambda x: x ** (461 / 256))
    Image.fromarray(grey).save(OUT / "grey_gamma.png", icc_profile=GREY_GAMMA)
    expect("grey_gamma.png", want, 3)
    Image.fromarray(rgb).resize((32, 24), 0).save(
        OUT / "gamma.jpg", icc_profile=WIDE_GAMMA, quality=97, subsampling=0, dpi=(150, 150))
    back = np.array(Image.open(OUT / "gamma.jpg")) / 255.0
    want, clipped = to_srgb(back, gamma, WIDE)
    # JPEG decoders differ by a level or two; in the dark the curves make more of it.
    expect("gamma.jpg", want, 6 * 257, -1, "150")

    # Kinds of pixels.
    Image.fromarray(grey).save(OUT / "grey.tif")
    expect("grey.tif", np.repeat(grey[..., None] / 255.0, 3, 2), 0)
    Image.fromarray(grey.astype(np.uint16) * 1000).save(OUT / "grey16.png")
    expect("grey16.png", np.repeat((grey.astype(int) * 1000 % 65536)[..., None] / 65535, 3, 2), 0)
    alpha = np.linspace(0, 255, 48).astype(np.uint8).reshape(6, 8, 1)
    rgba = np.concatenate([rgb, alpha], 2)
    Image.fromarray(rgba).save(OUT / "alpha.png")
    expect("alpha.png", rgba / 255.0, 0)
    Image.fromarray(rgba).save(OUT / "alpha.tif")
    expect("alpha.tif", rgba / 255.0, 0)
    Image.fromarray(np.concatenate([grey[..., None], alpha], 2)).save(OUT / "grey_alpha.png")
    expect("grey_alpha.png", np.concatenate([grey[..., None]] * 3 + [alpha], 2) / 255.0, 0)
    held = np.round(rgb * (alpha / 255.0)).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(np.concatenate([held, alpha], 2)).save(file, "TIFF")
    # Pillow marks alpha as unassociated (2); the same file with associated alpha (1).
    data = file.getvalue()
    mark = struct.pack("<HHII", 338, 3, 1, 2)
    assert data.count(mark) == 1
    (OUT / "premultiplied.tif").write_bytes(data.replace(mark, struct.pack("<HHII", 338, 3, 1, 1)))
    own = np.where(alpha > 0, np.minimum(held / np.maximum(alpha, 1), 1), 0)
    expect("premultiplied.tif", np.concatenate([own, alpha / 255.0], 2), 129)
    few = Image.fromarray(rgb).quantize(7)
    few.info.pop("transparency", None)
    few.save(OUT / "palette.png", transparency=2)
    expect("palette.png", np.array(Image.open(OUT / "palette.png").convert("RGBA")) / 255.0, 0)

    # Orientation.
    for turn in range(1, 9):
        exif = Image.Exif()
        exif[0x112] = turn
        Image.fromarray(rgb).save(OUT / f"turn{turn}.png", exif=exif)
        upright = ImageOps.exif_transpose(Image.open(OUT / f"turn{turn}.png"))
        expect(f"turn{turn}.png", np.array(upright) / 255.0, 0)
    Image.fromarray(rgb).save(OUT / "turn6.tif", tiffinfo={274: 6}, dpi=(100, 200))
    expect("turn6.tif", np.array(ImageOps.exif_transpose(Image.open(OUT / "turn6.tif"))) / 255.0, 0, 0, "200x100")
    exif = Image.Exif()
    exif[0x112] = 8
    Image.fromarray(rgb).resize((32, 24), 0).save(OUT / "turn8.jpg", exif=exif, quality=97, subsampling=0)
    expect("turn8.jpg", np.array(ImageOps.exif_transpose(Image.open(OUT / "turn8.jpg"))) / 255.0, 3 * 257)

    # To be refused.
    Image.fromarray(rgb).convert("CMYK").save(OUT / "refused_cmyk.jpg")
    Image.fromarray(rgb).convert("CMYK").save(OUT / "refused_cmyk.tif")
    lab = ImageCms.profileToProfile(
        Image.fromarray(rgb), ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB")
    lab.save(OUT / "refused_lab.tif")
    Image.fromarray(rgb).save(OUT / "refused_lab_profile.png", icc_profile=LAB_PROFILE)
    Image.fromarray(rgb).save(OUT / "refused_grey_profile.png", icc_profile=GREY_GAMMA)
    Image.fromarray(np.float32(grey)).save(OUT / "refused_float.tif")
    few.save(OUT / "refused_palette.tif")

    with open(HERE / "art.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow("file width height channels tolerance clipped resolution samples".split())
        out.writerows(rows)


main()
