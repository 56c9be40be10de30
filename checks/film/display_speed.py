#!/usr/bin/env python3
"""Film bytes to display-ready 8-bit grey: the `film` crate against pydicom with numpy, same files,
same run, from bytes in memory.

    display_speed.py PATH/TO/display_speed [--json OUT.json] [--runs 7]

The reference does what a careful reader in Python does: `dcmread`, `pixel_array`,
`apply_modality_lut`, `apply_voi_lut`, scale to 8 bits. The film is an invented 2400 × 3000 picture of
16 bits with noise, written uncompressed, RLE, JPEG lossless, JPEG-LS and JPEG 2000 lossless. Both pictures are
compared: they may differ by one grey level where a half is rounded.
"""

import argparse
import io
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pydicom
from pydicom.dataset import FileDataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.pixels import apply_modality_lut, apply_voi_lut
from pydicom.uid import (
    ExplicitVRLittleEndian, JPEG2000Lossless, JPEGLSLossless, RLELossless,
)

COLUMNS, ROWS = 2400, 3000


def picture():
    """Smooth shapes with grain, 16 bits of 65,536 levels used from 2,000 to 50,000."""
    rng = np.random.default_rng(20260302)
    y, x = np.mgrid[0:ROWS, 0:COLUMNS].astype(np.float32)
    shape = 12000 * np.exp(-(((x - 1200) / 700) ** 2 + ((y - 1600) / 900) ** 2))
    bones = 9000 * (np.sin(x / 90) * np.cos(y / 130) > 0.4)
    grain = rng.normal(0, 150, (ROWS, COLUMNS)).astype(np.float32)
    return np.clip(6000 + shape + bones + grain, 0, 65535).astype(np.uint16)


def film(pixels):
    meta = FileMetaDataset()
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    meta.MediaStorageSOPClassUID = "1.2.840.10008.5.1.4.1.1.1.1"
    meta.MediaStorageSOPInstanceUID = "2.25.1"
    ds = FileDataset(None, {}, file_meta=meta, preamble=b"\0" * 128)
    ds.SOPClassUID, ds.SOPInstanceUID = meta.MediaStorageSOPClassUID, "2.25.1"
    ds.Modality, ds.PatientID = "DX", "INVENTED"
    ds.Rows, ds.Columns, ds.SamplesPerPixel = ROWS, COLUMNS, 1
    ds.PhotometricInterpretation = "MONOCHROME2"
    ds.BitsAllocated, ds.BitsStored, ds.HighBit, ds.PixelRepresentation = 16, 16, 15, 0
    ds.RescaleSlope, ds.RescaleIntercept = "1", "0"
    ds.WindowCenter, ds.WindowWidth = "16000", "24000"
    ds.ImagerPixelSpacing = ["0.1", "0.1"]
    ds.PixelData = pixels.tobytes()
    ds["PixelData"].VR = "OW"
    return ds


def jpeg_lossless(pixels):
    """JPEG lossless, first-order prediction (T.81 annex H), written here: no Python encoder offers it."""
    values = pixels.astype(np.int32)
    predicted = np.empty_like(values)
    predicted[:, 1:] = values[:, :-1]
    predicted[1:, 0] = values[:-1, 0]
    predicted[0, 0] = 1 << 15
    difference = ((values - predicted + 32768) & 0xFFFF) - 32768
    size = np.zeros(difference.shape, np.int64)
    magnitude = np.abs(difference)
    for bits in range(16):
        size[magnitude >= 1 << bits] = bits + 1
    # One code of five bits for each of the 17 sizes: valid Huffman, if not the shortest.
    extra = np.where(difference < 0, difference - 1, difference) & ((1 << size) - 1)
    extra = np.where(size == 16, 0, extra)
    width = 5 + np.where(size == 16, 0, size)
    code = (size << np.where(size == 16, 0, size)) | extra
    lengths, codes = width.ravel(), code.ravel()
    ends = np.cumsum(lengths)
    bits = np.zeros(int(ends[-1]) + (-int(ends[-1])) % 8, np.uint8)
    bits[int(ends[-1]):] = 1
    for bit in range(int(lengths.max())):
        here = lengths > bit
        bits[ends[here] - 1 - bit] = (codes[here] >> bit) & 1
    data = np.packbits(bits).tobytes().replace(b"\xff", b"\xff\x00")
    be = lambda n: int(n).to_bytes(2, "big")  # noqa: E731
    table = bytes([0, *[0, 0, 0, 0, 17], *[0] * 11, *range(17)])
    return (
        b"\xff\xd8" + b"\xff\xc3" + be(11) + bytes([16]) + be(ROWS) + be(COLUMNS) + bytes([1, 1, 0x11, 0])
        + b"\xff\xc4" + be(2 + len(table)) + table
        + b"\xff\xda" + be(8) + bytes([1, 1, 0, 1, 0, 0]) + data + b"\xff\xd9"
    )


def files(folder):
    pixels = picture()
    for name, syntax in [
        ("uncompressed", None), ("RLE", RLELossless), ("JPEG lossless", "1.2.840.10008.1.2.4.70"),
        ("JPEG-LS", JPEGLSLossless), ("JPEG 2000", JPEG2000Lossless),
    ]:
        ds = film(pixels)
        if name == "JPEG lossless":
            ds.PixelData = encapsulate([jpeg_lossless(pixels)])
            ds["PixelData"].VR = "OB"
            ds.file_meta.TransferSyntaxUID = syntax
        elif syntax:
            ds.compress(syntax, generate_instance_uid=False)
        path = folder / f"{name.replace(' ', '-')}.dcm"
        ds.save_as(path, enforce_file_format=True)
        yield name, path


def reference(data):
    ds = pydicom.dcmread(io.BytesIO(data))
    grey = apply_voi_lut(apply_modality_lut(ds.pixel_array, ds), ds)
    top = 2.0**ds.BitsStored - 1
    grey = np.rint(grey * (255.0 / top))
    if ds.PhotometricInterpretation == "MONOCHROME1":
        grey = 255 - grey
    return grey.astype(np.uint8)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("binary", help="the display_speed example")
    parser.add_argument("--json", help="write the figures there")
    parser.add_argument("--runs", type=int, default=7)
    arguments = parser.parse_args()

    rows, wrong = [], []
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for name, path in files(folder):
            data = path.read_bytes()
            times = []
            for _ in range(arguments.runs):
                start = time.perf_counter()
                theirs = reference(data)
                times.append((time.perf_counter() - start) * 1000)
            run = subprocess.run(
                [arguments.binary, str(arguments.runs), "--dump", str(folder), str(path)],
                capture_output=True, text=True, check=True,
            )
            ours = json.loads(run.stdout)
            mine = np.frombuffer((folder / "0.u8").read_bytes(), np.uint8).reshape(theirs.shape)
            off = int(np.abs(mine.astype(int) - theirs).max())
            middle = sorted(times)[len(times) // 2]
            rows.append({
                "packing": name, "bytes": len(data), "ours_ms": round(ours["middle_ms"], 1),
                "reference_ms": round(middle, 1), "ratio": round(middle / ours["middle_ms"], 2),
                "largest_grey_difference": off,
            })
            if off > 1:
                wrong.append(name)

    print(f"{'packing':14} {'MB':>6} {'ours ms':>9} {'numpy ms':>9} {'ratio':>7} {'grey off':>9}")
    for row in rows:
        print(f"{row['packing']:14} {row['bytes'] / 1e6:6.1f} {row['ours_ms']:9.1f} "
              f"{row['reference_ms']:9.1f} {row['ratio']:7.2f} {row['largest_grey_difference']:9}")
    result = {
        "what": "film bytes to 8-bit grey, 2400 x 3000, 16 bits, middle of the runs",
        "rows": rows, "pydicom": pydicom.__version__, "numpy": np.__version__,
        "machine": platform.processor() or platform.machine(), "cores": os.cpu_count(),
    }
    if arguments.json:
        Path(arguments.json).write_text(json.dumps(result, indent=1) + "\n")
    if wrong:
        sys.exit(f"the pictures differ by more than one grey level: {', '.join(wrong)}")


if __name__ == "__main__":
    main()
