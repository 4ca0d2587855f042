// From what was dragged where to a line of the design text, the way a folder would say it.

const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];
const norm = ([x, y]) => Math.hypot(x, y);
const cross = (a, b) => a[0] * b[1] - a[1] * b[0];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1];
const mm = (v) => `${Number(v.toFixed(1))} mm`;

/** How near, in parts of the paper's size, counts as meant. */
const MEANT = 0.02;

/** Place on the sheet under a place on the table, of the topmost face there; null off the paper. */
export function onSheet(paper, p) {
  for (const face of [...paper.faces].reverse()) {
    const inside = face.points.every((a, i) => cross(minus(face.points[(i + 1) % face.points.length], a), minus(p, a)) >= -1e-6);
    if (!inside) continue;
    const [a, b, c, d, e, f] = face.to_sheet;
    return [a * p[0] + b * p[1] + e, c * p[0] + d * p[1] + f];
  }
  return null;
}

/**
 * The line for dragging `from` onto `onto`; null where that says nothing.
 * Each is `{kind: 'spot', at, words}`, `{kind: 'line', a, b, words}` or `{kind: 'free', at}`.
 */
export function sayFold(paper, from, onto, { verb, layers, both }) {
  const where = from.kind === 'line' ? sayLine(from, onto) : sayPoint(paper, from, onto);
  if (!where) return null;
  return [verb, layers, where].filter(Boolean).join(' ') + (both ? ', both sides' : '');
}

function sayLine(from, onto) {
  if (onto.kind === 'line') return `${from.words} onto ${onto.words}`;
  // Dropped beside everything: folded over by half as far as it was dragged.
  const d = minus(from.b, from.a);
  const far = Math.abs(cross(d, minus(onto.at, from.a))) / norm(d);
  return far > 1 ? `parallel to ${from.words}, ${mm(far / 2)} from it, moving ${from.words}` : null;
}

function sayPoint(paper, from, onto) {
  if (onto.kind === 'spot') return `${from.words} onto ${onto.words}`;
  if (onto.kind === 'line') return sayOntoLine(paper, from, onto);
  const all = paper.faces.flatMap((f) => f.points);
  const size = Math.max(...all.map((p) => p[0])) - Math.min(...all.map((p) => p[0]));
  const near = MEANT * size;
  const target = onto.at;
  // Onto a line, turned about a corner or the middle of an edge?
  const swing = swings(paper, from, target, 2 * near);
  if (swing) return swing;
  // Straight back along a line it lies on?
  for (const l of paper.lines) {
    const d = minus(l.b, l.a);
    const off = (p) => Math.abs(cross(d, minus(p, l.a))) / norm(d);
    if (off(from.at) < 0.01 && off(target) < near) {
      const by = Math.abs(dot(d, minus(target, from.at))) / norm(d);
      if (by > 1) return `${from.words} back by ${mm(by)} along ${l.words}`;
    }
  }
  const place = onSheet(paper, target);
  return place ? `${from.words} onto (${mm(place[0])}, ${mm(place[1])})` : null;
}

/** A point dragged near a line at the same distance from some corner as before: a swing about it. */
function swings(paper, from, target, near) {
  let best = null;
  for (const l of paper.lines) {
    const d = minus(l.b, l.a);
    const u = [d[0] / norm(d), d[1] / norm(d)];
    if (Math.abs(cross(u, minus(from.at, l.a))) < 0.01) continue;
    for (const hinge of paper.spots.filter((s) => s.plain)) {
      const r = norm(minus(from.at, hinge.at));
      const off = cross(u, minus(hinge.at, l.a));
      if (r < 1 || Math.abs(off) >= r) continue;
      const foot = dot(u, minus(hinge.at, l.a));
      for (const k of [-1, 1]) {
        const s = foot + k * Math.sqrt(r * r - off * off);
        const landing = [l.a[0] + u[0] * s, l.a[1] + u[1] * s];
        const miss = norm(minus(landing, target));
        if (s > -0.01 && s < norm(d) + 0.01 && miss < near && (!best || miss < best.miss)) {
          best = { miss, words: `${from.words} onto ${l.words}, hinged at ${hinge.words}` };
        }
      }
    }
  }
  return best?.words ?? null;
}

/** From the lists: a point onto a whole line needs a hinge; the nearest plain place that works. */
function sayOntoLine(paper, from, onto) {
  const d = minus(onto.b, onto.a);
  const u = [d[0] / norm(d), d[1] / norm(d)];
  const hinges = paper.spots.filter((s) => s.plain && s.words !== from.words).map((s) => {
    const r = norm(minus(from.at, s.at));
    return { s, r, off: Math.abs(cross(u, minus(s.at, onto.a))) };
  }).filter(({ r, off }) => r > 1 && off <= r + 1e-6).sort((a, b) => a.off - b.off || a.r - b.r);
  return hinges.length ? `${from.words} onto ${onto.words}, hinged at ${hinges[0].s.words}` : null;
}
