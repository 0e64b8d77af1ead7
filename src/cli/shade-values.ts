// Options of shade -> settings. In: words of the command line; out: ShadeSettings, or wrong usage. Terms: see model/facade.ts.

import type { ShadeSettings } from '../model/index.js';
import { shareOf } from '../rules/index.js';
import type { Flags } from './table/index.js';
import type { Takers } from './table/take.js';
import { lengthOf, usage } from './values.js';

/** Whether sun and shade are asked for. */
export function wantsShade({ shade, shadeTable }: Flags<'assess'>): boolean {
  return shade !== undefined || shadeTable !== undefined;
}

export const SHADE: Takers<'assess', 'shade'> = {
  storey: (storey) => ({ storeyM: lengthOf('--storey', storey, '3m') }),
  leafDates: datesOf,
  transmission: transmissionsOf,
};

function datesOf(text: string): Pick<ShadeSettings, 'leafOn' | 'leafOff'> {
  const [leafOn, leafOff, more] = text.split(',').map((one) => one.trim());
  if (leafOn !== undefined && leafOff !== undefined && more === undefined) return { leafOn, leafOff };
  throw usage(
    'leaf-dates-invalid',
    `--leaf-dates ${text} does not give two dates`,
    'write the days of leaf and of leaf fall: 04-15,11-01',
  );
}

function transmissionsOf(text: string): Pick<ShadeSettings, 'transmissionLeafOn' | 'transmissionLeafOff'> {
  const [on, off, more] = text.split(',').map((one) => shareOf(one.trim()));
  if (on !== undefined && off !== undefined && more === undefined && text.split(',').length === 2) {
    return { transmissionLeafOn: on, transmissionLeafOff: off };
  }
  const cure = 'write the shares of direct sun that pass a crown in leaf and a bare one: 20%,65%';
  throw usage('transmission-invalid', `--transmission ${text} does not give two shares`, cure);
}
