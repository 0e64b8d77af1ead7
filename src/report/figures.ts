// Figures -> words of the report. In: metres, square metres, percent, degrees; out: text with its unit, or an en dash.
// Terms: as in write/numbers.ts; us = feet, square feet, inches. Percent has one decimal, lengths centimetres or 0.1 ft.

import { cell, SCALES, type Units } from '../write/index.js';

export const NONE = '–';

export interface Figures {
  readonly lengthUnit: string;
  readonly areaUnit: string;
  readonly diameterUnit: string;
  readonly volumeUnit: string;
  length(metres: number | null, unit?: boolean): string;
  area(squareMetres: number | null, unit?: boolean): string;
  diameter(metres: number | null, unit?: boolean): string;
  volume(cubicMetres: number | null, unit?: boolean): string;
  percent(value: number | null, unit?: boolean): string;
  degrees(value: number | null): string;
}

/** How figures are printed in a system of units. */
export function figuresIn(units: Units): Figures {
  const { length, area, volume, diameterCell } = SCALES[units];
  const decimals = units === 'us' ? 1 : 2;
  const areaUnit = units === 'us' ? 'ft²' : 'm²';
  const volumeUnit = units === 'us' ? 'yd³' : 'm³';
  const scaled = (value: number | null, factor: number, places: number, unit: string): string => {
    const text = value === null ? '' : cell(value * factor, places);
    return text === '' ? NONE : `${text}${unit === '' ? '' : ` ${unit}`}`;
  };
  return {
    lengthUnit: length.title,
    areaUnit,
    diameterUnit: diameterCell.title,
    volumeUnit,
    length: (value, unit = true) => scaled(value, length.factor, decimals, unit ? length.title : ''),
    area: (value, unit = true) => scaled(value, area.factor, decimals, unit ? areaUnit : ''),
    diameter: (value, unit = true) => scaled(value, diameterCell.factor, 1, unit ? diameterCell.title : ''),
    volume: (value, unit = true) => scaled(value, volume.factor, 1, unit ? volumeUnit : ''),
    percent: (value, unit = true) => scaled(value, 1, 1, unit ? '%' : ''),
    degrees: (value) => (value === null ? NONE : `${cell(value % 360 >= 359.95 ? 0 : value, 1)}°`),
  };
}

const POINTS = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'];

/** A bearing as a point of the compass. */
export function compass(degrees: number): string {
  return POINTS[Math.round(degrees / 45) % 8]!;
}
