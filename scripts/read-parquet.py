#!/usr/bin/env python3
"""Reads what `plumbfold log export --parquet` wrote with pyarrow and duckdb and holds both against the CSV.

    plumbfold log export --csv > n.csv; plumbfold log export --parquet n.parquet
    scripts/read-parquet.py n.parquet n.csv
"""

import csv
import sys

import duckdb
import pyarrow.parquet

parquet, table = sys.argv[1:]
rows = list(csv.DictReader(open(table, newline="", encoding="utf-8")))
arrow = pyarrow.parquet.read_table(parquet)
duck = duckdb.sql(f"select * from read_parquet('{parquet}')")
for name, got, columns in [("pyarrow", arrow.to_pylist(), arrow.column_names),
                           ("duckdb", [dict(zip(duck.columns, r)) for r in duck.fetchall()], duck.columns)]:
    # Every kind of record has its columns there, so that notebooks can be put under each other.
    extra = set(columns) - set(rows[0])
    assert set(rows[0]) <= set(columns) and all(a[key] is None for a in got for key in extra), name
    assert len(got) == len(rows), name
    for a, b in zip(got, rows):
        for key, cell in b.items():
            value = a[key]
            same = cell == "" if value is None else float(cell) == value if isinstance(value, float) else cell == value
            assert same, (name, key, cell, value)
    print(name, "agrees on", len(got), "records;", {str(t) for t in arrow.schema.types})
