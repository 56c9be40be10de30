"""Runs the checks against things outside the project and prints their figures.

    python checks/figures.py NAME

One line `FIGURE {json}` (accuracy, agreement) or `BENCH {json}` (speed) for each number: name, value,
unit, goal, holds. `cargo xtask figures` and `cargo xtask bench` collect them. The programs measured are the
examples and the binary that `cargo build --workspace --bins --examples` leaves in the target folder.
"""

import importlib.util
import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug"
PYTHON = sys.executable


def example(name):
    return str(TARGET / "examples" / name)


def tiebeam():
    return str(TARGET / "tiebeam")


def run(arguments, **more):
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False, **more)
    return done.returncode, done.stdout, done.stderr


def say(kind, name, value, unit, goal, holds, **more):
    print(f"{kind} " + json.dumps({"name": name, "value": value, "unit": unit, "goal": goal, "holds": bool(holds), **more}))


def figure(name, value, unit, goal, holds, **more):
    say("FIGURE", name, value, unit, goal, holds, **({"more": more} if more else {}))


def bench(name, ours, reference, unit, goal, holds, ratio=None, **more):
    say("BENCH", name, ours, unit, goal, holds, ours=ours, reference=reference, ratio=ratio, **({"more": more} if more else {}))


def second():
    """Readings, their errors and the agreement figures in numpy and scipy."""
    code, cases, fault = run([example("cases")])
    if code:
        sys.exit(f"the example 'cases' failed: {fault}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cases.json"
        path.write_text(cases)
        code, text, fault = run([PYTHON, "checks/reading/second.py", str(path)])
    print(text.rstrip())
    if fault:
        print(fault.rstrip())
    for what, miss in re.findall(r"largest difference of ([^:]+): ([0-9.e+-]+)", text):
        figure(f"second implementation, largest difference of {what}", float(miss), "unit of the measure, or share", "within the tolerance stated in checks/reading/second.py", code == 0)
    found = re.search(r"tables of agreement\n\s+largest difference: ([0-9.e+-]+)", text)
    if found:
        figure("second implementation, largest difference of the agreement figures", float(found[1]), "", "< 1e-6", code == 0 and float(found[1]) < 1e-6)
    if code or not found:
        figure("second implementation ran to its end", code, "exit status", "0", False)


def pydicom():
    """Every greyscale file of pydicom's sets, stored value by stored value."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "summary.json"
        code, text, fault = run([PYTHON, "checks/film/pydicom_check.py", example("stored_values"), "--json", str(path)])
        if not path.is_file():
            sys.exit(f"the check did not finish: {text[-800:]} {fault[-800:]}")
        s = json.loads(path.read_text())
    figure("pydicom: files that differ", len(s["differing"]), "files", "0", not s["differing"] and code == 0, **s)
    figure("pydicom: files with the same stored values", s["equal"], "files", "every grey file that is not refused; lossy ones are named", s["equal"] > 0)
    figure("pydicom: files refused with a sentence", s["refused_with_sentence"], "files", "the rest", s["refused_with_sentence"] > 0)
    figure("pydicom: panics", s["panics_caught"], "panics", "0", s["panics_caught"] == 0)


def meshes():
    found = importlib.util.find_spec("myo_sim")
    if found is None or not found.submodule_search_locations:
        sys.exit("found no Python package myo-sim; run `cargo xtask setup`")
    return Path(found.submodule_search_locations[0]) / "models" / "meshes"


def bones():
    """The phantom's bones beside the separable foot bones of myo-sim (Apache-2.0)."""
    with tempfile.TemporaryDirectory() as folder:
        code, text, fault = run([example("compare_bones"), str(meshes()), folder])
        if code:
            sys.exit(f"compare_bones failed: {fault}")
        table = json.loads(text)
        summary = Path(folder) / "summary.json"
        _, text, fault = run([PYTHON, "checks/phantom/mesh_readings.py", folder, "--json", str(summary)])
        print(text.rstrip())
        if not summary.is_file():
            sys.exit(f"mesh_readings.py did not finish: {fault[-800:]}")
        readings = json.loads(summary.read_text())
        films = sorted(Path(folder).glob("*.dcm"))
        opened = 0
        for film in films:
            code, _, _ = run(["dciodvfy", str(film)])
            opened += code == 0
    for row in table["bones"]:
        name, ratio = row["bone"], row["length_ratio"]
        long_bone = name.startswith(("calcaneus", "metatarsal", "mt"))
        # Fifteen percent: one invented foot beside one other person's; bones differ that much between people.
        # The meshes' small tarsal bones are coarse and too small (80 to 200 triangles, joint gaps of 5 mm and
        # more where 2 to 4 mm are usual), so the phantom's may be up to a third longer than those.
        low, high = (0.85, 1.15) if long_bone else (0.85, 1.34)
        figure(f"bone length over the mesh's: {name}", ratio, "ratio", f"{low} to {high}", low <= ratio <= high, **row)
    figure("films drawn straight from outside meshes that the DICOM validator accepts", opened, f"of {len(films)} films", "all", len(films) > 0 and opened == len(films))
    mesh_readings(readings)


def mesh_readings(films):
    """What was read from films of outside meshes beside numpy on the points in space; see mesh_readings.py."""
    # Rounding and the ten digits and more that the DICOM file keeps of the scale; a wrong axis is far beyond.
    limit = 1e-6
    for words, units in (("angles", ("deg",)), ("lengths and shares", ("mm", "%", "ratio"))):
        misses = [d["difference"] for f in films for d in f["differences"].values() if d["unit"] in units]
        worst = max(misses, default=None)
        figure(f"films of outside meshes: {words} read, largest difference from numpy on the points in space", worst, ", ".join(units), f"< {limit}", worst is not None and worst < limit, readings=len(misses))
    worst = max(f["projection_px"] for f in films)
    figure("films of outside meshes: points projected a second time, largest difference", worst, "pixels", f"< {limit}", worst < limit)
    wrong = [f["film"] for f in films if f["wrongly_read"] or f["wrongly_refused"] or f["not_answered"] or f["without_sentence"]]
    for f in films:
        holds = f["film"] not in wrong
        figure(f"{f['film']}: measures read", f["read"], f"of {f['read'] + f['refused']}", "those whose points are all there; the rest refused with a sentence", holds, points=f["points"], refused=f["refused"])


def solids():
    """Surfaces written here and read by trimesh and manifold3d, and the other way round."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "summary.json"
        code, text, fault = run([PYTHON, "checks/mesh/mesh_check.py", example("samples"), "--json", str(path)])
        if not path.is_file():
            sys.exit(f"the check did not finish: {text[-800:]} {fault[-800:]}")
        rows = json.loads(path.read_text())
    for way, words in (("written", "surfaces written, sound for trimesh and manifold3d"), ("read", "files of trimesh, read the same")):
        of_way = [r for r in rows if r["way"] == way]
        bad = [r for r in of_way if r["faults"]]
        figure(words, len(of_way) - len(bad), f"of {len(of_way)} files", "all", of_way and not bad and code == 0, bad=bad)


def dicom():
    """Phantom films against Debian's DICOM validator."""
    errors, films = 0, 0
    with tempfile.TemporaryDirectory() as folder:
        for side, more in (("right", []), ("left", ["--collapse", "0.6", "--ball"])):
            code, _, fault = run([tiebeam(), "phantom", "--out", folder, "--side", side, *more])
            if code:
                sys.exit(f"tiebeam phantom failed: {fault}")
        for film in sorted(Path(folder).glob("*.dcm")):
            films += 1
            _, out, err = run(["dciodvfy", str(film)])
            errors += sum(line.startswith("Error") for line in (out + err).splitlines())
    figure("dciodvfy errors in phantom films", errors, f"errors in {films} films", "0", errors == 0 and films == 8)


def records():
    """A killed process and a full disk."""
    code, text, fault = run(["cargo", "test", "--workspace", "--test", "kill", "--test", "full_disk", "--", "--nocapture"])
    for line in (text + fault).splitlines():
        found = re.search(r"(\d[\d,]*) acknowledged acts.*?(\d+) lost.*?(\d+) torn", line)
        if found:
            print(line.strip())
            lost = int(found[2]) + int(found[3])
            what = "killed" if "kill" in line.lower() else ("small file systems" if "file systems" in line else "file-size limit")
            figure(f"acts lost or torn, {what}", lost, f"of {found[1]} acknowledged", "0", lost == 0 and code == 0, line=line.strip())
    if code:
        figure("kill and full-disk tests", code, "exit status", "0", False)


def papers():
    """The demo's letters as tagged PDF."""
    with tempfile.TemporaryDirectory() as folder:
        code, _, fault = run([tiebeam(), "demo", "--no-serve", "--out", folder])
        if code:
            sys.exit(f"tiebeam demo failed: {fault}")
        for pdf in sorted(Path(folder).glob("*.pdf")):
            _, info, _ = run(["pdfinfo", str(pdf)])
            sound, _, _ = run(["qpdf", "--check", str(pdf)])
            tagged = re.search(r"Tagged:\s+yes", info) is not None
            pages = int(re.search(r"Pages:\s+(\d+)", info)[1])
            part = b"pdfuaid:part" in pdf.read_bytes()
            figure(f"{pdf.name}: tagged, PDF/UA-1 marked, sound", pages, "pages", "1 page for the sheet; tagged; qpdf finds no fault", tagged and sound == 0 and part and (pages == 1 or "sheet" not in pdf.name))


def bench_film():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "speed.json"
        code, text, fault = run([PYTHON, "checks/film/display_speed.py", example("display_speed"), "--json", str(path)])
        print(text.rstrip())
        if not path.is_file():
            sys.exit(f"display_speed.py failed: {fault[-800:]}")
        rows = json.loads(path.read_text())
    for row in rows["rows"]:
        ours, reference, ratio = row["ours_ms"], row["reference_ms"], row["ratio"]
        bench(f"film to display-ready 8 bits, {row['packing']}", ours, reference, "ms", ">= 3 x pydicom and numpy", ratio >= 3, ratio=ratio)


def bench_reading():
    with tempfile.TemporaryDirectory() as folder:
        ours, cases, out = (Path(folder) / n for n in ("ours.json", "cases.json", "out.json"))
        code, text, fault = run([example("speed")])
        if code:
            sys.exit(f"the example 'speed' failed: {fault}")
        ours.write_text(text)
        cases.write_text(run([example("cases"), "200"])[1])
        code, said, fault = run([PYTHON, "checks/reading/speed.py", str(cases), str(ours), str(out)])
        print(said.rstrip())
        if code:
            sys.exit(f"speed.py failed: {fault[-800:]}")
        result = json.loads(out.read_text())
        for row in json.loads(text):
            best, median = row["sheet_us"]["best"], row["sheet_us"].get("median")
            bench(f"all readings of one film with error, {row['view']}", best, None, "µs (fastest run)", "< 50 µs", best < 50, median_us=median)
    for row in result["views"]:
        bench(f"100,000 point sets, {row['view']}", row["ours_s"], row["reference_s"], "s", ">= 100 x a numpy Monte Carlo of 1,000 draws", row["ratio"] >= 100, ratio=row["ratio"], reference_timed_sets=row["reference_timed_sets"])
    bench("100,000 point sets, all views", sum(r["ours_s"] for r in result["views"]), sum(r["reference_s"] for r in result["views"]), "s", ">= 100 x", result["ratio"] >= 100, ratio=result["ratio"])


def bench_phantom():
    with tempfile.TemporaryDirectory() as folder:
        code, text, fault = run([example("films"), folder])
        if code:
            sys.exit(f"the example 'films' failed: {fault}")
    for view, seconds in re.findall(r"^([a-z-]+): ([0-9.]+) s", text, re.M):
        bench(f"phantom film of 7.2 million pixels, {view}", float(seconds), None, "s", "< 2 s on two cores", float(seconds) < 2)
    found = re.search(r"foot built in ([0-9.]+) s", text)
    if found:
        bench("phantom foot built", float(found[1]), None, "s", "< 1.5 s on two cores", float(found[1]) < 1.5)


COMMANDS = {
    "second": second, "pydicom": pydicom, "bones": bones, "solids": solids, "dicom": dicom, "records": records, "papers": papers,
    "bench-film": bench_film, "bench-reading": bench_reading, "bench-phantom": bench_phantom,
}

if __name__ == "__main__":
    wanted = sys.argv[1] if len(sys.argv) == 2 else ""
    if wanted not in COMMANDS:
        sys.exit(f"found {sys.argv[1:]}; expected one of {' '.join(COMMANDS)}")
    COMMANDS[wanted]()
