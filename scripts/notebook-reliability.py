#!/usr/bin/env python3
"""Kills the program while it writes to a notebook, lets two write at once, and fills the disk.

    scripts/notebook-reliability.py target/debug/plumbfold [kills]

After each blow the notebook must open, SQLite must find nothing wrong with it (`log list` reads
every record), every throw that was told as written must be there, and what was written by one
command must be there whole or not at all. Prints counts; ends with 1 where something was lost.
"""

import json
import os
import random
import subprocess
import sys
import tempfile
import time

PROGRAM = os.path.abspath(sys.argv[1])
KILLS = int(sys.argv[2]) if len(sys.argv) > 2 else 300
random.seed(1)
faults = []


def run(book, *args, text=None):
    return subprocess.run(
        [PROGRAM, "log", *args, "--notebook", book], input=text, capture_output=True, text=True
    )


def ids(book):
    """Ids of all throws; the notebook must open."""
    ran = run(book, "list", "--all", "--kind", "throw", "--json")
    if ran.returncode != 0:
        faults.append(f"does not open: {ran.stderr.strip()}")
        return set()
    return {r["id"] for r in json.loads(ran.stdout)["records"]}


def killed(folder):
    """One command of 1 or 40 throws after another, each killed at some moment."""
    book = os.path.join(folder, "killed.db")
    run(book, "throw", "Gannet 5m")
    before, whole, none, told = ids(book), 0, 0, 0
    for k in range(KILLS):
        n = 40 if k % 2 else 1
        lines = "".join(f"Gannet {5 + j / 100}m\n" for j in range(n))
        writer = subprocess.Popen(
            [PROGRAM, "log", "throw", "-", "--notebook", book],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        writer.stdin.write(lines)
        writer.stdin.close()
        time.sleep(random.uniform(0.0, 0.06))
        writer.kill()
        said = [line.split()[0] for line in writer.stdout.read().splitlines() if line]
        writer.wait()
        after = ids(book)
        more = after - before
        if before - after:
            faults.append(f"kill {k}: {len(before - after)} records lost")
        if len(more) not in (0, n):
            faults.append(f"kill {k}: {len(more)} of {n} throws of one command written")
        if any(not any(i.startswith(s) for i in more) for s in said):
            faults.append(f"kill {k}: told as written and not there")
        whole, none, told = whole + (len(more) == n), none + (not more), told + bool(said)
        before = after
    print(f"killed {KILLS} times: {whole} commands written whole, {none} not at all, "
          f"{told} had said so; {len(before)} throws there")


def two_writers(folder):
    book = os.path.join(folder, "two.db")
    run(book, "throw", "Gannet 5m")
    began = time.time()
    write = f'for i in $(seq 60); do "{PROGRAM}" log throw Gannet 5m --notebook "{book}" || exit 1; done'
    both = [subprocess.Popen(["sh", "-c", write], stdout=subprocess.PIPE, text=True) for _ in "ab"]
    said = [line.split()[0] for w in both for line in w.communicate()[0].splitlines()]
    there = ids(book)
    lost = [s for s in said if not any(i.startswith(s) for i in there)]
    if any(w.returncode for w in both) or lost or len(there) != 121:
        faults.append(f"two writers: {len(there)} of 121 there, {len(lost)} lost")
    print(f"two writers at once: {len(said)} told as written, {len(there)} of 121 there, "
          f"{time.time() - began:.1f} s")


def full_disk(folder):
    """In a file system of 400 kB where one can be mounted, else under a limit of file size."""
    place = os.path.join(folder, "small")
    os.mkdir(place)
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", place], capture_output=True
    ).returncode == 0
    book = os.path.join(place, "full.db")
    lines = "".join(f"Gannet {5 + j / 1000}m stalled\n" for j in range(200))
    limit = "" if mounted else "ulimit -f 300; trap '' XFSZ; "
    said, refused, reason = 0, 0, ""
    try:
        for _ in range(30):
            command = f'{limit}"{PROGRAM}" log throw - --notebook "{book}"'
            ran = subprocess.run(["sh", "-c", command], input=lines, capture_output=True, text=True)
            if ran.returncode == 0:
                said += len(ran.stdout.splitlines())
            else:
                refused, reason = refused + 1, ran.stderr.strip().splitlines()[0]
        there = len(ids(book))
        if not refused or there != said:
            faults.append(f"full disk: {said} told as written, {there} there, {refused} refused")
        how = "tmpfs of 400 kB" if mounted else "limit of file size"
        print(f"full disk ({how}): {said} told as written, {there} there, {refused} commands "
              f"refused: {reason}")
    finally:
        if mounted:
            subprocess.run(["umount", place], check=False)


with tempfile.TemporaryDirectory() as folder:
    killed(folder)
    two_writers(folder)
    full_disk(folder)
for fault in faults:
    print("FAULT", fault)
sys.exit(bool(faults))
