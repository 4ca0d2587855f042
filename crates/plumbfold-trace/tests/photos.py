"""Photos of known truth from another renderer than the one the Rust tests have, traced by the program.

pip install numpy opencv-python-headless, then
    python photos.py PROGRAM FOLDER COUNT [FIRST [exact] [white]]
numpy draws the sheet and the plane, OpenCV's camera sees them (projectPoints: a pinhole with
radial distortion) and its JPEG coder writes them; its contourArea is the truth. Prints how far off
the program is and how often its intervals hold the truth; the photos that went worst stay in FOLDER.
Sheets are cut, planes balanced and dots clicked as inexactly as the program says of itself; with
`exact` none of that, so that only the photo errs. With `white` all planes are as white as their sheet.
"""
import json
import math
import pathlib
import subprocess
import sys

import cv2
import numpy as np

PX = 5  # dots of the drawn sheet for each mm
SHEETS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A3": (297.0, 420.0)}
EDGE_SD, MARK_SD, CUT_SD = 0.5, 0.3, 0.3  # what the program says of itself, mm
WHITE = False


def half_plane(r):
    """The right half of a plane from nose to tail, mm: right of the middle, behind the nose."""
    length, span = r.uniform(110, 200), r.uniform(55, 95)
    nose = r.choice([0.0, r.uniform(2, 20)])
    points = [(nose, 0.0)]
    if r.random() < 0.6:
        y = r.uniform(0.15, 0.5) * length
        points.append((nose + (span - nose) * r.uniform(0.15, 0.5), y))
    tip = r.uniform(0.55, 0.85) * length
    points.append((span, tip))
    if r.random() < 0.7:
        points.append((span, tip + r.uniform(6, 0.14 * length)))
    points.append((r.uniform(0.1, 0.6) * span, length))
    points.append((0.0, length - r.choice([0.0, r.uniform(2, 10)])))
    return np.array(points), length


def scene(seed):
    r = np.random.default_rng(seed)
    s = {"seed": seed, "kind": str(r.choice(["colour", "colour", "white on dark", "white on colour", "dark on white"]))}
    if WHITE:
        s["kind"] = "white on white"
    s["sheet"] = str(r.choice(["A4", "A4", "Letter", "A3"]))
    half, length = half_plane(r)
    w, h = SHEETS[s["sheet"]]
    if r.random() < 0.5:
        w, h = h, w
    s["true"] = (w + r.normal(0, CUT_SD), h + r.normal(0, CUT_SD))
    turn = r.uniform(-180, 180)
    c, sn = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    whole = np.concatenate([half, (half * [-1, 1])[::-1]])
    whole = whole[np.linalg.norm(whole - np.roll(whole, 1, axis=0), axis=1) > 1e-9]
    put = lambda p: np.stack([c * p[:, 0] - sn * (p[:, 1] - length / 2), sn * p[:, 0] + c * (p[:, 1] - length / 2)], 1)
    laid = put(whole)
    low, high = laid.min(0), laid.max(0)
    room = np.array(s["true"]) - (high - low) - 16
    if (room < 0).any():
        return None
    shift = 8 - low + room * r.random(2)
    s["plane"] = laid + shift
    s["nose"], s["tail"] = (put(np.array([[0.0, 0.0], [0.0, length]])) + shift)
    area = cv2.contourArea(s["plane"].astype(np.float32))
    s["area"] = area
    # Share ahead: the plane drawn large, counted by rows.
    s["behind"] = length * r.uniform(0.36, 0.55)
    scale = 40
    mask = np.zeros((int(length * scale) + 2, int(2 * whole[:, 0].max() * scale) + 4), np.uint8)
    q = (whole - [whole[:, 0].min(), 0]) * scale
    cv2.fillPoly(mask, [np.round(q * 256).astype(np.int32)], 255, shift=8)
    rows = (mask > 127).sum(1).astype(float)
    s["share"] = rows[: int(s["behind"] * scale)].sum() / rows.sum()
    angles = [[90.0], [90.0, 58.0], [90.0, 60.0, 121.0]][int(r.integers(3))]
    s["lines"] = [(a, r.normal(0, math.hypot(EDGE_SD, MARK_SD * math.sqrt(0.5)))) for a in angles]
    s["middle"] = r.normal(0, 0.6)
    s["photo"] = [(1600, 1200), (1200, 1600), (2048, 1536), (3024, 4032)][int(r.choice(4, p=[0.4, 0.35, 0.2, 0.05]))]
    s["tilt"], s["toward"], s["turn"] = r.uniform(0, 30), r.uniform(0, 360), r.choice([0, 180]) + r.uniform(-10, 10)
    s["k"] = (r.uniform(-0.12, 0.06), r.uniform(-0.02, 0.02)) if r.random() < 0.6 else (0.0, 0.0)
    s["quality"] = int(r.choice([60, 75, 92]))
    s["noise"], s["blur"] = r.uniform(0.003, 0.015), r.uniform(0.4, 1.3)
    s["r"] = r
    return s


def render(s):
    r = s["r"]
    w, h = s["true"]
    margin = 60
    size = (int((w + 2 * margin) * PX), int((h + 2 * margin) * PX))
    X, Y = np.meshgrid((np.arange(size[0]) + 0.5) / PX - margin, (np.arange(size[1]) + 0.5) / PX - margin)
    X, Y = X.astype(np.float32), Y.astype(np.float32)

    def mask(poly):
        """How much of each dot a polygon covers, by the distance of its middle from the border."""
        low, high = np.floor((poly.min(0) + margin - 2) * PX).astype(int), np.ceil((poly.max(0) + margin + 2) * PX).astype(int)
        part = (slice(low[1], high[1]), slice(low[0], high[0]))
        x, y = X[part], Y[part]
        far, inside = np.full(x.shape, 1e9, np.float32), np.zeros(x.shape, bool)
        for (ax, ay), (bx, by) in zip(poly, np.roll(poly, -1, axis=0)):
            ex, ey = bx - ax, by - ay
            t = np.clip(((x - ax) * ex + (y - ay) * ey) / (ex * ex + ey * ey), 0, 1)
            far = np.minimum(far, (x - ax - t * ex) ** 2 + (y - ay - t * ey) ** 2)
            if ay != by:
                inside ^= ((ay > y) != (by > y)) & (x < ax + (y - ay) / ey * ex)
        m = np.zeros(size[::-1], np.float32)
        m[part] = np.clip(0.5 + np.where(inside, 1, -1) * np.sqrt(far) * PX, 0, 1)
        return m

    kind = s["kind"]
    white = np.array([0.78, 0.78, 0.76]) * r.uniform(0.85, 1.0)
    dark = np.array([0.05, 0.05, 0.06]) * r.uniform(0.6, 1.5)
    hue = r.random(3) * 0.6 + 0.03
    hue[int(r.integers(3))] = 0.05
    paper, colour, table = {
        "colour": (white, hue, dark * 2 + [0.05, 0.03, 0.0]),
        "white on dark": (dark, white, np.array([0.45, 0.33, 0.22])),
        "white on colour": (np.array([0.14, 0.33, 0.22]) if r.random() < 0.5 else np.array([0.1, 0.16, 0.4]), white, np.array([0.55, 0.5, 0.45])),
        "white on white": (white, white, dark * 2 + [0.05, 0.03, 0.0]),
        "dark on white": (white, dark + 0.02, np.array([0.25, 0.16, 0.09])),
    }[kind]
    sheet = mask(np.array([[0, 0], [w, 0], [w, h], [0, h]], float))
    plane = mask(s["plane"])
    grain = 1 + 0.08 * np.sin(0.7 * Y + 3 * np.sin(0.04 * X))
    light = np.ones_like(X)
    light *= 1 + r.uniform(-0.3, 0.3) * (X / w - 0.5) + r.uniform(-0.3, 0.3) * (Y / h - 0.5)
    if r.random() < 0.5:  # the photographer's shadow
        a = r.uniform(0, 2 * math.pi)
        d = (X - w * r.uniform(0.2, 0.8)) * math.cos(a) + (Y - h * r.uniform(0.2, 0.8)) * math.sin(a)
        light *= 1 - r.uniform(0.1, 0.35) / (1 + np.exp(-d / r.uniform(4, 15)))
    creased = r.random() < 0.35
    s["creased"] = bool(creased)
    ground = np.ones_like(X)
    if creased:
        for d in (X - w / 2, Y - h / 2):
            deep = r.uniform(0.05, 0.2)
            ground *= (1 - deep * np.exp(-((d / 0.4) ** 2))) * np.where(d > 0, 1 + 0.25 * deep, 1)
    # The plane's own shadow: thick at the nose, close to the paper.
    soft = r.uniform(0.5, 2.0)
    off = r.uniform(-2, 2, 2)
    shade = cv2.warpAffine(plane, np.array([[1, 0, off[0] * PX], [0, 1, off[1] * PX]]), size)
    shade = cv2.GaussianBlur(shade, (0, 0), soft * PX / 2)
    ground *= 1 - r.uniform(0.1, 0.4) * shade
    axis = (s["tail"] - s["nose"]) / np.linalg.norm(s["tail"] - s["nose"])
    side = (X - s["nose"][0]) * axis[1] - (Y - s["nose"][1]) * axis[0]
    wings = np.where(side > 0, r.uniform(0.88, 1.04), r.uniform(0.88, 1.04)) * np.where(abs(side) < 0.3, 0.75, 1)
    out = np.empty(size[::-1] + (3,), np.float32)
    for c in range(3):
        g = table[c] * grain * (1 - sheet) + paper[c] * ground * sheet
        out[..., c] = (g * (1 - plane) + colour[c] * wings * plane) * light
    # The camera.
    pw, ph = s["photo"]
    f = 0.8 * max(pw, ph) * r.uniform(0.9, 1.15)
    K = np.array([[f, 0, pw / 2 - 0.5], [0, f, ph / 2 - 0.5], [0, 0, 1]])
    t = math.radians(s["toward"])
    about, _ = cv2.Rodrigues(np.array([math.cos(t), math.sin(t), 0]) * math.radians(s["tilt"]))
    spin, _ = cv2.Rodrigues(np.array([0, 0, math.radians(s["turn"])]))
    R = about @ spin
    middle = np.array([w / 2, h / 2, 0])
    dist = np.array([s["k"][0], s["k"][1], 0, 0, 0])

    def project(p, far):
        p = np.c_[np.atleast_2d(p), np.zeros(len(np.atleast_2d(p)))]
        rvec, _ = cv2.Rodrigues(R)
        q, _ = cv2.projectPoints(p, rvec, R @ -middle + [0, 0, far], K, dist)
        return q.reshape(-1, 2)

    corners = np.array([[0, 0], [w, 0], [w, h], [0, h]], float)
    near, far = 200.0, 4000.0
    for _ in range(40):
        m = (near + far) / 2
        q = project(corners, m)
        fits = (abs(q - [pw / 2, ph / 2]) < [0.45 * pw, 0.45 * ph]).all()
        near, far = (near, m) if fits else (m, far)
    far *= r.uniform(1.0, 1.12)
    ss = 2 if pw * ph < 4e6 else 1
    # Where on the sheet each dot looks: its own arithmetic, not that of the library.
    x = (((np.arange(pw * ss) + 0.5) / ss - 0.5 - K[0, 2]) / f)[None, :]
    y = (((np.arange(ph * ss) + 0.5) / ss - 0.5 - K[1, 2]) / f)[:, None]
    drawn = np.sqrt(x * x + y * y)
    (k1, k2), straight = s["k"], drawn.copy()
    for _ in range(5 if k1 or k2 else 0):  # Newton on the radius
        q = straight * straight
        straight -= (straight * (1 + q * (k1 + q * k2)) - drawn) / (1 + q * (3 * k1 + 5 * k2 * q))
    bent = straight / np.maximum(drawn, 1e-12)
    H = np.linalg.inv(np.c_[R[:, 0], R[:, 1], R @ -middle + [0, 0, far]])
    on = [H[i, 0] * x * bent + H[i, 1] * y * bent + H[i, 2] for i in range(3)]
    at = [((on[i] / on[2] + margin) * PX - 0.5).astype(np.float32) for i in range(2)]
    photo = cv2.remap(out, at[0], at[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    if ss > 1:
        photo = cv2.resize(photo, (pw, ph), interpolation=cv2.INTER_AREA)
    photo = cv2.GaussianBlur(photo, (0, 0), s["blur"])
    photo = photo + s["noise"] * np.sqrt(np.clip(photo, 0, None) + 0.02) * r.standard_normal(photo.shape, dtype=np.float32)
    photo = np.clip(photo, 0, 1)
    coded = np.where(photo <= 0.0031308, 12.92 * photo, 1.055 * photo ** (1 / 2.4) - 0.055)
    s["project"] = lambda q: project(q, far) + 0.5
    return np.round(coded[..., ::-1] * 255).astype(np.uint8)


def run(program, folder, seed, keep=False):
    s = scene(seed)
    if s is None:
        return None
    path = folder / f"{seed}.jpg"
    cv2.imwrite(str(path), render(s), [cv2.IMWRITE_JPEG_QUALITY, s["quality"]])
    axis = (s["tail"] - s["nose"]) / np.linalg.norm(s["tail"] - s["nose"])
    right = np.array([axis[1], -axis[0]])
    cg = s["nose"] + axis * s["behind"] + right * s["middle"]
    args = []
    for angle, off in s["lines"]:
        a = math.radians(angle)
        way = math.cos(a) * axis + math.sin(a) * right
        normal = np.array([-way[1], way[0]])
        ends = s["project"](np.array([cg + normal * off - way * 40, cg + normal * off + way * 40]))
        args += ["--balance-line", " ".join(f"{x:.2f},{y:.2f}" for x, y in ends)]
    ran = subprocess.run([program, "trace", str(path), "--sheet", s["sheet"], "--json", *args], capture_output=True, text=True)
    row = {"seed": seed, **{k: s[k] for k in ("kind", "sheet", "tilt", "k", "quality", "creased", "photo")}, "lines": len(s["lines"])}
    if ran.returncode:
        row["refused"] = ran.stderr.strip().splitlines()[0][:160] if ran.stderr.strip() else f"code {ran.returncode}"
        return row
    found = json.loads(ran.stdout)
    area, share, point = found["area_mm2"], found["area_ahead_fraction"], found["balance"]["behind_nose_mm"]
    row |= {
        "area": area["value"] / s["area"] - 1, "area_sd": area["sd"] / s["area"],
        "share": share["value"] - s["share"], "share_sd": share["sd"],
        "balance": point["value"] - s["behind"], "balance_sd": point["sd"],
        "remarks": [m["code"] for m in found["remarks"]], "by": found["found"]["by"],
    }
    if not keep and abs(row["area"]) < 0.01:
        path.unlink()
    return row


def main():
    program, folder, count = sys.argv[1], pathlib.Path(sys.argv[2]), int(sys.argv[3])
    first = int(sys.argv[4]) if len(sys.argv) > 4 else 1
    if "exact" in sys.argv:
        global EDGE_SD, MARK_SD, CUT_SD
        EDGE_SD = MARK_SD = CUT_SD = 0.0
    if "white" in sys.argv:
        global WHITE
        WHITE = True
    folder.mkdir(parents=True, exist_ok=True)
    rows, seed = [], first
    with open(folder / f"rows-{first}.jsonl", "w") as log:
        while len(rows) < count:
            row = run(program, folder, seed)
            seed += 1
            if row:
                rows.append(row)
                log.write(json.dumps(row, default=float) + "\n")
                log.flush()
    report(rows)


def report(rows):
    done = [r for r in rows if "refused" not in r]
    print(f"{len(rows)} photos, {len(rows) - len(done)} refused")
    for r in rows:
        if "refused" in r:
            print("  refused", r["seed"], r["kind"], r["refused"])
    for what, unit, limit in (("area", 100, 1.0), ("share", 100, 0.5), ("balance", 1, 0.5)):
        off = np.array([r[what] for r in done]) * unit
        held = np.array([abs(r[what]) < 1.96 * r[what + "_sd"] for r in done])
        z = np.array([r[what] / r[what + "_sd"] for r in done])
        print(f"{what}: within {limit}: {(abs(off) < limit).sum()}/{len(off)}, 95 % interval holds {held.sum()}/{len(off)}, "
              f"mean {off.mean():+.3f} rms {np.sqrt((off**2).mean()):.3f} worst {abs(off).max():.2f} rms z {np.sqrt((z**2).mean()):.2f}")
    for r in done:
        if abs(r["area"]) > 0.01:
            print("  far off", r["seed"], r["kind"], f"{100 * r['area']:+.2f} %", r["remarks"])


if __name__ == "__main__":
    main()
