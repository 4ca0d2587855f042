#!/usr/bin/env python3
"""Kills the program while it writes, lets two benches save into one folder, asks one bench much.

    scripts/reliability.py target/release/plumbfold [--kills 800] [--questions 10000]
                           [--page docs/reliability.md]

Needs nothing but Python 3 and Linux (/proc tells the memory). What must hold after each blow: a
file is as it was or as it should be, never torn; what was told as saved is there; the bench still
answers. Prints counts, and with `--page` the page that keeps them; ends with 1 after a fault.
"""

import argparse
import http.client
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

parser = argparse.ArgumentParser()
parser.add_argument("program", type=os.path.abspath)
parser.add_argument("--kills", type=int, default=800, help="kills of commands that write files")
parser.add_argument("--notebook-kills", type=int, default=300)
parser.add_argument("--saves", type=int, default=200, help="saves by each of two benches")
parser.add_argument("--clients", type=int, default=200)
parser.add_argument("--questions", type=int, default=10000)
parser.add_argument("--page", help="write the figures to this page")
ARGS = parser.parse_args()
HERE = os.path.dirname(os.path.abspath(__file__))
DESIGNS = os.path.join(HERE, "..", "designs")
random.seed(1)
faults, rows = [], []


def tell(what, how, found):
    rows.append((what, how, found))
    print(f"{what}: {found}", flush=True)


def design(name):
    with open(os.path.join(DESIGNS, name), "rb") as file:
        return file.read()


def read(path):
    try:
        with open(path, "rb") as file:
            return file.read()
    except FileNotFoundError:
        return None


def killed(folder):
    """Each command once to its end, which says what it should write; then killed again and again."""
    tidy = design("halyard.plane")
    untidy = tidy.replace(b"valley ", b"valley   ")
    spoilt = tidy + b"ballast clip 0.6 g at 150 mm behind nose\n"
    plane = os.path.join(folder, "halyard.plane")

    def output(name):
        return os.path.join(folder, name)

    def to(name, *command):
        return [*command, "-o", output(name), "--force"], output(name), tidy

    # The command, what it writes, and what the plane's file holds before.
    writers = {
        "format --write": (["format", "--write", plane], plane, untidy),
        "mend --write": (["mend", plane, "--apply", "1", "--write"], plane, spoilt),
        "template -o": to("sheet.pdf", "template", plane),
        "draw -o": to("plane.svg", "draw", plane, "--what", "sheet"),
        "model -o": to("plane.stl", "model", plane),
    }
    torn = whole = before = 0
    each = ARGS.kills // len(writers)
    for name, (command, target, start) in writers.items():
        old = start if target == plane else b"an older file\n"

        def lay():
            for path, data in ((plane, start), (target, old)):
                with open(path, "wb") as file:
                    file.write(data)
            if os.path.exists(plane + ".orig"):
                os.remove(plane + ".orig")

        lay()
        began = time.time()
        ran = subprocess.run([ARGS.program, *command], capture_output=True)
        took, new = time.time() - began, read(target)
        if ran.returncode != 0 or new == old:
            faults.append(f"{name}: {ran.stderr.decode().strip()[:200]}")
            continue
        for k in range(each):
            lay()
            writer = subprocess.Popen(
                [ARGS.program, *command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
            # Most kills fall where the file is written, towards the end.
            time.sleep(took * random.triangular(0.3, 1.1, 0.95))
            writer.kill()
            writer.wait()
            now = read(target)
            if now == new:
                whole += 1
            elif now == old:
                before += 1
            else:
                torn += 1
                faults.append(f"{name}, kill {k}: {len(now or b'')} bytes, neither old nor new")
    left = [f for f in os.listdir(folder) if f.endswith(".plumbfold-tmp")]
    tell(
        "Commands that write files",
        f"{each} kill -9 each of {', '.join(f'`{w}`' for w in writers)}",
        f"{torn} torn; {whole} written whole, {before} as before; {len(left)} unfinished files "
        "left beside, swept by a later write once ten minutes old",
    )


def notebook():
    ran = subprocess.run(
        [sys.executable, os.path.join(HERE, "notebook-reliability.py"), ARGS.program,
         str(ARGS.notebook_kills)], capture_output=True, text=True,
    )
    for line in ran.stdout.splitlines():
        what, _, found = line.partition(": ")
        if line.startswith("FAULT"):
            faults.append(line)
        else:
            tell("Notebook", what, found)


class Bench:
    """A served folder, and a cookie to ask it with."""

    def __init__(self, folder):
        self.process = subprocess.Popen(
            [ARGS.program, "serve", folder, "--no-open", "--port", "0"],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )
        for line in self.process.stdout:
            found = re.search(r"http://([\d.]+|localhost):(\d+)(/\S*token=\S+)", line)
            if found:
                break
        else:
            raise RuntimeError("the bench did not say where it is")
        self.port, entry = int(found[2]), found[3]
        threading.Thread(target=self.process.stdout.read, daemon=True).start()
        connection = self.connection()
        connection.request("GET", entry)
        answer = connection.getresponse()
        answer.read()
        self.cookie = answer.getheader("set-cookie").split(";")[0]

    def connection(self):
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)

    def ask(self, connection, path, question=None):
        here = f"127.0.0.1:{self.port}"
        headers = {"cookie": self.cookie, "origin": f"http://{here}",
                   "content-type": "application/json", "host": here}
        body = None if question is None else json.dumps(question)
        connection.request("GET" if body is None else "POST", path, body, headers)
        answer = connection.getresponse()
        return answer.status, answer.read()

    def memory_mb(self, which):
        with open(f"/proc/{self.process.pid}/status") as file:
            return int(re.search(rf"{which}:\s+(\d+)", file.read())[1]) / 1024


def two_benches(folder):
    """Two benches save into one file; each save says which version it has seen."""
    with open(os.path.join(folder, "shared.plane"), "wb") as file:
        file.write(design("halyard.plane"))
    benches = [Bench(folder), Bench(folder)]
    kept, refused, lost, lock = [], [], [], threading.Lock()
    text = design("halyard.plane").decode()

    def save(which):
        bench, connection = benches[which], benches[which].connection()
        for k in range(ARGS.saves):
            seen = json.loads(bench.ask(connection, "/api/file?name=shared.plane")[1])
            # What is there stays: each save adds a line of its own to what it has seen.
            mine = f"# {which} {k}"
            said, _ = bench.ask(connection, "/api/save", {
                "name": "shared.plane", "text": seen["text"] + mine + "\n",
                "version": seen["version"]})
            with lock:
                (kept if said == 200 else refused).append(mine)

    threads = [threading.Thread(target=save, args=(w,)) for w in (0, 1)]
    [t.start() for t in threads]
    [t.join() for t in threads]
    lines = set((read(os.path.join(folder, "shared.plane")) or b"").decode().splitlines())
    lost = [line for line in kept if line not in lines]
    if lost or not set(text.splitlines()) <= lines:
        faults.append(f"two benches: {len(lost)} saves lost")
    for bench in benches:
        bench.process.send_signal(signal.SIGINT)
        bench.process.wait()
    tell("Two benches, one file", f"{2 * ARGS.saves} saves, each of what it had seen and a line",
         f"{len(kept)} told as saved, {len(lost)} of them lost; {len(refused)} refused because the "
         "file had changed")


def asked_much(folder):
    with open(os.path.join(folder, "halyard.plane"), "wb") as file:
        file.write(design("halyard.plane"))
    bench = Bench(folder)
    text = design("halyard.plane").decode()
    times, bad, lock = [], [], threading.Lock()
    share = ARGS.questions // ARGS.clients

    def client(number):
        connection = bench.connection()
        for k in range(share):
            tip = 15 + (number * share + k) % 200 / 10
            question = {"text": re.sub(r"let tip\s*= [\d.]+ mm", f"let tip = {tip} mm", text),
                        "depth": "quick"}
            began = time.time()
            try:
                said = bench.ask(connection, "/api/analyse", question)[0]
            except (OSError, http.client.HTTPException) as error:
                said, connection = repr(error), bench.connection()
            with lock:
                times.append(time.time() - began)
                if said != 200:
                    bad.append(said)

    began = time.time()
    threads = [threading.Thread(target=client, args=(n,)) for n in range(ARGS.clients)]
    [t.start() for t in threads]
    [t.join() for t in threads]
    took = time.time() - began
    times.sort()
    at = lambda share: times[min(int(share * len(times)), len(times) - 1)] * 1e3
    peak = bench.memory_mb("VmHWM")
    alone = bench.ask(bench.connection(), "/api/version?name=halyard.plane")[0]
    if alone != 200:
        faults.append("the bench no longer answers")
    busy = [b for b in bad if b == 503]
    if len(busy) != len(bad):
        faults.append(f"load: {[b for b in bad if b != 503][:5]}")
    bench.process.send_signal(signal.SIGINT)
    bench.process.wait()
    tell("A bench asked much", f"{ARGS.clients} clients at once, {len(times)} questions of the whole "
         "chain at a slider's depth",
         f"{len(times) / took:.0f} a second; half answered in {at(0.5):.0f} ms, 99 of 100 in "
         f"{at(0.99):.0f} ms; {len(busy)} told that it is busy, {len(bad) - len(busy)} failed; "
         f"peak memory {peak:.0f} MB")


def refusals(folder):
    """What may not be written is refused, and says so."""
    plane = os.path.join(folder, "halyard.plane")
    link, locked = os.path.join(folder, "link.plane"), os.path.join(folder, "locked.plane")
    untidy = design("halyard.plane").replace(b"valley ", b"valley   ")
    for path in (plane, locked):
        with open(path, "wb") as file:
            file.write(untidy)
    os.symlink(plane, link)
    os.chmod(locked, 0o444)
    refused = 0
    for path in (link, locked):
        ran = subprocess.run([ARGS.program, "format", "--write", path], capture_output=True)
        refused += ran.returncode != 0
        if ran.returncode == 0 or read(path) != untidy:
            faults.append(f"{os.path.basename(path)} was written")
    there = os.path.join(folder, "notes.pdf")
    with open(there, "wb") as file:
        file.write(b"somebody's own file\n")
    ran = subprocess.run([ARGS.program, "template", plane, "-o", there], capture_output=True)
    refused += ran.returncode != 0
    if read(there) != b"somebody's own file\n":
        faults.append("a file that was there was written over unasked")
    tell("Not written", "a link, a read-only file, somebody's file without `--force`",
         f"{refused} of 3 refused, all as they were")


def page(took):
    lines = [
        "# Reliability", "",
        "What is promised of files, of the notebook and of the bench, and how it was tried. The figures",
        "are those of one run of `scripts/reliability.py`, which anyone can repeat; it ends with 1 where a",
        "promise is broken.", "",
        "- A file is written whole or not at all: to a new file beside it, forced to the disk, that takes",
        "  its place. A link, a device, a read-only file is refused; a file that is there and was not made",
        "  by the program is written over only with `--force`.",
        "- What the notebook told as written is there after a crash, a full disk, a second writer.",
        "- Two benches on one folder: a save that has not seen the newest text is refused, never mixed in.",
        "- A bench answers, or says that it is busy; its memory is bounded.", "",
        "| What | How it was tried | Found |", "|---|---|---|",
    ]
    lines += [f"| {what} | {how} | {found} |" for what, how, found in rows]
    lines += ["", f"{len(faults)} promises broken. {os.cpu_count()} processors, {took:.0f} s, "
              f"{os.path.basename(os.path.dirname(ARGS.program))} build.", "",
              "Power cuts were not tried: after one, what the disk was told to keep is only as safe as the",
              "disk keeps its word."]
    with open(ARGS.page, "w") as file:
        file.write("\n".join(lines) + "\n")


began = time.time()
for trial in (killed, two_benches, asked_much, refusals):
    folder = tempfile.mkdtemp()
    try:
        trial(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
notebook()
for fault in faults:
    print("FAULT", fault)
if ARGS.page:
    page(time.time() - began)
sys.exit(bool(faults))
