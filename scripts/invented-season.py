#!/usr/bin/env python3
"""Makes the invented season of designs/season: throws nobody made, by a hand nobody has.

    scripts/invented-season.py target/debug/plumbfold

The throws are flights of the program itself, of a plane that differs a little from its text (its
trailing edges stand higher than it says) and by a hand that throws slower and more steeply than it
means, scatters, and is not the same on every day. So it is known what the notebook should find out: the
second version of Halyard, which is the one in `designs/`, flies further (its trailing edges are bent up
less), the third differs from it by its paper only, which changes next to nothing, and the calibration
should find the slow hand. To be run again whenever `designs/halyard.plane` was changed.
"""

import hashlib
import json
import os
import random
import subprocess
import sys

PROGRAM = os.path.abspath(sys.argv[1])
ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..")
random.seed(7)

# The hand: its speed and slope against what is meant, and its scatter.
SPEED, STEEPER_DEG, SPEED_SCATTER, STEEP_SCATTER_DEG = 0.93, 2.0, 0.07, 4.0
# How far one day is off the others (one standard deviation).
DAY_SPEED, DAY_STEEP_DEG, DAY_WARP_MM = 0.035, 1.5, 0.12
# How much higher the trailing edges of the real planes stand, mm.
WARP_MM = 0.15
# How much further up they were bent at first, mm.
MORE_MM = 0.6
TAPE_M, WATCH_S, HAND_M = 0.04, 0.08, 1.7

SECOND = open(os.path.join(ROOT, "designs/halyard.plane"), encoding="utf-8").read()


def changed(text, old, new):
    assert text.count(old) == 1, old
    return text.replace(old, new)


def reflex(text):
    line = next(l for l in text.splitlines() if l.startswith("let reflex"))
    return line, float(line.split("=")[1].split("mm")[0])


LINE, REFLEX = reflex(SECOND)
FIRST = changed(SECOND, LINE, LINE.replace(f"{REFLEX:g} mm", f"{REFLEX + MORE_MM:g} mm", 1))
THIRD = changed(SECOND, "80 g/m2", "81 g/m2")
VERSIONS = {1: FIRST, 2: SECOND, 3: THIRD}
lists = {"versions": [], "sessions": [], "throws": [], "balances": []}


def keep(kind, at, **fields):
    said = json.dumps([kind, at, fields, len(lists[kind])])
    entry = {"id": hashlib.sha256(said.encode()).hexdigest()[:16], "at": at, "replaces": None}
    lists[kind].append(entry | fields)
    return entry["id"]


def version(text):
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def flown(text, faster, steeper, warped):
    """One throw of a plane with this text on a day so far off, as it was measured."""
    _, meant = reflex(text)
    meant_speed = float(next(l for l in text.splitlines() if l.startswith("throw")).split()[1])
    speed = meant_speed * SPEED * random.lognormvariate(faster, SPEED_SCATTER)
    ran = subprocess.run(
        [PROGRAM, "fly", "-", "--draws", "1", "--json", "--set", f"reflex={max(meant + WARP_MM + warped, 0):.3f} mm",
         "--speed", f"{speed:.4f}", "--height", f"{HAND_M}",
         "--elevation", f"{random.gauss(STEEPER_DEG + steeper, STEEP_SCATTER_DEG):.3f}"],
        input=text, capture_output=True, text=True, check=True,
    )
    answer = json.loads(ran.stdout)
    return (
        round(answer["distance_m"] + random.gauss(0, TAPE_M), 2),
        round(answer["time_aloft_s"] + random.gauss(0, WATCH_S), 2),
        answer["verdict"]["exactly"]["behaviour"],
    )


def session(day, order):
    id_ = keep(
        "sessions", f"{day}T14:00:00.000Z", place="Quillhaven boat hall (invented)",
        thrower="Pim Oakum (invented)", temperature_c=17.0, pressure_hpa=1014.0,
        humidity_percent=55.0, hall_length_m=24.0, note="invented data",
    )
    off = [random.gauss(0, sd) for sd in (DAY_SPEED, DAY_STEEP_DEG, DAY_WARP_MM)]
    for k, number in enumerate(order):
        distance, time, did = flown(VERSIONS[number], *off)
        keep(
            "throws", f"{day}T14:{1 + k // 2:02}:{30 * (k % 2):02}.000Z", plane="Halyard",
            version=version(VERSIONS[number]), copy=None, session=id_, distance_m=distance,
            time_s=time, hand_m=HAND_M, top_m=None, style=None, did=did, ended=None, trim=None,
            note="invented",
        )


def in_turn(a, b, rounds):
    order = []
    for _ in range(rounds):
        order += random.sample([a, b], 2)
    return order


def write(name):
    path = os.path.join(ROOT, "designs", "season", name)
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w", encoding="utf-8") as file:
        json.dump({"notebook": 1} | lists, file, indent=1, ensure_ascii=False)
        file.write("\n")
    for entries in lists.values():
        entries.clear()


for number, text in VERSIONS.items():
    keep("versions", f"2026-11-08T13:0{number}:00.000Z", plane="Halyard", version=version(text),
         text=text, note=["edges bent up too far", "edges as designed", "paper of another ream"][number - 1])
session("2026-11-08", in_turn(1, 2, 14))
session("2026-11-15", in_turn(2, 3, 14))
write("autumn.json")
session("2026-11-22", [2] * 40)
write("next-session.json")
