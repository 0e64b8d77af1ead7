// Assessment -> sun and shade of the facades of proposed buildings. In: an assessment whose survey gives heights and crowns;
// out: hours of direct sun and what trees keep off, wall by wall, month by month, tree by tree. Terms: see model/facade.ts.
// A model of direct sun alone: no light from the sky, no terrain, no heat. docs/shade.md says what that means.

import type {
  Assessment,
  Facade,
  FacadeTree,
  ShadeResult,
  ShadeSettings,
  ShadeTree,
  StopSignal,
} from '../model/index.js';
import { type Finding, finding, InputError, treeViews } from '../model/index.js';
import { type Building, buildingsOf, outlinesOf, type Plane, planeAt, standingOf } from './buildings.js';
import { type Wall, wallsOf } from './facades.js';
import { monthDay } from './foliage.js';
import { facadeHours, type PlacedTree } from './reckon.js';
import { type Shader, type Shaders, shadersOf } from './shaders.js';
import { figuresOf, type Seasons } from './sums.js';
import { type SunStep, seasons, sunSteps } from './sun.js';
import { Walls } from './walls.js';

/**
 * The defaults. Heights in metres, shares 0 to 1, dates as month-day of the northern half of
 * the earth. Transmissions, leaf dates and the storey are common practice, no source.
 */
export const SHADE_DEFAULTS: ShadeSettings = {
  year: 2025,
  stepMin: 10,
  lowSunDeg: 45,
  storeyM: 3,
  solid: 'ellipsoid',
  transmissionLeafOn: 0.2,
  transmissionLeafOff: 0.65,
  leafOn: '04-15',
  leafOff: '11-01',
};

/** Shadows are followed to ten times the height of the object, which means sun above 6 degrees. */
const FAR = 10;

/**
 * Computes the direct sun on every facade of the proposed buildings, and how much of it the trees keep off.
 *
 * @param only rows of works whose facades are wanted; default all buildings
 * @param signal looked at before each tree, and for each facade at each step of the sun
 * @returns hours a year, a month, a season; facades in input order of their buildings, walls in order of the outline. Trees
 *   without a height or a crown shade nothing and are counted in a finding. Empty without buildings.
 * @throws InputError `shade-invalid` (usage) for impossible settings; `shade-local` where the survey's place on the
 *   earth is unknown
 * @example
 * const { facades } = shade(assessment);
 * facades[0]?.standing.lowWest.summer; // { sunH: 310.2, shadeH: 141.7 }
 */
export function shade(
  assessment: Assessment,
  options: Partial<ShadeSettings> = {},
  only?: readonly number[],
  signal?: StopSignal,
): ShadeResult {
  const look = (): void => signal?.throwIfAborted();
  const settings = checked({ ...SHADE_DEFAULTS, ...options });
  const { job } = assessment;
  if (job.treeTransform?.crs.kind === 'local') {
    throw new InputError(
      'shade-local',
      'the path of the sun depends on the place on earth, and the survey does not give it',
      {
        cure: 'give the survey a coordinate system in place of local coordinates',
      },
    );
  }
  const buildings = buildingsOf(job, assessment.option);
  const standing = standingOf(job);
  const place = buildings[0]?.lonLat ?? null;
  if (place === null) return { facades: [], trees: [], findings: [nothing()], settings, lonLat: null };
  // One tree after another, without its margin: the margin costs most, and only the verdict is needed.
  const inWorks = new Set<number>();
  for (const { row, verdict } of treeViews(assessment)) {
    look();
    if (verdict === 'stem-in-works') inWorks.add(row);
  }
  const shaders = shadersOf(job, place[1], settings, (row) => inWorks.has(row));
  // One sun for the site: over 5 km it moves by less than the step.
  const steps = sunSteps(place[0], place[1], settings);
  const season = seasons(place[1]);
  const facades: Facade[] = [];
  const totals = new Map<number, Totals>();
  for (const building of buildings) {
    if (only !== undefined && !only.includes(building.row)) continue;
    const plane = planeAt(job, building.lonLat);
    const heightM = building.heightM > 0 ? building.heightM : settings.storeyM;
    const trees = near(shaders, plane, building);
    const hides = new Walls(
      [...buildings, ...standing]
        .filter((other) => other === building || isNear(building, other, settings))
        .flatMap((other) => outlinesOf(other, other.heightM > 0 ? other.heightM : settings.storeyM, plane)),
    );
    let number = 0;
    for (const ring of building.rings) {
      for (const wall of wallsOf(plane.toPlane(ring))) {
        number++;
        const facade = facadeOf({ building, number, wall, heightM, plane, hides, trees, steps, season, look });
        facades.push(facade);
        addTotals(totals, facade);
      }
    }
  }
  const trees = shaders.list
    .filter(({ row }) => totals.has(row))
    .map(({ row, key, standing: stays, reasons }): ShadeTree => {
      return { row, key, standing: stays, ...totals.get(row)!, reasons };
    })
    .sort((a, b) => b.summerM2h - a.summerM2h || a.row - b.row);
  return { facades, trees, findings: findingsOf(shaders, trees, buildings, settings), settings, lonLat: place };
}

type ShadingTree = PlacedTree & { readonly shader: Shader };

interface OneFacade {
  readonly building: Building;
  readonly number: number;
  readonly wall: Wall;
  readonly heightM: number;
  readonly plane: Plane;
  readonly hides: Walls;
  readonly trees: readonly ShadingTree[];
  readonly steps: readonly SunStep[];
  readonly season: Seasons;
  readonly look: () => void;
}

function facadeOf({ building, number, wall, heightM, plane, hides, trees, steps, season, look }: OneFacade): Facade {
  const hours = facadeHours(wall, heightM, hides, trees, steps, look);
  return {
    key: `${building.key}:${number}`,
    worksRow: building.row,
    works: building.key,
    number,
    ends: [plane.toLonLat(...wall.from), plane.toLonLat(...wall.to)],
    bearing: wall.bearing,
    lengthM: wall.lengthM,
    heightM,
    heightAssumed: !(building.heightM > 0),
    standing: figuresOf(hours.sun, hours.standing, season),
    today: figuresOf(hours.sun, hours.today, season),
    trees: trees.flatMap(({ shader }, i): FacadeTree[] => {
      const [alone, only] = [hours.alone[i], hours.only[i]];
      if (alone === undefined || only === undefined || !alone.any) return [];
      const { row, key, standing } = shader;
      return [
        { row, key, standing, alone: figuresOf(hours.sun, alone, season), only: figuresOf(hours.sun, only, season) },
      ];
    }),
  };
}

/** Trees whose shadow can reach the building, in its plane. */
function near({ list, lonLat }: Shaders, plane: Plane, { lonLat: home, sizeM }: Building): ShadingTree[] {
  return list.flatMap((shader, i) => {
    const place = [lonLat[i * 2]!, lonLat[i * 2 + 1]!] as const;
    if (apart(home, place) > shader.solid.topM * FAR + shader.reachM + sizeM) return [];
    const [x, y] = plane.toPlane(Float64Array.from(place)) as [number, number];
    const { standing, transmission, solid, reachM } = shader;
    return [
      { shader, standing, transmission, reachM: Math.max(reachM, solid.trunkRadiusM), solid: { ...solid, x, y } },
    ];
  });
}

const METRES_A_DEGREE = 111_320;

function isNear(one: Building, other: Building, { storeyM }: ShadeSettings): boolean {
  const high = other.heightM > 0 ? other.heightM : storeyM;
  return apart(one.lonLat, other.lonLat) <= high * FAR + one.sizeM + other.sizeM;
}

/** Metres between two places of a site, good to a hundredth. */
function apart(one: readonly [number, number], other: readonly [number, number]): number {
  const east = (other[0] - one[0]) * METRES_A_DEGREE * Math.cos((one[1] * Math.PI) / 180);
  return Math.hypot(east, (other[1] - one[1]) * METRES_A_DEGREE);
}

type Totals = Pick<ShadeTree, 'summerM2h' | 'winterM2h' | 'lowWestSummerM2h'>;

function addTotals(totals: Map<number, Totals>, { lengthM, heightM, trees }: Facade): void {
  const m2 = lengthM * heightM;
  for (const { row, only } of trees) {
    const so = totals.get(row) ?? { summerM2h: 0, winterM2h: 0, lowWestSummerM2h: 0 };
    totals.set(row, {
      summerM2h: so.summerM2h + only.all.summer.shadeH * m2,
      winterM2h: so.winterM2h + only.all.winter.shadeH * m2,
      lowWestSummerM2h: so.lowWestSummerM2h + only.lowWest.summer.shadeH * m2,
    });
  }
}

function checked(settings: ShadeSettings): ShadeSettings {
  const { year, stepMin, lowSunDeg, storeyM, transmissionLeafOn, transmissionLeafOff, leafOn, leafOff } = settings;
  const isShare = (value: number): boolean => value >= 0 && value <= 1;
  const rules: readonly (readonly [boolean, string])[] = [
    [Number.isInteger(year) && year >= 1900 && year <= 2100, 'year is 1900 to 2100'],
    [stepMin >= 1 && stepMin <= 60, 'stepMin is 1 to 60 minutes'],
    [lowSunDeg > 0 && lowSunDeg < 90, 'lowSunDeg is between 0 and 90 degrees'],
    [storeyM > 0, 'storeyM is above 0'],
    [isShare(transmissionLeafOn) && isShare(transmissionLeafOff), 'transmissions are shares from 0 to 1'],
    [monthDay(leafOn) !== null && monthDay(leafOff) !== null, 'leafOn and leafOff are dates such as 04-15'],
  ];
  const broken = rules.find(([holds]) => !holds);
  if (broken === undefined) return settings;
  throw new InputError('shade-invalid', 'a shade setting is out of range', { cure: broken[1], usage: true });
}

function nothing(): Finding {
  return finding(
    'shade-no-building',
    {},
    'no works are buildings, so there is no facade',
    'give a footprint the kind building',
  );
}

function findingsOf(
  { unknown, unread }: Shaders,
  trees: readonly ShadeTree[],
  buildings: readonly Building[],
  { storeyM }: ShadeSettings,
): Finding[] {
  const out: Finding[] = [];
  if (unknown > 0) {
    const message = `trees without a height or crown radii, whose shade is not counted: ${unknown}`;
    out.push(finding('shade-unreckoned', {}, message, 'fill height and crown_radius, or the four radii'));
  }
  for (const [field, count] of unread) {
    const message = `trees whose ${field} can't be read, for which the usual value was assumed: ${count}`;
    out.push(
      finding(
        'shade-field-unread',
        { path: `properties.${field}` },
        message,
        'write yes or no, a share such as 20%, or a date such as 04-15',
      ),
    );
  }
  const assumed = (code: string): number => trees.filter(({ reasons }) => reasons.includes(code)).length;
  const guesses = [
    [assumed('crown-base-assumed'), 'crown base at a third of the height'],
    [assumed('deciduous-assumed'), 'bare in winter'],
    [assumed('evergreen-by-genus'), 'evergreen by genus'],
  ] as const;
  const told = guesses.filter(([count]) => count > 0).map(([count, what]) => `${what}: ${count}`);
  if (told.length > 0) {
    const message = `assumed for trees that cast shade but do not state it: ${told.join('; ')}`;
    out.push(finding('shade-assumed', {}, message, 'fill crown_base and evergreen'));
  }
  const low = buildings.filter(({ heightM }) => !(heightM > 0)).length;
  if (low > 0) {
    const message = `buildings without a height, whose walls were assumed to be ${storeyM} m high: ${low} of ${buildings.length}`;
    out.push(finding('facade-height-assumed', {}, message, 'give works a height'));
  }
  return out;
}
