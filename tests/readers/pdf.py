"""What other programs see in a PDF: python3 pdf.py FILE PIXELS_PER_INCH RAW

Writes, of each page's picture, the samples as qpdf (through pikepdf) unpacks them to RAW.samples-N, and the page as PDFium (through
pypdfium2) draws it at that resolution to RAW.drawn-N, three bytes a pixel. Prints a line for each page:

    width height      of the page in inches, its own units taken into account
    columns rows      of the drawing
    colour space      of the picture
    mistakes          of syntax that qpdf finds in the file, as their number
"""

import sys

try:
    import pikepdf
    import pypdfium2
except ImportError as missing:
    print(missing)
    sys.exit(3)

path, per_inch, raw = sys.argv[1], float(sys.argv[2]), sys.argv[3]
drawn = pypdfium2.PdfDocument(path)
with pikepdf.open(path) as file:
    mistakes = len(file.check_pdf_syntax())
    for number, page in enumerate(file.pages):
        unit = float(page.get("/UserUnit", 1))
        left, bottom, right, top = (float(side) for side in page.MediaBox)
        (picture,) = page.Resources.XObject.values()
        if picture.Filter == "/FlateDecode":
            samples = picture.read_bytes()
        else:
            samples = pikepdf.PdfImage(picture).as_pil_image().convert("L").tobytes()
        with open(f"{raw}.samples-{number}", "wb") as out:
            out.write(samples)
        columns = rows = 0
        if per_inch > 0:
            picture_drawn = drawn[number].render(scale=per_inch / 72, rev_byteorder=True).to_numpy()
            rows, columns, _ = picture_drawn.shape
            with open(f"{raw}.drawn-{number}", "wb") as out:
                out.write(picture_drawn[:, :, :3].tobytes())
        space = picture.ColorSpace
        space = str(space) if isinstance(space, pikepdf.Name) else " ".join(str(part) for part in list(space)[:2])
        space = space.replace("pikepdf.", "")
        width, height = (right - left) * unit / 72, (top - bottom) * unit / 72
        print(width, height, columns, rows, mistakes, space, sep="\t")
