// The sun's path through a year. In: a place, a year, a step; out: directions to the sun with the hours each stands for.
// Terms: mean day = the day of a month whose declination is nearest the month's mean (Klein 1977), which stands for all of
// it; low = see model/facade.ts. Positions are suncalc's, with refraction: 0.005 degrees from NREL's printed example.

import { getPosition } from 'suncalc';

/** Klein's mean days, January to December; from memory, after S. A. Klein, Solar Energy 19 (1977). */
const MEAN_DAY = [17, 16, 16, 15, 15, 11, 17, 16, 15, 15, 14, 10] as const;
const DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] as const;

export const MONTHS = 12;

/** One step of the sun above the horizon. The direction is a unit vector towards the sun: east, north, up. */
export interface SunStep {
  readonly month: number; // 0 to 11
  readonly hours: number; // of the whole month
  readonly east: number;
  readonly north: number;
  readonly up: number;
  readonly low: 'east' | 'west' | null;
}

/**
 * The year at a place, one mean day a month, in steps of `stepMin` minutes from one solar midnight to the next.
 *
 * @example
 * sunSteps(-122.69, 45.51, { year: 2025, stepMin: 10, lowSunDeg: 45 }).reduce((sum, { hours }) => sum + hours, 0); // 4410
 */
export function sunSteps(
  lon: number,
  lat: number,
  { year, stepMin, lowSunDeg }: { readonly year: number; readonly stepMin: number; readonly lowSunDeg: number },
): SunStep[] {
  const steps: SunStep[] = [];
  const perDay = Math.round(1440 / stepMin);
  for (let month = 0; month < MONTHS; month++) {
    const midnight = Date.UTC(year, month, MEAN_DAY[month]) - (lon / 15) * 3_600_000;
    for (let i = 0; i < perDay; i++) {
      const when = new Date(Math.round(midnight + ((i + 0.5) * 86_400_000) / perDay));
      const { azimuth, altitude } = getPosition(when, lat, lon);
      if (altitude <= 0) continue;
      const rad = Math.PI / 180;
      const flat = Math.cos(altitude * rad);
      steps.push({
        month,
        hours: (24 / perDay) * DAYS[month]!,
        east: flat * Math.sin(azimuth * rad),
        north: flat * Math.cos(azimuth * rad),
        up: Math.sin(altitude * rad),
        low: altitude >= lowSunDeg ? null : azimuth < 180 ? 'east' : 'west',
      });
    }
  }
  return steps;
}

/** Months of longest and of shortest days: June to August and December to February, reversed in the south. */
export function seasons(lat: number): { readonly summer: readonly number[]; readonly winter: readonly number[] } {
  const [june, december] = [
    [5, 6, 7],
    [11, 0, 1],
  ];
  return (lat >= 0 ? { summer: june, winter: december } : { summer: december, winter: june }) as ReturnType<
    typeof seasons
  >;
}

/** The mean day of a month as month and day, counted from 1: leaf dates are compared with it. */
export function meanDay(month: number): readonly [month: number, day: number] {
  return [month + 1, MEAN_DAY[month]!];
}
