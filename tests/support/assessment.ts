// A small assessment made by hand: writers are tested on it without any other stage.
// Two trees that are assessed, one without a diameter, one that holds two points; a line of works with width,
// a repaired polygon, a rejected line; two lots. Figures are chosen, not computed.
import { stopped } from '../../src/assess/stoppable.js';
import { finding } from '../../src/model/findings.js';
import type {
  Assessment,
  FencePlan,
  LonLatPolygons,
  LotFigures,
  LotTable,
  TreeResult,
  TreeShapes,
  TreeTable,
  WorksTable,
  ZoneTable,
} from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import type { Rule } from '../../src/model/rule.js';

export const RULE: Rule = {
  id: 'foot-per-inch',
  title: 'one foot of radius per inch',
  source: 'common practice',
  notes: [],
  stems: { zone: 'root-of-squares' },
  zone: { radius: { perDiameter: 12 } },
  rings: [{ name: 'no-cut', radius: { perDiameter: 3 }, limits: [{ share: 0 }] }],
  limits: [{ share: 0.2 }],
  judge: 'overlap',
  cuts: ['building', 'trench'],
  tolerance: 0.001,
  consequences: {},
};

/** A square of `half` degrees about a place, clockwise (the wrong way round) unless told otherwise. */
export function square(lon: number, lat: number, half: number, clockwise = true): [number, number][] {
  const ring: [number, number][] = [
    [lon - half, lat - half],
    [lon - half, lat + half],
    [lon + half, lat + half],
    [lon + half, lat - half],
    [lon - half, lat - half],
  ];
  return clockwise ? ring : ring.reverse();
}

function treeLayer() {
  const b = new LayerBuilder('trees.geojson', 'geojson');
  const point = (x: number, y: number, properties: Record<string, unknown>, id?: string | number) => {
    b.begin('point');
    b.part();
    b.ring();
    b.vertex(x, y);
    b.end(properties, id);
  };
  point(-122.5, 45.5, { tag: 'T1', remarks: 'lean, "slight"', rb_verdict: 'old', source_rb_verdict: 'older' }, 'a');
  point(-122.4, 45.5, { tag: 'T2', remarks: '=1+1', common_name: 'Oregon white oak' });
  point(-122.3, 45.5, { tag: 'T3' });
  b.begin('multipoint');
  for (const lon of [-122.2, -122.1]) {
    b.part();
    b.ring();
    b.vertex(lon, 45.5);
  }
  b.end({ tag: 'T4' });
  return b.finish({ crs: { from: 'rfc7946', text: 'OGC:CRS84' }, sha256: 'aa' });
}

function worksLayer() {
  const b = new LayerBuilder('works.geojson', 'geojson');
  const line = (from: [number, number], to: [number, number], properties: Record<string, unknown>) => {
    b.begin('line');
    b.part();
    b.ring();
    b.vertex(...from);
    b.vertex(...to);
    b.end(properties);
  };
  line([-122.5, 45.4], [-122.5, 45.6], { id: 'W1', kind: 'trench' });
  b.begin('polygon');
  b.part();
  b.ring();
  for (const [x, y] of square(-122.45, 45.5, 0.01)) b.vertex(x, y);
  b.ring();
  for (const [x, y] of square(-122.45, 45.5, 0.005)) b.vertex(x, y);
  b.end({ id: 'W2', kind: 'building' });
  line([-122.4, 45.4], [-122.4, 45.6], { id: 'W3', kind: 'bore' });
  return b.finish({ crs: { from: 'rfc7946', text: 'OGC:CRS84' }, sha256: 'bb' });
}

function lotLayer() {
  const b = new LayerBuilder('lots.geojson', 'geojson');
  for (const lon of [-122.5, -122.4]) {
    b.begin('polygon');
    b.part();
    b.ring();
    for (const [x, y] of square(lon, 45.5, 0.04)) b.vertex(x, y);
    b.end({ id: `L${lon}` });
  }
  return b.finish({ crs: { from: 'rfc7946', text: 'OGC:CRS84' }, sha256: 'cc' });
}

const NOTHING = {
  zoneAreaM2: null,
  overlapM2: null,
  overlapPct: null,
  overlapByKindM2: null,
  severedM2: null,
  severedPct: null,
  affectedPct: null,
  rings: [],
  nearestM: null,
  nearestFaceM: null,
  nearestBearing: null,
  nearestGridBearing: null,
  convergence: null,
  nearestWorks: null,
  existingM2: null,
  existingPct: null,
  worstWorks: null,
  worstWorksPct: null,
  marginM: null,
  verdictHolds: null,
  isProtected: null,
  dbhM: null,
  zoneRadiusM: null,
  lot: null,
  crown: null,
} as const;

const KINDS = { building: 0, paving: 0, excavation: 0, trench: 0, fill: 0, compaction: 0, bore: 0 };

function treeResults(): TreeResult[] {
  return [
    {
      ...NOTHING,
      row: 0,
      key: 'T1',
      lon: -122.5,
      lat: 45.5,
      disposition: 'keep',
      dbhM: 0.508,
      zoneRadiusM: 6.096,
      zoneAreaM2: 116.7453589,
      overlapM2: 40.123456789,
      overlapPct: 34.3683566,
      overlapByKindM2: { ...KINDS, building: 10, trench: 35 },
      severedM2: 2,
      severedPct: 1.7131301,
      affectedPct: 36.0814867,
      rings: [{ name: 'no-cut', radiusM: 1.524, overlapPct: 12.5 }],
      nearestM: 0.3048,
      nearestFaceM: 0.0508,
      nearestBearing: 359.9999999,
      nearestGridBearing: 1.5,
      convergence: -1.5,
      nearestWorks: 'W1',
      existingM2: null,
      existingPct: null,
      worstWorks: 'W1',
      worstWorksPct: 25.5,
      marginM: -0.3048,
      verdictHolds: null,
      isProtected: null,
      verdict: 'over-limit',
      consequence: 'exceeds the limit',
      reasons: ['over-zone-limit', 'ring-no-cut'],
      lot: 'L-122.5',
    },
    {
      ...NOTHING,
      row: 1,
      key: 'T2',
      lon: -122.4,
      lat: 45.5,
      disposition: 'remove',
      dbhM: 0.254,
      zoneRadiusM: 3.048,
      zoneAreaM2: 29.1863507,
      overlapM2: 0,
      overlapPct: 0,
      overlapByKindM2: KINDS,
      severedM2: -0,
      severedPct: 0,
      affectedPct: 0,
      rings: [{ name: 'no-cut', radiusM: 0.762, overlapPct: 0 }],
      nearestM: 100,
      nearestFaceM: 99.873,
      nearestBearing: 90,
      nearestGridBearing: 91.5,
      convergence: -1.5,
      nearestWorks: 'W2',
      existingM2: null,
      existingPct: null,
      worstWorks: null,
      worstWorksPct: null,
      marginM: null,
      verdictHolds: null,
      isProtected: null,
      verdict: 'untouched',
      consequence: '',
      reasons: [],
      lot: 'L-122.4',
    },
    {
      ...NOTHING,
      row: 2,
      key: 'T3',
      lon: -122.3,
      lat: 45.5,
      disposition: 'keep',
      verdict: 'not-assessed',
      consequence: '',
      reasons: ['dbh-missing'],
    },
    {
      ...NOTHING,
      row: 3,
      key: 'T4',
      lon: null,
      lat: null,
      disposition: 'keep',
      verdict: 'not-assessed',
      consequence: '',
      reasons: ['several-points'],
    },
  ];
}

/** Chosen figures of a lot. */
export const FIGURES: LotFigures = {
  trees: 2,
  onLine: 1,
  offSite: 0,
  reachingIn: 3,
  reachingInOffSite: 1,
  kept: 1,
  removed: 1,
  transplanted: 0,
  protected: 1,
  protectedRemoved: 1,
  overLimit: 1,
  stemInWorks: 0,
  notAssessed: 0,
  keptDbhM: 0.508,
  removedDbhM: 0.254,
  transplantedDbhM: 0,
  protectedRemovedDbhM: 0.254,
  withoutDbh: 0,
  replacement: null,
};

/** One fence with a gate and ground outside it; chosen, not laid out. */
const FENCES: FencePlan = {
  workingSpaceM: 1.5,
  postSpacingM: 3.048,
  outsideM: 0.1,
  fences: [
    {
      trees: [0],
      shape: [[square(-122.5, 45.5, 0.00006, false)]],
      areaM2: 100,
      lengthM: 40,
      alongWorksM: 12,
      posts: 16,
      gates: 1,
    },
  ],
  gates: [
    {
      fences: [0],
      works: [0],
      line: [
        [-122.50006, 45.5],
        [-122.50006, 45.50001],
      ],
      lengthM: 1.2,
    },
  ],
  groundProtection: [{ works: [0], shape: [[square(-122.50008, 45.5, 0.00001, false)]], areaM2: 2 }],
  findings: [],
};

const STRIP: LonLatPolygons = [[square(-122.5, 45.5, 0.001)]];

function shapesOf(tree: number, drawn: Made['drawn']): TreeShapes {
  const at = tree === 0 ? -122.5 : -122.4;
  if (tree > 1) return { zone: [], rings: [], crown: [], overlap: [], severed: [], findingsOf: () => [] };
  const hit = tree === 0;
  return {
    zone: [[square(at, 45.5, 0.0001)]],
    rings: [{ name: 'no-cut', shape: [[square(at, 45.5, 0.00002)]] }],
    crown: [],
    get overlap() {
      drawn.overlap++;
      return hit ? [[square(at, 45.5, 0.00005), square(at, 45.5, 0.00001)]] : [];
    },
    get severed() {
      drawn.severed++;
      return hit ? [[square(at + 0.00007, 45.5, 0.00001)], [square(at - 0.00007, 45.5, 0.00001)]] : [];
    },
    findingsOf: (shape) =>
      hit && shape === 'overlap'
        ? [finding('shape-approximate', { layer: 'trees.geojson', feature: 0 }, 'drawn', 'trust')]
        : [],
  };
}

export interface Made {
  assessment: Assessment;
  /** How often a clipped shape was asked for, of all trees. */
  drawn: { overlap: number; severed: number };
}

export function handMade(change: Partial<Assessment> = {}): Made {
  const layer = treeLayer();
  const worksFrom = worksLayer();
  const lotsFrom = lotLayer();
  const drawn = { overlap: 0, severed: 0 };
  const trees = {
    layer,
    count: 4,
    key: ['T1', 'T2', 'T3', 'T4'],
    species: ['Quercus garryana', undefined, undefined, undefined],
    z: Float64Array.of(101.5, Number.NaN, 7, Number.NaN),
    disposition: new Uint8Array(4),
    offSite: new Uint8Array(4).fill(255),
    heightM: new Float64Array(4).fill(Number.NaN),
  } as unknown as TreeTable;
  const works = {
    count: 3,
    key: ['W1', 'W2', 'W3'],
    layers: [worksFrom],
    layerOf: Uint16Array.of(0, 0, 0),
    rowInLayer: Uint32Array.of(0, 1, 2),
    kind: Uint8Array.of(0, 1, 6),
    geometry: worksFrom.geometry,
    widthM: Float64Array.of(0.6, Number.NaN, Number.NaN),
    overdigM: Float64Array.of(0, 0, 0),
    option: [undefined, undefined, undefined],
    repaired: new Map([[1, 0.02]]),
    rejected: new Map([[2, ['width-missing']]]),
  } as unknown as WorksTable;
  const lots = {
    layer: lotsFrom,
    count: 2,
    geometry: lotsFrom.geometry,
    repaired: new Map(),
    rejected: new Map(),
  } as unknown as LotTable;
  const assessment: Assessment = {
    version: '0.0.0-test',
    rule: RULE,
    options: { limit: 0.2, crs: 'EPSG:2913' },
    inputs: [
      {
        role: 'trees',
        name: 'trees.geojson',
        format: 'geojson',
        sha256: 'aa',
        crs: 'OGC:CRS84 (WGS 84)',
        crsFrom: 'RFC 7946',
        datumOperation: 'none needed',
        datumAccuracyM: 0,
        features: 4,
      },
    ],
    counts: {
      trees: { in: 4, assessed: 2, notAssessed: 2 },
      works: { in: 3, counted: 2, notCounted: 0, rejected: 1 },
      lots: { in: 2, accepted: 2, rejected: 0 },
      verdicts: { untouched: 1, 'within-limit': 0, 'over-limit': 1, 'stem-in-works': 0, 'not-assessed': 2 },
    },
    findings: [finding('dbh-missing', { layer: 'trees.geojson', feature: 2, id: 'T3' }, 'no diameter', 'fill dbh_in')],
    trees: treeResults(),
    tree(row) {
      return this.trees[row]!;
    },
    eachTree() {
      return this.trees;
    },
    eachWorks() {
      return this.works;
    },
    limbs: [],
    option: undefined,
    otherRules: [],
    otherOptions: [],
    works: [
      { row: 0, key: 'W1', kind: 'trench', counted: 'true', countedReason: null, repaired: false },
      { row: 1, key: 'W2', kind: 'building', counted: 'true', countedReason: null, repaired: true },
      { row: 2, key: 'W3', kind: 'bore', counted: 'false', countedReason: 'width-missing', repaired: false },
    ],
    lots: [
      { row: 0, key: 'L-122.5', accepted: true, figures: FIGURES },
      { row: 1, key: 'L-122.4', accepted: true, figures: FIGURES },
    ],
    totals: { all: FIGURES, offLots: FIGURES },
    removals: [],
    fences: FENCES,
    marginFindings: [],
    job: {
      trees,
      works,
      lots,
      existing: null,
      zones: { protectedByRule: null } as ZoneTable,
      zoneShapes: new Map(),
      treeLonLat: new Float64Array(8),
      zonePolygons: null,
      crownPolygons: null,
      worksLonLat: worksFrom.geometry.xy,
      lotsLonLat: lotsFrom.geometry.xy,
      frameAt: () => {
        throw new Error('not needed by writers');
      },
      treeLayerToLonLat: () => undefined,
    },
    shapes: (tree) => shapesOf(tree, drawn),
    measured: (row) => (row === 0 ? STRIP : []),
    stoppedBy(signal) {
      return stopped(this, signal, { fences: () => this.fences, marginFindings: () => [] });
    },
    ...change,
  };
  return { assessment, drawn };
}
