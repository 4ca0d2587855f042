#!/usr/bin/env python3
"""Renders the film `testdata/scow-throw.mp4`: what a phone would film of a throw of Scow.

The flight is the program's own (`plumbfold fly`), so speed and path are known. The camera is tilted up
by 8 degrees and stands 6.5 m from a wall with posters; the plane flies 0.7 m before it; four bits of
tape on the wall are the corners of 4.4 x 1.8 m. Noise, an open shutter, H.264. Needs numpy, ffmpeg and
the program.

    scripts/film-of-a-throw.py target/debug/plumbfold testdata/scow-throw.mp4
"""

import json
import subprocess
import sys

import numpy as np

W, H, RATE = 640, 360, 30
TILT, CAMERA, BEFORE, HEIGHT = np.radians(8), 6.5, 0.7, 0.55
FOCAL = 0.8 * W
START = np.array([-2.6, 1.6])
TAPE = [(-2.2, 0.15), (2.2, 0.15), (2.2, 1.95), (-2.2, 1.95)]
# Nose, raised edge of the wing, keel: m before and above the middle.
SIDE = np.array([(0.10, 0.0), (-0.09, 0.03), (-0.10, 0.0), (-0.07, -0.025)])
HELD, AFTER, SHUTTER = 0.3, 0.4, 0.4


def dot(x, y, z):
    """The dot of a place: x along the wall, y away from the plane of flight, z up."""
    d = np.array([x, y + CAMERA - BEFORE, z - HEIGHT])
    up, ahead = np.array([0, -np.sin(TILT), np.cos(TILT)]), np.array([0, np.cos(TILT), np.sin(TILT)])
    return W / 2 + FOCAL * d[0] / (d @ ahead), H / 2 - FOCAL * (d @ up) / (d @ ahead)


def place(u, v, y):
    """Where the rays of dots meet a plane y, as x and z."""
    r, s = (u - W / 2) / FOCAL, (H / 2 - v) / FOCAL
    far = (y + CAMERA - BEFORE) / (np.cos(TILT) - s * np.sin(TILT))
    return far * r, HEIGHT + far * (s * np.cos(TILT) + np.sin(TILT))


def wall(x, z):
    def cells(size, salt):
        i, j = np.floor(x / size).astype(np.int64), np.floor(z / size).astype(np.int64)
        return ((i * 7919 + j * 104729 + salt) * 2654435761 % 4294967296) / 4294967296 - 0.5

    grey = 120 + 6 * x + 45 * cells(0.7, 1) + 25 * cells(0.23, 2)
    grey = np.where(z < 0, 80 + 20 * cells(0.15, 3), grey)
    for tx, tz in TAPE:
        cross = (np.abs(x - tx) < 0.06) & (np.abs(z - tz) < 0.012) | (np.abs(x - tx) < 0.012) & (np.abs(z - tz) < 0.06)
        grey = np.where(cross, 235, grey)
    return grey


def inside(px, pz, corners):
    crossed = np.zeros(px.shape, bool)
    for (ax, az), (bx, bz) in zip(corners, np.roll(corners, -1, axis=0)):
        with np.errstate(divide="ignore", invalid="ignore"):
            crossed ^= ((az > pz) != (bz > pz)) & (px < ax + (pz - az) * (bx - ax) / (bz - az))
    return crossed


def main(program, out):
    flown = json.loads(subprocess.check_output([program, "fly", "designs/scow.plane", "--draws", "10", "--json"]))
    path = flown["path"]
    times = [p["t_s"] for p in path]

    def pose(t):
        t = min(max(t, 0), times[-1])
        return [np.interp(t, times, [p[k] for p in path]) for k in ("x_m", "z_m", "pitch_deg")]

    fine = (np.arange(4) + 0.5) / 4
    u, v = np.meshgrid(np.arange(W), np.arange(H))
    still = np.mean([wall(*place(u + a, v + b, BEFORE)) for a in fine for b in fine], axis=0)
    rng = np.random.default_rng(1)
    code = ["ffmpeg", "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", "gray", "-s", f"{W}x{H}", "-r", str(RATE), "-i", "-",
            "-c:v", "libx264", "-preset", "slow", "-crf", "27", "-pix_fmt", "yuv420p", "-movflags", "+faststart", "-bitexact", out]
    film = subprocess.Popen(code, stdin=subprocess.PIPE)
    for k in range(int((HELD + times[-1] + AFTER) * RATE)):
        t = k / RATE - HELD
        picture = still.copy()
        edge = int(dot(START[0] - 0.35 + 0.04 * np.sin(3 * t), 0, 1)[0])
        picture[int(dot(0, 0, 1.75)[1]):, :max(edge, 0)] = 55
        poses = [pose(t + SHUTTER / RATE * ((i + 0.5) / 6 - 0.5)) for i in range(6)]
        x, z, _ = poses[3]
        cu, cv = (int(c) for c in dot(START[0] + x, 0, z))
        box = np.s_[max(cv - 16, 0):cv + 16, max(cu - 24, 0):cu + 24]
        share = np.zeros(picture[box].shape)
        for px, pz, pitch in poses:
            c, s = np.cos(np.radians(pitch)), np.sin(np.radians(pitch))
            corners = SIDE @ np.array([[c, s], [-s, c]]) + [START[0] + px, pz]
            for a in fine:
                for b in fine:
                    share += inside(*place(u[box] + a, v[box] + b, 0.0), corners)
        share /= 16 * len(poses)
        picture[box] += share * (225 - picture[box])
        light = 1 + 0.015 * np.sin(37 * t)
        noisy = picture * light + rng.normal(0, 3, picture.shape)
        film.stdin.write(np.clip(np.round(noisy), 0, 255).astype(np.uint8).tobytes())
    film.stdin.close()
    assert film.wait() == 0
    print("released", flown["throw"]["speed_mps"], "m/s; tape at", [tuple(round(float(c), 2) for c in dot(x, BEFORE, z)) for x, z in TAPE])
    for t in (0.5, 1.0, 1.5):
        x, z, _ = pose(t)
        print("at", round(HELD + t, 3), "s of the film the plane is at", tuple(round(float(c), 1) for c in dot(START[0] + x, 0, z)))


main(*sys.argv[1:])
