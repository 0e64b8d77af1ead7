// Options that mean nothing without another. In: options as they were given; out: nothing, or wrong usage.
// Terms: needs = the options of which at least one has to be there. Said before any file is read: an option that is passed
// over in silence would leave its user believing that it had been heeded.

import type { AssessFlags } from './assess.js';
import { usage } from './values.js';

type Key = keyof AssessFlags | 'buildable' | 'manifest';

interface Need {
  readonly options: readonly Key[];
  readonly anyOf: readonly Key[];
  readonly cure: string;
}

const NEEDS: readonly Need[] = [
  {
    options: ['existingUse', 'existingCrs'],
    anyOf: ['existing'],
    cure: 'give what stands today with --existing F, or leave it out',
  },
  { options: ['lotsCrs'], anyOf: ['lots', 'buildable'], cure: 'give the parcels with --lots F, or leave it out' },
  { options: ['zonesCrs'], anyOf: ['zones'], cure: 'give the drawn zones with --zones F, or leave it out' },
  { options: ['crownsCrs'], anyOf: ['crowns'], cure: 'give the drawn crowns with --crowns F, or leave it out' },
  {
    options: ['limbBearing', 'declination', 'limbLimit', 'limbSchedule'],
    anyOf: ['limbs'],
    cure: 'give the limb list with --limbs F, or leave it out',
  },
  {
    options: ['storey', 'leafDates', 'transmission'],
    anyOf: ['shade', 'shadeTable'],
    cure: 'add --shade F.geojson or --shade-table F.csv, or leave it out',
  },
  {
    options: ['sheet', 'scale', 'title'],
    anyOf: ['report', 'plan'],
    cure: 'add --report F.html or --plan F.svg, or leave it out',
  },
  { options: ['cards'], anyOf: ['report'], cure: 'add --report F.html, or leave it out' },
  { options: ['outFormat', 'prefix', 'roles'], anyOf: ['out', 'manifest'], cure: 'add --out F, or leave it out' },
  { options: ['outCrs'], anyOf: ['out', 'stakes', 'manifest'], cure: 'add --out F or --stakes F.csv, or leave it out' },
];

/**
 * Throws for the first option that stands without one it needs. `isGiven` knows an option that was written from a default.
 *
 * @throws InputError `option-lonely`, usage
 */
export function checkNeeds(isGiven: (option: Key) => boolean): void {
  for (const { options, anyOf, cure } of NEEDS) {
    const lone = options.find(isGiven);
    if (lone === undefined || anyOf.some(isGiven)) continue;
    throw usage(
      'option-lonely',
      `${longName(lone)} does nothing without ${anyOf
        .filter((option) => option !== 'manifest')
        .map(longName)
        .join(' or ')}`,
      cure,
    );
  }
}

/** `existingUse` -> `--existing-use`. */
function longName(key: string): string {
  return `--${key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
}
