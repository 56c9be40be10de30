#!/usr/bin/env python3
"""Writes the JPEG-LS streams that `crates/film/tests/reading.rs` unpacks, with an outside encoder.

    make_jpegls_fixtures.py crates/film/tests/data

The invented picture: a slope with a bright bar (as in the tests' example film), a flat patch that
gives runs, and grain from a small generator. The test rebuilds the same numbers and compares.
"""

import sys
from pathlib import Path

import jpeg_ls
import numpy as np

WIDTH, HEIGHT = 96, 64


def picture(bits):
    out = np.zeros((HEIGHT, WIDTH), np.uint32)
    state = 1
    for y in range(HEIGHT):
        for x in range(WIDTH):
            state = (state * 1103515245 + 12345) % 2**31
            value = 200 + 7 * x + 3 * y + (1500 if 20 <= y < 40 else 0) + (state >> 16) % 37
            if 30 <= x < 80 and y >= 45:
                value = 777
            out[y, x] = (value << 4 if bits == 16 else value) >> (12 - bits if bits < 12 else 0)
    return out.astype(np.uint8 if bits <= 8 else np.uint16)


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for bits, near in [(8, 0), (8, 2), (12, 0), (12, 3), (16, 0)]:
        stream = jpeg_ls.encode_array(picture(bits), near)
        back = jpeg_ls.decode(np.frombuffer(bytes(stream), np.uint8)).astype(int)
        assert np.abs(back - picture(bits).astype(int)).max() <= near
        (folder / f"{bits}-bits-near-{near}.jls").write_bytes(bytes(stream))


if __name__ == "__main__":
    main()
