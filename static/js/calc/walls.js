// Which places of a grid lie outside the room: no straightedge reaches across them. The twin of
// calc/floors_walls.py and of what it needs of calc/floors_outline.py, in whole nm.

const FARTHEST = 10n ** 12n;

/** The places ("row column") that could not be read because they lie beyond the walls. */
export function outsideOf(levels) {
  const [room, ...holes] = levels.rings;
  const found = new Set();
  if (!room || !isSound(room, holes)) return found;
  levels.rows.forEach((row, r) =>
    row.forEach((e, c) => {
      if (e.t !== "away") return;
      const point = [BigInt(c) * levels.spacing, BigInt(r) * levels.spacing];
      const holds = windingAt(room, point) >= 0 && holes.every((hole) => windingAt(hole, point) <= 0);
      if (!holds) found.add(`${r} ${c}`);
    }),
  );
  return found;
}

/** Whether no ring crosses itself or another, and every cut-out lies in the room. */
function isSound(room, holes) {
  const rings = [room, ...holes];
  if (!rings.every(isRing)) return false;
  const walls = rings.map(wallsOf);
  return holes.every((hole, n) => {
    const others = walls.filter((_, k) => k !== n + 1).flat();
    if (walls[n + 1].some((wall) => others.some((other) => touch(wall, other)))) return false;
    return windingAt(room, hole[0]) >= 0;
  });
}

function isRing(ring) {
  const walls = wallsOf(ring);
  const isFar = (v) => v > FARTHEST || v < -FARTHEST;
  if (walls.length < 3 || ring.flat().some(isFar)) return false;
  const meets = (wall, n, other, k) => {
    const beside = k === n + 1 || (n === 0 && k === walls.length - 1);
    return beside ? folded(wall, other) : touch(wall, other);
  };
  const crossed = (wall, n) => walls.some((other, k) => k > n && meets(wall, n, other, k));
  if (walls.some(crossed)) return false;
  return wallsOf(ring).reduce((sum, [[ax, ay], [bx, by]]) => sum + ax * by - bx * ay, 0n) !== 0n;
}

const samePoint = (a, b) => a[0] === b[0] && a[1] === b[1];

function wallsOf(ring) {
  const around = ring.map((a, n) => [a, ring[(n + 1) % ring.length]]);
  return around.filter(([a, b]) => !samePoint(a, b));
}

/** Twice the signed area of a, b, p: above zero where p is left of a to b. */
const side = (a, b, p) => (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);

const between = (a, b, p) => (a <= p && p <= b) || (b <= p && p <= a);
const isOn = (a, b, p) => between(a[0], b[0], p[0]) && between(a[1], b[1], p[1]);
const cross = (p, q) => (p < 0n && q > 0n) || (p > 0n && q < 0n);

/** Whether two walls meet anywhere. */
function touch([a, b], [c, d]) {
  const ends = [[a, b, c], [a, b, d], [c, d, a], [c, d, b]];
  const sides = ends.map((end) => side(...end));
  if (cross(sides[0], sides[1]) && cross(sides[2], sides[3])) return true;
  return ends.some((end, n) => sides[n] === 0n && isOn(...end));
}

/** Whether two walls with a corner in common lie on each other. */
function folded([a, b], [c, d]) {
  const [corner, p, q] = samePoint(b, c) ? [b, a, d] : [a, b, c];
  if (side(corner, p, q) !== 0n) return false;
  return (p[0] - corner[0]) * (q[0] - corner[0]) + (p[1] - corner[1]) * (q[1] - corner[1]) > 0n;
}

/** 1 inside, 0 on a wall, -1 outside: a ray along x crosses the walls an odd number of times. */
function windingAt(ring, point) {
  let inside = false;
  for (const [a, b] of wallsOf(ring)) {
    const of = side(a, b, point);
    if (of === 0n && isOn(a, b, point)) return 0;
    if (a[1] > point[1] !== b[1] > point[1] && of > 0n === b[1] > a[1]) inside = !inside;
  }
  return inside ? 1 : -1;
}
