// Where the rings stand that a hand takes hold of: with room for a finger, each by what it moves.

const APART = 24.5; // CSS pixels from ring to ring; WCAG 2.2, criterion 2.5.8, asks for 24
const TURNS = Array.from({ length: 16 }, (_, i) => (i * Math.PI) / 8);
const ASIDE = [[0, 0], ...[14, 20, 26, 34, 44, 56, 70].flatMap((far) =>
  TURNS.map((turn) => [far * Math.cos(turn), far * Math.sin(turn)]))];

/**
 * Places rings so that none crowds another: who stands alone stays, the others step aside.
 *
 * Everything is in pixels: points, the steps aside that they took before (or none), what is written
 * (middle and size of each label), and the edge of the picture. Where no room is left, a ring stays.
 */
export function aside(points, before, written, edge) {
  const near = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]) < APART - 1e-6;
  const crowded = points.map((a) => points.some((b) => a !== b && near(a, b)));
  const placed = points.filter((_, i) => !crowded[i]);
  const free = ([x, y]) => x > edge[0] + 8 && y > edge[1] + 8 && x < edge[2] - 8 && y < edge[3] - 8
    && placed.every((other) => !near(other, [x, y]))
    && written.every(([a, b, w, h]) => Math.abs(a - x) > w / 2 + 7 || Math.abs(b - y) > h / 2 + 8);
  return points.map(([x, y], i) => {
    if (!crowded[i]) return [0, 0];
    const step = [[0, 0], before[i] ?? [0, 0], ...ASIDE].find(([a, b]) => free([x + a, y + b])) ?? [0, 0];
    placed.push([x + step[0], y + step[1]]);
    return step;
  });
}
