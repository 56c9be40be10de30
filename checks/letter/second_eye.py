"""What does another checker say of the same files?

    python checks/letter/second_eye.py FILE.pdf [FILE.pdf ...]

The library pdfua (MIT) checks 16 of the 106 rules that a program can check of PDF/UA-1, by its own account, and
was written by somebody else. A rule that it could not apply to a file is no fault and is counted apart.
"""

import sys
from pathlib import Path

import pdfua


def main(paths):
    bad, checked = 0, 0
    for path in paths:
        report = pdfua.validate(path)
        checked += 1
        for finding in report.findings:
            bad += 1
            print(f"{Path(path).name}: {finding.rule_id}: {finding.message}")
    print(f"{checked} files, {bad} faults")
    return 1 if bad else 0


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("found no file; expected: second_eye.py FILE.pdf [FILE.pdf ...]")
    sys.exit(main(sys.argv[1:]))
