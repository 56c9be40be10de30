"""What is linked into the program, against `licences.toml`: licences, where packages come from, banned packages.

    python checks/licences.py

Reads `cargo metadata` of the workspace. A licence expression is read by the library license-expression, by the SPDX
rules; it is met if every part joined by AND, and one of those joined by OR, is allowed. A slash is the old way to
write OR. Ends with 1 if anything is refused.
"""

import json
import subprocess
import sys
import tomllib
from pathlib import Path

from license_expression import ExpressionError, get_spdx_licensing

SPDX = get_spdx_licensing()


def met(expression, allowed):
    """Whether the allowed licences meet an expression, and which of them it names."""
    tree = SPDX.parse(expression.replace("/", " OR "), validate=True, strict=True)
    named = set()

    def holds(node):
        name = str(node)
        if name in allowed:
            named.add(name)
            return True
        operator = getattr(node, "operator", "").strip()
        parts = [holds(part) for part in getattr(node, "args", ())]
        if not parts:
            return False
        return all(parts) if operator == "AND" else any(parts)

    return holds(tree), named


def faults_of(package, rules, seen):
    allowed = set(rules["licences"])
    named = f"{package['name']} {package['version']}"
    expression = package["license"]
    if not expression:
        yield f"{named} names no licence; expected one of licences.toml: leave the package out, or read its text"
    else:
        try:
            ok, found = met(expression, allowed)
            seen |= found
            if not ok:
                yield f"{named} is under {expression!r}, which licences.toml does not allow: leave the package out, or allow it"
        except ExpressionError as why:
            yield f"{named} has a licence that could not be read: {expression!r} ({why})"
    if package["name"] in rules["banned"]:
        yield f"{named} is banned: {rules['banned'][package['name']]}"
    source = package["source"]
    if source is not None:
        kind, _, address = source.partition("+")
        if kind != "registry" or address not in rules["registries"]:
            yield f"{named} comes from {source}; expected a registry of licences.toml"


def looks_at_its_own_rules(rules):
    """Every rule refuses a made-up package that breaks it; otherwise nothing below means anything."""
    fine = {"name": "made-up", "version": "1.0.0", "license": "MIT/Apache-2.0", "source": None}
    broken = [
        {"license": "GPL-3.0-only"},
        {"license": "MIT AND GPL-3.0-only"},
        {"license": None},
        {"license": "no licence at all"},
        {"name": next(iter(rules["banned"]))},
        {"source": "git+https://example.org/made-up"},
        {"source": "registry+https://example.org/made-up"},
    ]
    assert not list(faults_of(fine, rules, set()))
    for change in broken:
        assert list(faults_of(fine | change, rules, set())), change


def main():
    root = Path(__file__).resolve().parent.parent
    rules = tomllib.loads((root / "licences.toml").read_text())
    looks_at_its_own_rules(rules)
    target = rules["target"]
    said = subprocess.run(
        ["cargo", "metadata", "--locked", "--format-version", "1", "--filter-platform", target],
        cwd=root, check=True, capture_output=True, text=True,
    )
    known = json.loads(said.stdout)
    used = {node["id"] for node in known["resolve"]["nodes"]}
    packages = [p for p in known["packages"] if p["id"] in used]
    seen = set()
    faults = [fault for package in packages for fault in faults_of(package, rules, seen)]
    for fault in faults:
        print(fault)
    for licence in sorted(set(rules["licences"]) - seen):
        print(f"note: licences.toml allows {licence}, which no package needs")
    print(f"{len(packages)} packages, {len(faults)} refused")
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
