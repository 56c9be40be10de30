"""A study's files in four engines: the same questions, the same answers.

    python checks/table/queries.py [FOLDER]

Without a folder the example `invented_cohort` of the target folder writes one. The reference is plain SQLite over the
CSV, filled by Python's own csv module; duckdb reads Parquet (folders by year) and CSV in SQL, polars and pandas read
both in their own words. Answers must agree within 1e-12 of their size: the engines add in different orders, and nothing
else may differ. Prints one line `FIGURE {json}` for each engine and file; ends with 1 if any disagrees.
"""

import csv
import json
import math
import os
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import duckdb
import numpy as np
import pandas as pd
import polars as pl

ROOT = Path(__file__).resolve().parent.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug"
TOLERANCE = 1e-12
TABLES = ("cohort", "readings")
COUNTED = ["m_calc_pitch", "age_years", "sex", "stage_decided", "rungs", "worn", "posture_total", "q_heel_rise_count", "stage_overruled"]

SQL = {
    "people and feet by year": """
        SELECT visit_year, count(DISTINCT person), count(*) FROM cohort GROUP BY visit_year""",
    "feet by stage decided on and sex": """
        SELECT stage_decided, sex, count(*) FROM cohort GROUP BY stage_decided, sex""",
    "mean pitch of the heel bone by side and year": """
        SELECT side, visit_year, count(m_calc_pitch), avg(m_calc_pitch), min(m_calc_pitch), max(m_calc_pitch)
        FROM cohort GROUP BY side, visit_year""",
    "what is missing": "SELECT " + ", ".join(f"count(*) - count({c})" for c in COUNTED) + " FROM cohort",
    "readings by measure and unit": """
        SELECT measure, unit, count(*), avg(value), avg(standard_error), max(method_version)
        FROM readings GROUP BY measure, unit""",
    "means weighted by error": """
        SELECT measure, sum(value / (standard_error * standard_error)) / sum(1.0 / (standard_error * standard_error))
        FROM readings WHERE stands AND finished AND standard_error > 0 GROUP BY measure""",
    "spread of a picture's readings": """
        SELECT measure, count(*), max(spread) FROM (
            SELECT picture, measure, side, max(value) - min(value) AS spread, count(*) AS n
            FROM readings WHERE finished GROUP BY picture, measure, side) AS p
        WHERE n > 1 GROUP BY measure""",
    "decisions against the report by year": """
        SELECT visit_year, sum(CASE WHEN stage_overruled THEN 1 ELSE 0 END), count(stage_overruled)
        FROM cohort GROUP BY visit_year""",
    "both tables together": """
        SELECT c.side, count(*), avg(r.value), avg(c.day_offset), sum(c.age_years)
        FROM readings r JOIN cohort c ON c.person = r.person AND c.visit_number = r.visit_number AND c.side = r.side
        WHERE r.measure = 'heel_to_upright' GROUP BY c.side""",
}


def polars_answers(cohort, readings):
    c, r = pl.col, readings
    weight = 1.0 / (c("standard_error") * c("standard_error"))
    finished = r.filter(c("finished"))
    spread = finished.group_by("picture", "measure", "side").agg(spread=c("value").max() - c("value").min(), n=pl.len())
    both = r.filter(c("measure") == "heel_to_upright").join(cohort, on=["person", "visit_number", "side"])
    return {
        "people and feet by year": cohort.group_by("visit_year").agg(c("person").n_unique(), pl.len()),
        "feet by stage decided on and sex": cohort.group_by("stage_decided", "sex").agg(pl.len()),
        "mean pitch of the heel bone by side and year": cohort.group_by("side", "visit_year").agg(
            n=c("m_calc_pitch").count(), mean=c("m_calc_pitch").mean(), low=c("m_calc_pitch").min(), high=c("m_calc_pitch").max()
        ),
        "what is missing": cohort.select(c(name).null_count() for name in COUNTED),
        "readings by measure and unit": r.group_by("measure", "unit").agg(
            n=pl.len(), mean=c("value").mean(), error=c("standard_error").mean(), version=c("method_version").max()
        ),
        "means weighted by error": finished.filter(c("stands") & (c("standard_error") > 0))
        .group_by("measure")
        .agg((c("value") * weight).sum() / weight.sum()),
        "spread of a picture's readings": spread.filter(c("n") > 1).group_by("measure").agg(pl.len(), c("spread").max()),
        "decisions against the report by year": cohort.group_by("visit_year").agg(
            n=c("stage_overruled").sum(), of=c("stage_overruled").count()
        ),
        "both tables together": both.group_by("side").agg(
            n=pl.len(), mean=c("value").mean(), day=c("day_offset").mean(), age=c("age_years").sum()
        ),
    }


def pandas_answers(cohort, readings):
    def grouped(frame, by, **what):
        return frame.groupby(by, dropna=False).agg(**what).reset_index()

    finished = readings[readings["finished"]]
    used = finished[finished["stands"] & (finished["standard_error"] > 0)].copy()
    used["weight"] = 1.0 / (used["standard_error"] * used["standard_error"])
    used["weighted"] = used["value"] * used["weight"]
    sums = grouped(used, ["measure"], top=("weighted", "sum"), bottom=("weight", "sum"))
    sums["mean"] = sums["top"] / sums["bottom"]
    spread = grouped(finished, ["picture", "measure", "side"], low=("value", "min"), high=("value", "max"), n=("value", "size"))
    spread["spread"] = spread["high"] - spread["low"]
    both = readings[readings["measure"] == "heel_to_upright"].merge(cohort, on=["person", "visit_number", "side"], suffixes=("_r", ""))
    overruled = cohort[["visit_year", "stage_overruled"]].copy()
    overruled["is_so"] = overruled["stage_overruled"].fillna(False).astype(bool)
    return {
        "people and feet by year": grouped(cohort, ["visit_year"], people=("person", "nunique"), feet=("person", "size")),
        "feet by stage decided on and sex": grouped(cohort, ["stage_decided", "sex"], n=("person", "size")),
        "mean pitch of the heel bone by side and year": grouped(
            cohort, ["side", "visit_year"], n=("m_calc_pitch", "count"), mean=("m_calc_pitch", "mean"), low=("m_calc_pitch", "min"), high=("m_calc_pitch", "max")
        ),
        "what is missing": pd.DataFrame([[int(cohort[name].isna().sum()) for name in COUNTED]]),
        "readings by measure and unit": grouped(
            readings, ["measure", "unit"], n=("value", "size"), mean=("value", "mean"), error=("standard_error", "mean"), version=("method_version", "max")
        ),
        "means weighted by error": sums[["measure", "mean"]],
        "spread of a picture's readings": grouped(spread[spread["n"] > 1], ["measure"], n=("spread", "size"), most=("spread", "max")),
        "decisions against the report by year": grouped(overruled, ["visit_year"], n=("is_so", "sum"), of=("stage_overruled", "count")),
        "both tables together": grouped(both, ["side"], n=("value", "size"), mean=("value", "mean"), day=("day_offset", "mean"), age=("age_years", "sum")),
    }


def plain(cell):
    """One spelling for all engines: None for missing, float for numbers."""
    if cell is None or cell is pd.NA or cell is pd.NaT:
        return None
    if isinstance(cell, (bool, np.bool_)):
        return float(cell)
    if isinstance(cell, (int, float, np.integer, np.floating)):
        return None if math.isnan(cell) else float(cell)
    return str(cell)


def rows(table):
    if isinstance(table, pl.DataFrame):
        table = table.rows()
    elif isinstance(table, pd.DataFrame):
        table = table.itertuples(index=False, name=None)
    all_rows = [tuple(plain(c) for c in row) for row in table]
    return sorted(all_rows, key=lambda row: [(c is None, c if isinstance(c, str) else "" if c is None else f"{c:.6g}") for c in row])


def apart(one, other):
    """The largest difference of two answers over its size; infinite where they are of another form."""
    if len(one) != len(other):
        return math.inf
    most = 0.0
    for a, b in zip(one, other):
        if len(a) != len(b):
            return math.inf
        for x, y in zip(a, b):
            if isinstance(x, float) and isinstance(y, float):
                most = max(most, abs(x - y) / max(abs(x), abs(y), 1e-300) if x != y else 0.0)
            elif x != y:
                return math.inf
    return most


def types(folder):
    told = json.loads((folder / "dictionary.json").read_text())["tables"]
    return {name: {c["name"]: c["type"] for c in told[name]} for name in TABLES}


def by_sqlite(folder, kinds):
    """The embedded engine: a table of typed columns, filled row by row."""
    db = sqlite3.connect(":memory:")
    db.execute("PRAGMA foreign_keys = off")
    affinity = {"text": "TEXT", "whole": "INTEGER", "number": "REAL", "truth": "INTEGER"}
    read = {"text": str, "whole": int, "number": float, "truth": lambda t: {"true": 1, "false": 0}[t]}
    for name in TABLES:
        columns = kinds[name]
        db.execute(f"CREATE TABLE {name} (" + ", ".join(f'"{c}" {affinity[k]}' for c, k in columns.items()) + ")")
        with open(folder / f"{name}.csv", newline="", encoding="utf-8") as file:
            lines = csv.reader(file, strict=True)
            head = next(lines)
            assert head == list(columns), "the CSV has other columns than the dictionary"
            marks = ", ".join("?" * len(head))
            for line in lines:
                assert len(line) == len(head), "a line of another length"
                values = [None if text == "" else read[columns[c]](text) for c, text in zip(head, line)]
                db.execute(f"INSERT INTO {name} VALUES ({marks})", values)
    return {question: rows(db.execute(sql).fetchall()) for question, sql in SQL.items()}


def by_duckdb(folder, kinds, parquet):
    db = duckdb.connect()
    named = {"text": "VARCHAR", "whole": "BIGINT", "number": "DOUBLE", "truth": "BOOLEAN"}
    for name in TABLES:
        if parquet:
            source = f"read_parquet('{folder}/{name}/*/*.parquet', hive_partitioning = true)"
        else:
            columns = json.dumps({c: named[k] for c, k in kinds[name].items()}).replace('"', "'")
            source = f"read_csv('{folder}/{name}.csv', header = true, auto_detect = false, quote = '\"', escape = '\"', columns = {columns})"
        db.execute(f"CREATE TABLE {name} AS SELECT * FROM {source}")
    return {question: rows(db.execute(sql).fetchall()) for question, sql in SQL.items()}


def by_polars(folder, kinds, parquet):
    named = {"text": pl.String, "whole": pl.Int64, "number": pl.Float64, "truth": pl.Boolean}
    frames = []
    for name in TABLES:
        if parquet:
            frames.append(pl.read_parquet(f"{folder}/{name}/**/*.parquet", hive_partitioning=True))
        else:
            frames.append(pl.read_csv(folder / f"{name}.csv", schema={c: named[k] for c, k in kinds[name].items()}))
    return {question: rows(answer) for question, answer in polars_answers(*frames).items()}


def by_pandas(folder, kinds, parquet):
    named = {"text": "string", "whole": "Int64", "number": "float64", "truth": "boolean"}
    frames = []
    for name in TABLES:
        if parquet:
            frame = pd.read_parquet(folder / name)
            frame["visit_year"] = frame["visit_year"].astype(int)
            frame = frame.astype({c: named[k] for c, k in kinds[name].items()})
        else:
            frame = pd.read_csv(folder / f"{name}.csv", dtype={c: named[k] for c, k in kinds[name].items()}, keep_default_na=False, na_values=[""])
        frames.append(frame)
    return {question: rows(answer) for question, answer in pandas_answers(*frames).items()}


def written():
    folder = Path(tempfile.mkdtemp(prefix="study-"))
    subprocess.run([str(TARGET / "examples" / "invented_cohort"), str(folder)], check=True, capture_output=True)
    return folder


def main():
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else written()
    kinds = types(folder)
    reference = by_sqlite(folder, kinds)
    for question, answer in reference.items():
        print(f"   {question}: {len(answer)} rows, the first {answer[0] if answer else 'none'}"[:160])
    empty = [q for q, answer in reference.items() if not answer]
    all_hold = not empty
    runs = [
        ("duckdb over Parquet", lambda: by_duckdb(folder, kinds, True)),
        ("duckdb over CSV", lambda: by_duckdb(folder, kinds, False)),
        ("polars over Parquet", lambda: by_polars(folder, kinds, True)),
        ("polars over CSV", lambda: by_polars(folder, kinds, False)),
        ("pandas over Parquet", lambda: by_pandas(folder, kinds, True)),
        ("pandas over CSV", lambda: by_pandas(folder, kinds, False)),
    ]
    for words, run in runs:
        answers = run()
        misses = {q: apart(reference[q], answers[q]) for q in SQL}
        worst = max(misses.values())
        holds = worst <= TOLERANCE and not empty
        all_hold &= holds
        for q, miss in misses.items():
            if miss > TOLERANCE:
                print(f"   {words}, {q}: apart by {miss}\n      {reference[q][:3]}\n      {answers[q][:3]}")
        shown = worst if math.isfinite(worst) else -1
        print("FIGURE " + json.dumps({
            "name": f"a study's tables, {words} against SQLite over CSV, {len(SQL)} questions",
            "value": shown, "unit": "of the value", "goal": "at most 1e-12", "holds": bool(holds),
        }))
    sys.exit(0 if all_hold else 1)


if __name__ == "__main__":
    main()
