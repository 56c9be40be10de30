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
from invented_picture import picture

WIDTH, HEIGHT = 96, 64


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for bits, near in [(8, 0), (8, 2), (12, 0), (12, 3), (16, 0)]:
        stream = jpeg_ls.encode_array(picture(WIDTH, HEIGHT, bits), near)
        back = jpeg_ls.decode(np.frombuffer(bytes(stream), np.uint8)).astype(int)
        assert np.abs(back - picture(WIDTH, HEIGHT, bits).astype(int)).max() <= near
        (folder / f"{bits}-bits-near-{near}.jls").write_bytes(bytes(stream))


if __name__ == "__main__":
    main()
