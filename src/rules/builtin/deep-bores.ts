// Bores that pass below the roots: shared by the built-in rules of North American practice.
// In: nothing; out: an exemption as data, with its source and its note. Terms: cover = ground above the crown of a bore.

import type { Exemption } from '../../model/index.js';

/** The source gives the depth of tunnels. Taking it as cover is a choice made here, on the careful side. */
export const DEEP_BORES: Exemption = { kinds: ['bore'], atLeast: '24 in', reason: 'bored-below-roots' };

export const DEEP_BORES_SOURCE =
  'Bores: University of Missouri Extension G6885, tunnels at least 2 ft deep, better 3 to 4 ft.';

export const DEEP_BORES_NOTE =
  'Bores with 24 in of cover or more do not count; with less, or with none stated, they count in full. The source prefers 3 to 4 ft, and a path 1 to 2 ft off the middle of the trunk. Pits at their ends are excavations of their own.';
