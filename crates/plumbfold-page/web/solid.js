// Hidden faces of a posed plane. Panels are flat stacks of paper; a tree of their planes (binary
// space partitioning: Fuchs, Kedem & Naylor 1980) gives, for any view, an order in which painting
// over hides exactly what is hidden. Within a panel the layers are ordered by their height.

const NEAR = 1e-6; // mm; layers are 0.05 mm apart at least

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const lerp = (a, b, k) => a.map((v, i) => v + (b[i] - v) * k);

/** Parts of a polygon before and behind the plane dot(n, p) = d. */
function split(points, n, d) {
  const front = [];
  const back = [];
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length];
    const [a, b] = [dot(n, p) - d, dot(n, q) - d];
    if (a >= 0) front.push(p);
    if (a <= 0) back.push(p);
    if (a * b < 0) {
      const cut = lerp(p, q, a / (a - b));
      front.push(cut);
      back.push(cut);
    }
  });
  return [front, back];
}

/**
 * A tree from faces `{panel, normal, points, …}`; coordinates in mm.
 */
export function tree(faces) {
  if (!faces.length) return null;
  // The largest panel cuts the fewest others: wings are large and others hang below them.
  const { panel, normal, points } = faces.reduce((a, b) => (b.area > a.area ? b : a));
  const d = dot(normal, points[0]);
  const node = { normal, own: [], front: [], back: [] };
  for (const face of faces) {
    const heights = face.points.map((p) => dot(normal, p) - d);
    const low = Math.min(...heights);
    const high = Math.max(...heights);
    if (face.panel === panel || high - low < NEAR && Math.abs(high) < NEAR) {
      node.own.push({ ...face, height: (low + high) / 2 });
    } else if (low > -NEAR) node.front.push(face);
    else if (high < NEAR) node.back.push(face);
    else {
      const [front, back] = split(face.points, normal, d);
      if (front.length > 2) node.front.push({ ...face, points: front, cut: true });
      if (back.length > 2) node.back.push({ ...face, points: back, cut: true });
    }
  }
  node.own.sort((a, b) => a.height - b.height);
  node.front = tree(node.front);
  node.back = tree(node.back);
  return node;
}

/** Calls `paint(face)` from the farthest face to the nearest, seen from the direction `eye`. */
export function walk(node, eye, paint) {
  if (!node) return;
  const towards = dot(node.normal, eye) >= 0;
  walk(towards ? node.back : node.front, eye, paint);
  const own = towards ? node.own : [...node.own].reverse();
  own.forEach(paint);
  walk(towards ? node.front : node.back, eye, paint);
}
