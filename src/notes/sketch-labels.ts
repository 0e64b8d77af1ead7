// Where the words of a sketch stand. In: a line on paper and its words; out: a place and a turn at which they cover no other
// words, if there is one. Terms: paper in millimetres, y down; words = a row of discs, which turn as easily as they stand.

export interface LabelPlace {
  readonly x: number;
  readonly y: number;
  readonly turnDeg: number;
}

const SIZE_MM = 2.1;
const LETTER_MM = 0.58 * SIZE_MM; // a digit's width
const APART_MM = 1.9; // between rows of words
/** Where on its line a reading may stand, the best first. */
const SHARES = [0.55, 0.42, 0.68, 0.3, 0.8, 0.2];
/** Distances along a line stand across it behind their end, or farther out where others stand there. */
const OUTWARD_MM = 1;
const STEPS = 6;

/** Remembers what is written; the cost is that of labels times candidates times labels, a few hundred each. */
export class SketchLabels {
  readonly #discs: [x: number, y: number][] = [];

  /** Along its line, from (x0, y0) to (x1, y1). */
  along(x0: number, y0: number, x1: number, y1: number, text: string): LabelPlace {
    const turn = upright((Math.atan2(y1 - y0, x1 - x0) * 180) / Math.PI);
    return this.#best(
      SHARES.map((share) => ({ x: x0 + (x1 - x0) * share, y: y0 + (y1 - y0) * share, turnDeg: turn })),
      text,
    );
  }

  /** Across a line at its end (x1, y1), on the right of the way from (x0, y0). */
  across(x0: number, y0: number, x1: number, y1: number, text: string): LabelPlace {
    const length = Math.max(Math.hypot(x1 - x0, y1 - y0), 1e-9);
    const [nx, ny] = [-(y1 - y0) / length, (x1 - x0) / length];
    const turn = upright((Math.atan2(ny, nx) * 180) / Math.PI);
    const half = (text.length * LETTER_MM) / 2;
    return this.#best(
      Array.from({ length: STEPS }, (_, i) => {
        const out = OUTWARD_MM + half + i * 2 * half;
        return { x: x1 + nx * out, y: y1 + ny * out, turnDeg: turn };
      }),
      text,
    );
  }

  /** Takes the first place that is free, else the one that covers least. */
  #best(places: readonly LabelPlace[], text: string): LabelPlace {
    let best = places[0]!;
    let least = Infinity;
    for (const place of places) {
      const covered = this.#covered(discsOf(place, text));
      if (covered >= least) continue;
      [best, least] = [place, covered];
      if (covered === 0) break;
    }
    this.#discs.push(...discsOf(best, text));
    return best;
  }

  #covered(discs: readonly [number, number][]): number {
    let n = 0;
    for (const [x, y] of discs) for (const [px, py] of this.#discs) if (Math.hypot(x - px, y - py) < APART_MM) n++;
    return n;
  }
}

function discsOf({ x, y, turnDeg }: LabelPlace, text: string): [number, number][] {
  const [ux, uy] = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)];
  return Array.from({ length: text.length }, (_, i) => {
    const along = (i - (text.length - 1) / 2) * LETTER_MM;
    return [x + ux * along, y + uy * along];
  });
}

/** Words are never upside down. */
function upright(turn: number): number {
  return turn > 90 ? turn - 180 : turn <= -90 ? turn + 180 : turn;
}
