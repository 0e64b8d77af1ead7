// Registers the projections that a coordinate system of a table may use, and no other: the whole of proj4 is four times as
// large. In: nothing; out: nothing, by being imported. Terms: see crs/projection.ts. A test compares the list with the
// tables.

import aea from 'proj4/lib/projections/aea.js';
import aeqd from 'proj4/lib/projections/aeqd.js';
import cass from 'proj4/lib/projections/cass.js';
import cea from 'proj4/lib/projections/cea.js';
import eqc from 'proj4/lib/projections/eqc.js';
import eqearth from 'proj4/lib/projections/eqearth.js';
import tmerc from 'proj4/lib/projections/etmerc.js';
import krovak from 'proj4/lib/projections/krovak.js';
import laea from 'proj4/lib/projections/laea.js';
import lcc from 'proj4/lib/projections/lcc.js';
import longlat from 'proj4/lib/projections/longlat.js';
import merc from 'proj4/lib/projections/merc.js';
import nzmg from 'proj4/lib/projections/nzmg.js';
import omerc from 'proj4/lib/projections/omerc.js';
import poly from 'proj4/lib/projections/poly.js';
import somerc from 'proj4/lib/projections/somerc.js';
import stere from 'proj4/lib/projections/stere.js';
import sterea from 'proj4/lib/projections/sterea.js';
import type { ProjectionMethods } from '../crs/index.js';
import { useProjections } from '../crs/index.js';

const ALL: readonly ProjectionMethods[] = [
  ...[
    aea,
    aeqd,
    cass,
    cea,
    eqc,
    eqearth,
    krovak,
    laea,
    lcc,
    longlat,
    merc,
    nzmg,
    omerc,
    poly,
    somerc,
    stere,
    sterea,
    tmerc,
  ],
];
const byName = new Map(ALL.flatMap((one) => one.names.map((name) => [name.toLowerCase(), one])));
useProjections((name) => byName.get(name));
