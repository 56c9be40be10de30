#!/usr/bin/env python3
"""What a whole running practice gives by QIDO-RS and WADO-RS, read by pydicom and highdicom.

    given.py PROGRAM

Starts the program on an invented practice (checks/addresses/run.py knows how), makes a key that reads films, searches all
objects and fetches each. Every file must be what the search said it is; every report is read by highdicom, its film and the
film of every drawing must be among what was found, pictures are unpacked, letters are PDF. The last line is a JSON summary;
the exit code is 1 if anything differs.
"""

import http.client
import io
import json
import re
import sys
import tempfile
import warnings
from collections import Counter
from pathlib import Path

import highdicom as hd
import numpy as np
import pydicom

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "addresses"))
from run import Practice  # noqa: E402

warnings.simplefilter("ignore")
ALL = "/dicomweb/instances?limit=1000"

faults = []


def fault(text):
    faults.append(text)
    print("   ✗", text)


def get(practice, key, path, accept):
    line = http.client.HTTPConnection("127.0.0.1", practice.port, timeout=120)
    line.request("GET", path, headers={"Authorization": f"Bearer {key}", "Accept": accept})
    answer = line.getresponse()
    body = answer.read()
    if answer.status != 200:
        fault(f"{path.split('?')[0].count('/')} parts deep: answered {answer.status}")
        return None
    return body


def signed(practice):
    """A letter of a visit, signed."""
    visit = f"/visit/{practice.things()['visit']}"
    fields = {"kind": "to-referrer", "recipient": "Dr Invented"}
    status, heads, _ = practice.ask("POST", f"{visit}/letters", fields)
    letter = re.split(r"[?#]", heads.get("location", ""))[0]
    if status == 303:
        status, _, _ = practice.ask("POST", letter, {"act": "sign", "revision": "1"})
    if status != 303:
        fault(f"no letter could be signed ({status})")


def value(found, tag):
    return found[tag]["Value"][0]


def at(found):
    return (
        f"/dicomweb/studies/{value(found, '0020000D')}/series/{value(found, '0020000E')}"
        f"/instances/{value(found, '00080018')}"
    )


def looked_at(ds, known, readings):
    """What this kind of object must hold. `known`: every identifier that was found."""
    if ds.Modality == "SR":
        report = hd.sr.srread(io.BytesIO(ds.whole))
        groups = report.content.get_image_measurement_groups()
        if len(groups) != 1:
            fault(f"highdicom finds {len(groups)} measurement groups in a report")
            return
        readings.append(len(groups[0].get_measurements()))
        referenced = ds.CurrentRequestedProcedureEvidenceSequence[0].ReferencedSeriesSequence[0].ReferencedSOPSequence[0]
        if referenced.ReferencedSOPInstanceUID not in known:
            fault("the film of a report is not among what was found")
    elif ds.Modality == "PR":
        referenced = ds.ReferencedSeriesSequence[0].ReferencedImageSequence[0]
        if referenced.ReferencedSOPInstanceUID not in known:
            fault("the film of a drawing is not among what was found")
        if not ds.GraphicAnnotationSequence[0].GraphicObjectSequence:
            fault("a drawing draws nothing")
    elif ds.Modality == "OT":
        picture = ds.pixel_array
        if picture.ndim != 3 or np.ptp(picture) < 100:
            fault("a picture shows nothing")
    elif ds.Modality == "DOC":
        if not ds.EncapsulatedDocument[: ds.EncapsulatedDocumentLength].startswith(b"%PDF-"):
            fault("a letter is no PDF")
    elif ds.pixel_array.ndim != 2:
        fault("a film is no grey picture")


def main():
    kinds, readings = Counter(), []
    with tempfile.TemporaryDirectory(prefix="tiebeam-given-") as name:
        practice = Practice(sys.argv[1], Path(name))
        try:
            practice.sign_in()
            key = practice.key()
            signed(practice)
            found = json.loads(get(practice, key, ALL, "application/dicom+json") or b"[]")
            again = json.loads(get(practice, key, ALL, "application/dicom+json") or b"[]")
            if [at(f) for f in found] != [at(f) for f in again]:
                fault("asked twice, something else is found")
            known = {value(f, "00080018") for f in found}
            for one in found:
                body = get(practice, key, at(one), "application/dicom; transfer-syntax=*")
                if body is None:
                    continue
                ds = pydicom.dcmread(io.BytesIO(body))
                ds.whole = body
                kinds[ds.Modality] += 1
                told = pydicom.Dataset.from_json(one)
                for keyword in ["SOPClassUID", "SOPInstanceUID", "SeriesInstanceUID", "StudyInstanceUID", "Modality", "PatientID", "PatientName"]:
                    if told.get(keyword) != ds.get(keyword):
                        fault(f"{ds.Modality}: the search tells another {keyword} than the object")
                (head,) = json.loads(get(practice, key, at(one) + "/metadata", "application/dicom+json") or b"[{}]")
                if pydicom.Dataset.from_json(head).get("Rows") != ds.get("Rows"):
                    fault(f"{ds.Modality}: the head tells another height than the object")
                looked_at(ds, known, readings)
        finally:
            practice.stop()
    for kind in ["SR", "PR", "OT", "DOC"]:
        if not kinds[kind]:
            fault(f"nothing of the kind {kind} was found")
    print(json.dumps({"objects": dict(kinds), "readings": sum(readings), "faults": len(faults)}))
    sys.exit(1 if faults else 0)


main()
