#!/usr/bin/env python3
"""Writes the JPEG 2000 streams that `crates/film/src/dicom/j2k/tests.rs` unpacks, with an outside encoder
(OpenJPEG, through Pillow 13 and pylibjpeg-openjpeg).

    make_jpeg2000_fixtures.py crates/film/tests/data

The invented picture: a slope with a bright bar, a flat patch and grain from a small generator, of odd size.
The test rebuilds the same numbers and compares.
"""

import sys
from pathlib import Path

import numpy as np
from invented_picture import picture
from openjpeg.utils import encode_array
from PIL import Image

WIDTH, HEIGHT = 131, 93


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    plain = {"irreversible": False, "no_jp2": True}
    variants = {
        "16-bits": (16, {}),
        # Tiles so narrow that a side shrinks to one place are left to the other decoder; these do not.
        "8-bits-tiles-off-the-grid": (8, {
            "tile_size": (50, 40), "offset": (5, 3), "tile_offset": (1, 2), "num_resolutions": 3,
        }),
        "16-bits-layers-precincts-rlcp": (16, {
            "quality_mode": "rates", "quality_layers": [12, 4, 1], "progression": "RLCP",
            "codeblock_size": (16, 32), "precinct_size": (64, 32), "num_resolutions": 4,
        }),
        "16-bits-rpcl-precincts": (16, {
            "progression": "RPCL", "codeblock_size": (8, 64), "precinct_size": (32, 32), "num_resolutions": 3,
        }),
        "16-bits-cprl-plt-jp2": (16, {"progression": "CPRL", "plt": True, "no_jp2": False}),
        "16-bits-cut-short": (16, {"quality_mode": "rates", "quality_layers": [20, 6]}),
        "8-bits-one-resolution": (8, {"num_resolutions": 1}),
        "16-bits-irreversible": (16, {"irreversible": True, "quality_mode": "rates", "quality_layers": [3]}),
        "8-bits-irreversible-tiles": (8, {
            "irreversible": True, "quality_mode": "rates", "quality_layers": [8, 3], "tile_size": (71, 65),
            "num_resolutions": 4,
        }),
    }
    for name, (bits, options) in variants.items():
        values = picture(WIDTH, HEIGHT, bits)
        image = Image.fromarray(values) if bits == 8 else Image.frombytes("I;16", (WIDTH, HEIGHT), values.tobytes())
        image.save(folder / f"{name}.j2k", "JPEG2000", **{**plain, **options})
    signed = picture(WIDTH, HEIGHT, 12).astype(np.int16) - 1500
    (folder / "12-bits-signed.j2k").write_bytes(encode_array(signed, bits_stored=13, photometric_interpretation=2))


if __name__ == "__main__":
    main()
