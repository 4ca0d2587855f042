"""One throw followed the plain way, with NumPy and SciPy.

The same equations as the program's (strips, rigid body, added mass, stop at the floor), written as
one would write them for a single use: the strips as NumPy arrays, `scipy.integrate.solve_ivp` with
its RK45 at the same tolerances. Reads a JSON object on standard input, prints where the plane
lands and the median time of one run in seconds.

    pip install numpy scipy
"""

import json
import re
import statistics
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665
SAMPLE = 0.315


def read_strips(text):
    """The strips as the program prints them for debugging, as plain dictionaries."""
    text = re.sub(r"[A-Z]\w+ \{", "{", text)
    text = re.sub(r"(\w+): ", r'"\1": ', text)
    return json.loads(text)["blades"]


def main():
    given = json.load(sys.stdin)
    blades = read_strips(given["strips"])
    mass, inertia = given["mass_kg"], np.array(given["inertia"]).reshape(3, 3)
    total = np.array(given["added_mass"]).reshape(6, 6).copy()
    total[:3, :3] += mass * np.eye(3)
    total[3:, 3:] += inertia
    inverse = np.linalg.inv(total)
    broadside, pitch = given["broadside"], given["pitch"]

    def column(name):
        return np.array([b[name] for b in blades])

    def flow(name):
        return np.array([[f[name] for f in b["flow"]] for b in blades])

    axes, chord, area = column("map"), column("chord"), column("area")
    friction, edge_drag = column("friction"), column("edge")
    flow_map, turning, vortex_of = flow("map"), flow("turning"), flow("vortex")
    bubble, edge_slope, direction = flow("bubble"), flow("edge_slope"), flow("direction")
    stall, stall_slope = flow("stall"), flow("stall_slope")
    rows = np.arange(len(blades))

    def loads(v, w):
        motion = np.concatenate([v, w])
        u, t, down, turn = np.tensordot(motion, axes, axes=(0, 1)).T
        k = (u < 0).astype(int)
        wash, couple, edge, tilt = np.tensordot(motion, flow_map[rows, k], axes=(0, 1)).T
        a = lambda x: x[rows, k]
        speed, plane2 = np.abs(u), u * u + t * t
        s2 = down * down / (plane2 + down * down + 1e-300)
        x = np.clip((s2 - a(stall)) * a(stall_slope), 0, 1)
        gone = x * x * (3 - 2 * x)
        f = 1 - gone
        vortex = f * a(vortex_of)[:, 0] * edge * np.abs(edge)
        attached = f * (speed - t * a(edge_slope)) * wash + vortex
        normal = attached + gone * speed * a(turning) * turn
        nose_up = f * speed * couple + a(vortex_of)[:, 1] * vortex + a(bubble) * s2 * attached
        roll = t * f * (a(direction) * couple + 0.5 * wash)
        size = np.sqrt(plane2 + down * down)
        lean = 0.5 / SAMPLE * 0.75 * u / (4 * size + np.pi * np.abs(down) + 1e-300)
        for side, share in ((SAMPLE, 0.5 + lean), (-SAMPLE, 0.5 - lean)):
            wl = down - side * chord * turn
            ul = np.sqrt(plane2 + wl * wl)
            press = share * broadside * wl * ul * ul / (0.56 * ul + 0.44 * np.abs(wl) + 1e-300)
            normal = normal + gone * press
            nose_up = nose_up + gone * side * press
        drag = friction * np.sqrt(np.linalg.norm(v))
        forward = area * f * speed * tilt - u * (drag + edge_drag * speed)
        along = np.stack([forward, -t * drag, -area * normal], axis=1)
        couples = np.stack([-area * chord * roll, area * chord * nose_up], axis=1)
        load = np.einsum("nkj,nj->k", axes[:, :, :3], along)
        load[3:] += np.einsum("nkj,nj->k", axes[:, :3, :2], couples)
        load[4] += pitch * v[0] ** 2
        return load[:3], load[3:]

    def derivative(_, state):
        q = state[3:7] / np.linalg.norm(state[3:7])
        v, w = state[7:10], state[10:13]
        qw, qx, qy, qz = q
        turn = np.array([
            [1 - 2 * (qy * qy + qz * qz), 2 * (qx * qy - qw * qz), 2 * (qx * qz + qw * qy)],
            [2 * (qx * qy + qw * qz), 1 - 2 * (qx * qx + qz * qz), 2 * (qy * qz - qw * qx)],
            [2 * (qx * qz - qw * qy), 2 * (qy * qz + qw * qx), 1 - 2 * (qx * qx + qy * qy)],
        ])
        force, torque = loads(v, w)
        linear = force - mass * (G * turn[2] + np.cross(w, v))
        angular = torque - np.cross(w, inertia @ w)
        q = state[3:7]
        dq = 0.5 * np.array([
            -q[1] * w[0] - q[2] * w[1] - q[3] * w[2],
            q[0] * w[0] + q[2] * w[2] - q[3] * w[1],
            q[0] * w[1] - q[1] * w[2] + q[3] * w[0],
            q[0] * w[2] + q[1] * w[1] - q[2] * w[0],
        ])
        return np.concatenate([turn @ v, dq, inverse @ np.concatenate([linear, angular])])

    def floor(_, state):
        return state[2]

    floor.terminal, floor.direction = True, -1

    def once():
        return solve_ivp(
            derivative, (0, 60), given["state"], rtol=1e-5, atol=1e-5, events=floor, dense_output=True
        )

    end = once()
    times = []
    for _ in range(5):
        began = time.perf_counter()
        once()
        times.append(time.perf_counter() - began)
    print(json.dumps({
        "seconds": statistics.median(times),
        "time_aloft_s": end.t[-1],
        "distance_m": float(np.hypot(end.y[0, -1], end.y[1, -1])),
    }))


main()
