// Numbers -> text. In: figures in metres, square metres, percent, degrees; out: their text in files and tables.
// Terms: figure = 6 decimals (files); degree = 9 decimals (lon, lat: 0.1 mm); cell = fixed decimals (tables).
// The one place that rounds. Nothing here prints a negative zero, NaN or infinity.

import { FT2_PER_M2, METRES_PER } from '../model/index.js';

/** What a file or a table is written in; coordinates are not touched by it. */
export type Units = 'metric' | 'us';

/** Suffix of a property name and the factor from metric, per quantity. */
export interface Scale {
  readonly suffix: string;
  readonly title: string; // in a table's heading
  readonly factor: number; // from metres or square metres
}

export interface Scales {
  readonly length: Scale;
  readonly area: Scale;
  readonly volume: Scale; // of cut and fill
  readonly diameter: Scale; // in a file
  readonly diameterCell: Scale; // in a table: what people measure trunks in
}

/** US feet here are international feet: the two differ by 2 parts in a million, far below any zone's accuracy. */
export const SCALES: Readonly<Record<Units, Scales>> = {
  metric: {
    length: { suffix: 'm', title: 'm', factor: 1 },
    area: { suffix: 'm2', title: 'm2', factor: 1 },
    volume: { suffix: 'm3', title: 'm3', factor: 1 },
    diameter: { suffix: 'm', title: 'm', factor: 1 },
    diameterCell: { suffix: 'cm', title: 'cm', factor: 1 / METRES_PER.cm },
  },
  us: {
    length: { suffix: 'ft', title: 'ft', factor: 1 / METRES_PER.ft },
    area: { suffix: 'ft2', title: 'ft2', factor: FT2_PER_M2 },
    // Earth is measured in cubic yards (common practice).
    volume: { suffix: 'yd3', title: 'yd3', factor: 1 / (3 * METRES_PER.ft) ** 3 },
    diameter: { suffix: 'in', title: 'in', factor: 1 / METRES_PER.in },
    diameterCell: { suffix: 'in', title: 'in', factor: 1 / METRES_PER.in },
  },
};

/** A value to 6 decimals; null where there is none. Adding 0 turns a negative zero into a plain one. */
export function figure(value: number | null): number | null {
  return value === null || !Number.isFinite(value) ? null : Math.round(value * 1e6) / 1e6 + 0;
}

/** A bearing to 6 decimals in [0, 360): one that rounds up to 360 is north. */
export function bearing(value: number | null): number | null {
  const rounded = figure(value);
  return rounded === 360 ? 0 : rounded;
}

/** A longitude or latitude to 9 decimals. */
export function degree(value: number): number {
  return Math.round(value * 1e9) / 1e9 + 0;
}

/** A value with fixed decimals for a table; '' where there is none. */
export function cell(value: number | null, decimals: number): string {
  if (value === null || !Number.isFinite(value)) return '';
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : text;
}
