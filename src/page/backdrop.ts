// A picture under the plan: a site plan or an aerial photo. In: a PNG or JPEG, two points of it and where they lie (or how far apart
// they are); out: the picture in the plane. Terms: picture = pixels, y up from its lower edge; placed = a similarity to metres.
// The picture is drawn anew before it is kept, so that no place, camera or name that its file tells goes into a saved plan.

import type { Units } from '../core.js';
import { chosenCorner, fillCorners } from './corner-lists.js';
import { moved, type Place, type Similarity, similarity } from './plan/geometry.js';
import { lengthOf } from './plan/lengths.js';
import type { DrawTool, PlanView } from './plan-view.js';

/** A picture as a saved plan holds it. */
export interface Picture {
  readonly data: string; // a data URI
  readonly width: number; // pixels
  readonly height: number;
  readonly placed: Similarity;
}

interface Host {
  readonly plan: PlanView;
  units(): Units;
  corners(): readonly { readonly name: string; readonly at: Place }[];
  say(text: string): void;
  /** The picture is another, or lies elsewhere. */
  changed(): void;
}

/** A longer side is made shorter: a plan must stay a file that can be sent. */
const LONGEST_PX = 2400;
const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

export class Backdrop implements DrawTool {
  readonly #host: Host;
  #picture: Picture | null = null;
  #taps: Place[] = []; // pixels

  constructor(host: Host) {
    this.#host = host;
    byId('picture-file').addEventListener('change', () => {
      const file = byId<HTMLInputElement>('picture-file').files?.[0];
      if (file !== undefined) void this.#load(file);
    });
    byId('picture-points').addEventListener('click', () => this.#begin());
    byId('picture-place').addEventListener('click', () => this.#place());
    byId('picture-away').addEventListener('click', () => this.set(null));
  }

  get picture(): Picture | null {
    return this.#picture;
  }

  set(picture: Picture | null): void {
    this.#picture = picture;
    this.show();
    this.#host.changed();
  }

  /** Draws it under the plan that is on the screen. */
  show(): void {
    this.#host.plan.backdrop(this.#picture);
    for (const id of ['picture-points', 'picture-away']) byId<HTMLButtonElement>(id).disabled = this.#picture === null;
    this.#corners();
  }

  hover(): void {
    // nothing follows the pointer
  }

  tap(at: Place): void {
    if (this.#picture === null) return;
    const pixel = backwards(this.#picture.placed, at);
    this.#taps.push(pixel);
    if (this.#taps.length < 2) {
      this.#host.say('Now the second point on the picture.');
      return;
    }
    this.#host.plan.tool = null;
    byId<HTMLButtonElement>('picture-place').disabled = false;
    this.#host.say('Say how far apart they are, or which points of the plan they are; then “Place it”.');
  }

  async #load(file: File): Promise<void> {
    try {
      const bitmap = await createImageBitmap(file);
      const shrink = Math.min(1, LONGEST_PX / Math.max(bitmap.width, bitmap.height));
      const canvas = document.createElement('canvas');
      [canvas.width, canvas.height] = [Math.round(bitmap.width * shrink), Math.round(bitmap.height * shrink)];
      canvas.getContext('2d')!.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
      const data = canvas.toDataURL(file.type === 'image/png' ? 'image/png' : 'image/jpeg', 0.85);
      const { width, height } = canvas;
      // At first it fills the view.
      const scale = (this.#host.plan.widthM * 0.9) / width;
      const [x, y] = this.#host.plan.middle;
      const placed = { a: scale, b: 0, x0: x - (scale * width) / 2, y0: y - (scale * height) / 2 };
      this.set({ data, width, height, placed });
      this.#host.say('The picture lies under the plan. Show two of its points to place it.');
    } catch {
      this.#host.say(`${file.name} can’t be read as a picture: give a PNG or JPEG.`);
    }
  }

  #begin(): void {
    this.#taps = [];
    this.#host.plan.tool = this;
    this.#corners();
    this.#host.say('Tap the first point on the picture: a lot corner, the end of a scale bar.');
  }

  #place(): void {
    const [p, q] = this.#taps;
    if (this.#picture === null || p === undefined || q === undefined) return;
    const before = this.#picture.placed;
    const [u, v] = [chosenCorner('picture-a'), chosenCorner('picture-b')];
    const apart = lengthOf(byId<HTMLInputElement>('picture-length').value, this.#host.units());
    const to: readonly [Place, Place] | null =
      u !== null && v !== null
        ? [u, v]
        : apart !== undefined && apart > 0
          ? stretched(moved(before, p), moved(before, q), apart)
          : null;
    const placed = to === null ? null : similarity([p, q], to);
    if (placed === null) {
      this.#host.say('Choose two different points of the plan, or write how far apart the two points are.');
      return;
    }
    this.set({ ...this.#picture, placed });
    byId<HTMLButtonElement>('picture-place').disabled = true;
    this.#host.say('The picture is placed.');
  }

  #corners(): void {
    fillCorners(['picture-a', 'picture-b'], this.#host.corners(), 'by distance alone');
  }
}

/** The first place stays, the second comes to lie so far from it on the same bearing. */
function stretched(p: Place, q: Place, apartM: number): readonly [Place, Place] {
  const k = apartM / Math.max(Math.hypot(q[0] - p[0], q[1] - p[1]), 1e-9);
  return [p, [p[0] + (q[0] - p[0]) * k, p[1] + (q[1] - p[1]) * k]];
}

function backwards({ a, b, x0, y0 }: Similarity, [x, y]: Place): [number, number] {
  const [dx, dy, n] = [x - x0, y - y0, a * a + b * b];
  return [(a * dx + b * dy) / n, (a * dy - b * dx) / n];
}
