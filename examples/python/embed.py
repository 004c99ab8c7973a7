"""numpy arrays as plates and films, without copies, by ctypes alone.

    python embed.py path/to/libdotwright.so [film.png]      (or DOTWRIGHT_LIB=path python embed.py)
"""

import ctypes as c
import os
import sys

import numpy as np

OK, CANCELLED, FORMAT_PNG = 0, 6, 3
SAMPLE = {np.dtype(np.uint8): 0, np.dtype(np.uint16): 1, np.dtype(np.float32): 2}


def members(types):
    return [(name, kind) for kind, names in types for name in names.split()]


class Plate(c.Structure):
    _fields_ = members([
        (c.c_size_t, "struct_size"), (c.c_uint32, "sample sampling"), (c.c_void_p, "samples"),
        (c.c_size_t, "bytes stride width height"),
        (c.c_double, "plate_x_per_inch plate_y_per_inch film_x_per_inch film_y_per_inch"), (c.c_int64, "x y")])


class Film(c.Structure):  # dw_film and dw_film_out, which are laid out alike
    _fields_ = members([(c.c_size_t, "struct_size"), (c.c_void_p, "bits"), (c.c_size_t, "bytes stride width height")])


class Failure(Exception):
    pass


Progress = c.CFUNCTYPE(c.c_int32, c.c_uint64, c.c_uint64, c.c_void_p)
P, D, SIZE, U32, I64 = c.c_void_p, c.c_double, c.c_size_t, c.c_uint32, c.c_int64
CALLS = {
    "dw_request_new": [D, D, P], "dw_request_lines": [P, D], "dw_request_angle": [P, D], "dw_request_mode": [P, U32],
    "dw_screen_build": [P, P], "dw_screen_run_threaded": [P, P, I64, I64, P], "dw_film_count": [P, P],
    "dw_screen_write": [P, P, c.c_char_p, U32, D, D, Progress, P],
}


def load(path):
    """The library, its calls declared: undeclared, ctypes would cut pointers down to 32 bits."""
    library = c.CDLL(path)
    library.dw_last_error.restype = c.c_char_p
    for name, arguments in CALLS.items():
        call = getattr(library, name)
        call.argtypes, call.restype = arguments, c.c_int32
        call.errcheck = lambda status, *_: status if status in (OK, CANCELLED) else fail(library)
    for name in ("dw_request_free", "dw_screen_free"):
        getattr(library, name).argtypes, getattr(library, name).restype = [P], None
    if library.dw_version() >> 8 != 0x0001:
        raise Failure("this client is written for version 0.1")
    return library


def fail(library):
    raise Failure(library.dw_last_error().decode())


def span(array):
    """Bytes from an array's first to the end of its last, where rows lie one below the other."""
    if array.ndim != 2 or array.strides[1] != array.itemsize or array.strides[0] < array.shape[1] * array.itemsize:
        raise ValueError("rows of samples side by side are needed: np.ascontiguousarray makes them")
    return array.strides[0] * (array.shape[0] - 1) + array.shape[1] * array.itemsize


def plate(samples):
    """A description of an array, which must live as long as the description is used."""
    height, width = samples.shape
    return Plate(c.sizeof(Plate), SAMPLE[samples.dtype], 0, samples.ctypes.data, span(samples), samples.strides[0], width, height)


def film(bits, width):
    return Film(c.sizeof(Film), bits.ctypes.data, span(bits), bits.strides[0], width, bits.shape[0])


def main(path, target=None):
    library = load(path)
    request, screen = P(), P()
    try:
        library.dw_request_new(720.0, 720.0, c.byref(request))
        library.dw_request_lines(request, 45.0)
        library.dw_request_angle(request, 22.5)
        library.dw_screen_build(request, c.byref(screen))

        # A window of a larger array: its rows are strided, and the library reads them where they lie.
        page = np.tile(np.linspace(0, 1, 1000, dtype=np.float32), (800, 1))
        samples = page[100:700, 50:850]
        height, width = samples.shape
        bits = np.zeros((height, (width + 7) // 8), np.uint8)
        library.dw_screen_run_threaded(screen, c.byref(plate(samples)), 0, 0, c.byref(film(bits, width)))

        count = c.c_uint64()
        library.dw_film_count(c.byref(film(bits, width)), c.byref(count))
        ink = np.unpackbits(bits, axis=1, count=width)
        assert count.value == ink.sum() and abs(ink.mean() - samples.mean()) < 0.005
        print(f"{width} x {height} px, {100 * ink.mean():.2f} % ink; the plate's mean is {100 * samples.mean():.2f} %")

        if target:
            told = Progress(lambda done, total, user: print(f"{done} of {total} rows") or 0)
            library.dw_screen_write(screen, c.byref(plate(samples)), target.encode(), FORMAT_PNG, 720.0, 720.0, told, None)
        try:
            library.dw_request_lines(request, float("nan"))
        except Failure as refused:
            print("refused:", refused)
    finally:
        library.dw_screen_free(screen)
        library.dw_request_free(request)


if __name__ == "__main__":
    words = sys.argv[1:]
    main(os.environ.get("DOTWRIGHT_LIB") or words.pop(0), *words)
