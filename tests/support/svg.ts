// Reading our drawings back, independently of what writes them. In: SVG text; out: elements' attributes and paths as rings.
// Terms: millimetres throughout; relative path data (M x,y l dx,dy ... z) is added up from its text.

/** Rings of path data, flat x, y. */
export function pathRings(d: string): number[][] {
  const rings: number[][] = [];
  for (const part of d.split('M').slice(1)) {
    const [start = '', steps = ''] = part.replace(/z$/, '').split('l');
    let [x, y] = numbers(start) as [number, number];
    const ring = [x, y];
    const moves = numbers(steps);
    for (let i = 0; i + 1 < moves.length; i += 2) {
      x += moves[i]!;
      y += moves[i + 1]!;
      ring.push(x, y);
    }
    rings.push(ring);
  }
  return rings;
}

function numbers(text: string): number[] {
  return (text.match(/-?(?:\d+\.?\d*|\.\d+)/g) ?? []).map(Number);
}

/** Places along path data of relative curves (M x,y c ... s ... z), so many on each. */
export function curvePoints(d: string, each = 16): { x: number; y: number }[] {
  let [x, y] = numbers(/^M([^a-z]*)/.exec(d)?.[1] ?? '') as [number, number];
  let [backX, backY] = [0, 0]; // the last control point, from the end of its curve
  const points: { x: number; y: number }[] = [];
  for (const [, letter, text = ''] of d.matchAll(/([cs])([^a-z]*)/g)) {
    const all = numbers(text);
    const size = letter === 'c' ? 6 : 4;
    for (let i = 0; i < all.length; i += size) {
      const own = all.slice(i, i + size);
      const [ax, ay, bx, by, ex, ey] = (size === 6 ? own : [-backX, -backY, ...own]) as [
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      for (let k = 1; k <= each; k++) {
        const t = k / each;
        const [p, q, r] = [3 * t * (1 - t) ** 2, 3 * t ** 2 * (1 - t), t ** 3];
        points.push({ x: x + p * ax + q * bx + r * ex, y: y + p * ay + q * by + r * ey });
      }
      [backX, backY] = [bx - ex, by - ey];
      [x, y] = [x + ex, y + ey];
    }
  }
  return points;
}

/** Path data of every path in the group of a class, or of that class itself. */
export function pathsOf(svg: string, css: string): string[] {
  const groups = [...svg.matchAll(new RegExp(`<g class="${css}">(.*?)</g>`, 'gs'))].map((m) => m[1]!);
  const own = [...svg.matchAll(new RegExp(`<path class="${css}" d="([^"]*)"`, 'g'))].map((m) => m[1]!);
  return [...groups.flatMap((group) => [...group.matchAll(/ d="([^"]*)"/g)].map((m) => m[1]!)), ...own];
}

/** Area of rings by the shoelace formula; holes run the other way. */
export function areaOf(rings: readonly (readonly number[])[]): number {
  let sum = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      sum += ring[i]! * ring[k + 1]! - ring[i + 1]! * ring[k]!;
    }
  }
  return Math.abs(sum / 2);
}
