#!/usr/bin/env python3
"""Second reader: every greyscale file of pydicom's bundled set and of PyPI `pydicom-data`, compared
stored value by stored value with the `film` crate.

    pydicom_check.py PATH/TO/stored_values [--json OUT.json] [--table]

`stored_values` is the example binary of the `film` crate (`cargo build -p film --example
stored_values`). A file counts as

* equal      both readers give the same stored values (before any table or window);
* refused    our reader refuses it with a sentence, and the reason fits the file (colour, several
             frames, one bit, 32 bits, no picture, no DICOM, damage that pydicom refuses too);
* high bits  equal once the bits above BitsStored, which are no part of the value, are left out of
             pydicom's container (PS3.5 8.1.1);
* lossy      lossy JPEG and lossy JPEG 2000 only, within one grey level: two decoders of a lossy
             format may round the inverse transform differently, which their standards allow
             (T.81 A.3.3: a bound on the error of the cosine transform; T.800 annex F: the 9-7
             wavelet is computed in real numbers);
* differing  anything else; each is printed with its reason, and the exit code is 1.
"""

import argparse
import hashlib
import json
import subprocess
import sys
import tempfile
import warnings
from collections import Counter
from pathlib import Path

import numpy as np
import pydicom
from pydicom.uid import UID

warnings.simplefilter("ignore")


def folders():
    yield Path(pydicom.__file__).parent / "data"
    import data_store  # the module that pydicom-data installs

    yield Path(data_store.__file__).parent


def candidates():
    """Every file that could be a film: by content, not by name."""
    for folder in folders():
        for path in sorted(folder.rglob("*")):
            if not path.is_file() or path.suffix in {".py", ".pyc", ".md", ".txt", ".json", ".rst"}:
                continue
            yield path


class Reference:
    """What pydicom makes of a file."""

    def __init__(self, path):
        self.kind, self.values, self.note = "", None, ""
        try:
            ds = pydicom.dcmread(path, force=True)
        except Exception as error:
            self.kind, self.note = "unreadable", str(error)
            return
        self.syntax = getattr(getattr(ds, "file_meta", None), "TransferSyntaxUID", None)
        if "PixelData" not in ds:
            self.kind = "no pixels"
            return
        try:
            frames = int(ds.get("NumberOfFrames", 1) or 1)
        except Exception:
            frames = 1
        if int(ds.get("SamplesPerPixel", 1) or 1) != 1 or "MONOCHROME" not in str(
            ds.get("PhotometricInterpretation", "MONOCHROME2")
        ):
            self.kind = "colour"
        elif frames > 1:
            self.kind = "several frames"
        elif ds.get("BitsAllocated") not in (8, 16):
            self.kind = f"{ds.get('BitsAllocated')} bits"
        else:
            self.kind = "grey"
        if self.kind != "grey":
            return
        if self.syntax is None:
            # What pydicom itself needs to be told for a bare data set.
            from pydicom.dataset import FileMetaDataset

            if not hasattr(ds, "file_meta"):
                ds.file_meta = FileMetaDataset()
            implicit, little = ds.original_encoding
            ds.file_meta.TransferSyntaxUID = {
                (True, True): "1.2.840.10008.1.2",
                (False, True): "1.2.840.10008.1.2.1",
                (False, False): "1.2.840.10008.1.2.2",
            }[(bool(implicit), bool(little))]
        try:
            int(ds.get("NumberOfFrames", 1) or 1)
        except Exception:
            del ds["NumberOfFrames"]
        try:
            array = pydicom.pixels.pixel_array(ds, raw=True)
        except Exception as error:
            self.kind, self.note = "grey, not decoded by pydicom", str(error)
            return
        if array.ndim != 2:
            self.kind = "several frames"
            return
        self.values = array.astype("<i4")
        self.by_standard = conform(array, ds)


def conform(array, ds):
    """Stored values by the standard: BitsStored bits, sign-extended (PS3.5 8.1.1). Unused high bits
    of the container are no part of the value."""
    stored = int(ds.get("BitsStored", ds.BitsAllocated))
    high = int(ds.get("HighBit", stored - 1))
    if high < stored - 1 or high >= ds.BitsAllocated:
        high = stored - 1
    values = array.astype(np.int64) >> (high + 1 - stored)
    values &= (1 << stored) - 1
    if int(ds.get("PixelRepresentation", 0)) == 1:
        values = np.where(values >> (stored - 1) & 1, values - (1 << stored), values)
    return values.astype("<i4")


FITTING = {
    "colour": ("colour",),
    "several frames": ("frames",),
    "1 bits": ("one bit",),
    "32 bits": ("32 bits", "floating-point"),
    "64 bits": ("64 bits", "floating-point"),
    "None bits": ("no BitsAllocated", "32 bits", "holds no picture"),
    "no pixels": ("holds no picture", "not a film", "floating-point", "ends too early"),
    "unreadable": ("not a film", "ends too early", "damaged"),
    "grey, not decoded by pydicom": ("damaged", "ends too early", "says"),
}


def judge(reference, ours, dump):
    """(verdict, words)"""
    if not ours["ok"]:
        sentence = ours["refused"]
        fits = any(word in sentence for word in FITTING.get(reference.kind, ()))
        # Our sentence may name another true fault of a file that is no grey film anyway.
        if fits or (reference.kind not in ("grey",) and reference.values is None):
            return "refused", sentence
        return "differing", f"{reference.kind} for pydicom, refused here: {sentence}"
    if reference.values is None:
        return "ours only", f"{reference.kind}: {reference.note[:70]}"
    values = reference.values
    if (ours["rows"], ours["cols"]) != values.shape:
        return "differing", f"size {ours['rows']}x{ours['cols']} against {values.shape}"
    if hashlib.sha256(values.tobytes()).hexdigest() == ours["sha256"]:
        return "equal", ""
    mine = np.frombuffer(dump.read_bytes(), "<i4").reshape(values.shape)
    off = np.abs(mine.astype(np.int64) - values)
    words = f"{np.count_nonzero(off)} of {off.size} values, largest {off.max()}"
    if np.array_equal(mine, reference.by_standard):
        return "high bits", f"{words}: pydicom keeps the container's unused high bits"
    lossy = str(reference.syntax) in (
        "1.2.840.10008.1.2.4.50", "1.2.840.10008.1.2.4.51", "1.2.840.10008.1.2.4.91"
    )
    if lossy and off.max() <= 1:
        return "lossy", f"{words}: the inverse transform of a lossy format is rounded differently"
    return "differing", words


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("binary", help="the stored_values example")
    parser.add_argument("--json", help="write the summary there")
    parser.add_argument("--table", action="store_true", help="print every file")
    arguments = parser.parse_args()

    paths = list(candidates())
    with tempfile.TemporaryDirectory() as folder:
        listing = Path(folder) / "files.txt"
        listing.write_text("\n".join(map(str, paths)))
        run = subprocess.run(
            [arguments.binary, "--dump", folder, "--list", str(listing)],
            capture_output=True, text=True, check=False,
        )
        if run.returncode:
            print(run.stderr[-2000:])
            sys.exit("the reader under test failed")
        panics = run.stderr.count("panicked at")
        lines = [json.loads(line) for line in run.stdout.splitlines()]
        assert len(lines) == len(paths), "one answer for each file"

        rows, seen = [], set()
        for number, (path, ours) in enumerate(zip(paths, lines)):
            reference = Reference(path)
            verdict, words = judge(reference, ours, Path(folder) / f"{number}.i32")
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            syntax = UID(str(reference.syntax)).name if getattr(reference, "syntax", None) else "-"
            rows.append((path, reference.kind, syntax, verdict, words, digest not in seen))
            seen.add(digest)

    for path, kind, syntax, verdict, words, _ in rows:
        if arguments.table or verdict in ("differing", "lossy", "high bits", "ours only"):
            print(f"{verdict:10} {kind:16.16} {syntax[:34]:34} {path.name:34} {words}")
    counts = Counter(row[3] for row in rows)
    grey = [row for row in rows if row[1].startswith("grey")]
    by_syntax = Counter((row[2], row[3]) for row in grey)
    print()
    for (syntax, verdict), n in sorted(by_syntax.items()):
        print(f"{syntax[:48]:48} {verdict:10} {n:4}")
    summary = {
        "files": len(rows),
        "distinct": sum(row[5] for row in rows),
        "grey": len(grey),
        "grey_distinct": sum(row[5] for row in grey),
        "equal": counts["equal"],
        "equal_distinct": sum(row[5] for row in rows if row[3] == "equal"),
        "lossy_within_one": [row[0].name for row in rows if row[3] == "lossy"],
        "equal_but_for_unused_high_bits": [row[0].name for row in rows if row[3] == "high bits"],
        "refused_with_sentence": counts["refused"],
        "read_by_ours_only": [row[0].name for row in rows if row[3] == "ours only"],
        "differing": [f"{row[0].name}: {row[4]}" for row in rows if row[3] == "differing"],
        "panics_caught": panics,
        "pydicom": pydicom.__version__,
    }
    print(json.dumps(summary, indent=1))
    if arguments.json:
        Path(arguments.json).write_text(json.dumps(summary, indent=1) + "\n")
    sys.exit(1 if summary["differing"] else 0)


if __name__ == "__main__":
    main()
