// Hours gathered month by month. In: single steps of sun; out: SunFigures. Terms: see model/facade.ts; slot = month, and whether
// the sun stood low in the east, low in the west, or neither.

import type { SunFigures, SunShade, SunSums } from '../model/index.js';
import { MONTHS, type SunStep } from './sun.js';

/** Per month: all hours, hours of low sun in the east, in the west. */
const WAYS = 3;

export class HourSums {
  readonly #hours = new Float64Array(MONTHS * WAYS);

  add(step: SunStep, hours: number): void {
    const at = step.month * WAYS;
    this.#hours[at] = this.#hours[at]! + hours;
    if (step.low === null) return;
    const low = at + (step.low === 'east' ? 1 : 2);
    this.#hours[low] = this.#hours[low]! + hours;
  }

  at(month: number, way: number): number {
    return this.#hours[month * WAYS + way]!;
  }

  get any(): boolean {
    return this.#hours.some((hours) => hours > 0);
  }
}

/** Sun and the shade against it, in all ways of summing. */
export function figuresOf(sun: HourSums, shade: HourSums, seasons: Seasons): SunFigures {
  const way = (place: number): SunSums => {
    const months = Array.from({ length: MONTHS }, (_, month) => ({
      sunH: sun.at(month, place),
      shadeH: shade.at(month, place),
    }));
    const over = (which: readonly number[]): SunShade => {
      let [sunH, shadeH] = [0, 0];
      for (const month of which) {
        sunH += months[month]?.sunH ?? 0;
        shadeH += months[month]?.shadeH ?? 0;
      }
      return { sunH, shadeH };
    };
    const year = over(months.map((_, month) => month));
    return { months, year, summer: over(seasons.summer), winter: over(seasons.winter) };
  };
  return { all: way(0), lowEast: way(1), lowWest: way(2) };
}

export interface Seasons {
  readonly summer: readonly number[];
  readonly winter: readonly number[];
}
