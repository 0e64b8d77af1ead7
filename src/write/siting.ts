// A siting -> GeoJSON. In: what `siting` found, options; out: one collection: the buildable ground, the map of positions,
// the allowed region, works as drawn and moved, trees with their figures before and after. Terms: see docs/siting.md.
// The bytes depend on the siting and the options alone.

import type { FeatureCollection } from 'geojson';
import type { Assessment, LonLatPolygons, PlacedFootprint, Siting, SitingCell, TreeResult } from '../model/index.js';
import type { Column } from './column.js';
import { membersOf } from './columns.js';
import { type GeometryText, geometryTextFor } from './geometry-text.js';
import { jsonText } from './json.js';
import { figure, SCALES } from './numbers.js';
import { type GeoJSONOptions, type Plan, planOf } from './options.js';
import { clashes, ownMembers } from './own.js';
import { CAUTIONS, positionsWords } from './provenance.js';
import { sitingWords } from './siting-words.js';

/** Options of the siting's collection: those of `toGeoJSON` that apply. */
export type SitingGeoJSONOptions = Pick<GeoJSONOptions, 'units' | 'prefix' | 'output'>;

/**
 * The collection as text, in pieces; `rb_role` is `buildable`, `position`, `allowed`, `works` or `tree`.
 *
 * @example
 * for (const piece of sitingText(found, { units: 'us' })) sink.write(piece);
 */
export function* sitingText(siting: Siting, options: SitingGeoJSONOptions = {}): Generator<string, void, undefined> {
  const plan = planOf({ ...options, roles: ['tree'] }, siting.before);
  const name = plan.output?.crs.code.replace(/^EPSG:/, 'urn:ogc:def:crs:EPSG::');
  const crs = name === undefined ? '' : `"crs":{"type":"name","properties":{"name":${jsonText(name)}}},\n`;
  yield `{"type":"FeatureCollection",\n${crs}"rootberth":${jsonText(about(siting, plan))},\n"features":[`;
  let separator = '\n';
  for (const text of features(siting, plan)) {
    yield separator + text;
    separator = ',\n';
  }
  yield '\n]}\n';
}

/** The same as an object. */
export function toSitingGeoJSON(siting: Siting, options: SitingGeoJSONOptions = {}): FeatureCollection {
  return JSON.parse([...sitingText(siting, options)].join('')) as FeatureCollection;
}

function about(siting: Siting, plan: Plan): object {
  const { before, options, status, isProven, moved, findings, reference } = siting;
  const { buildable, ...plain } = options;
  return {
    version: before.version,
    inputs: before.inputs,
    rule: before.rule,
    options: before.options,
    siting: {
      status,
      isProven,
      options: buildable === undefined ? plain : { ...plain, buildable: buildable.name },
      moved: moved.map((row) => before.job.works.key.at(row)),
      reference: reference.map((degrees) => Math.round(degrees * 1e9) / 1e9),
      sitings: siting.sitings.map((place) => ({ ...figuresOf(place), words: sitingWords(siting, place, plan.units) })),
    },
    written: { units: plan.units, prefix: plan.prefix, positions: positionsWords(before, plan.output) },
    cautions: CAUTIONS,
    findings: [...before.findings, ...findings],
  };
}

function figuresOf({ rank, eastM, northM, turnDeg, mirrored, travelM, over, lostM2 }: PlacedFootprint): object {
  return {
    rank,
    eastM,
    northM,
    turnDeg,
    mirrored,
    travelM: figure(travelM),
    over: over.length,
    lostM2: figure(lostM2),
  };
}

function* features(siting: Siting, plan: Plan): Generator<string> {
  const text = geometryTextFor(plan.output);
  const outline = (role: string, shape: LonLatPolygons): string[] =>
    shape.length === 0
      ? []
      : [feature(role, text.polygons(shape), `${jsonText(`${plan.prefix}role`)}:${jsonText(role)}`)];
  yield* outline('buildable', siting.buildable);
  const members = membersOf(plan.prefix, cellColumns(plan));
  for (const [i, one] of siting.map.cells.entries()) {
    yield feature(`position:${i}`, text.polygons(one.shape, true), members(one));
  }
  yield* outline('allowed', siting.allowed);
  yield* worksFeatures(siting, null, plan, text);
  for (const place of siting.sitings) yield* worksFeatures(siting, place, plan, text);
  yield* treeFeatures(siting, plan, text);
}

function feature(id: string | number, geometry: string, members: string): string {
  return `{"type":"Feature","id":${jsonText(id)},"geometry":${geometry},"properties":{${members}}}`;
}

function cellColumns({ units }: Plan): Column<SitingCell>[] {
  const { suffix, factor } = SCALES[units].length;
  return [
    { name: 'role', type: 'text', value: () => 'position' },
    { name: `shift_east_${suffix}`, type: 'real', value: (c) => figure(c.eastM * factor) },
    { name: `shift_north_${suffix}`, type: 'real', value: (c) => figure(c.northM * factor) },
    { name: 'worst_pct', type: 'real', value: (c) => figure(c.worstPct) },
    { name: 'over', type: 'real', value: (c) => c.over },
    { name: 'fits', type: 'boolean', value: (c) => c.fits },
  ];
}

/** The works that move, where a place has them; null: as drawn, siting 0. */
function* worksFeatures(
  siting: Siting,
  place: PlacedFootprint | null,
  plan: Plan,
  text: GeometryText,
): Generator<string> {
  const { before, moved } = siting;
  const { works, worksLonLat } = (place?.after ?? before).job;
  const { length, area } = SCALES[plan.units];
  const scaled = (value: number, factor: number): number | null => figure(value * factor);
  const rank = place?.rank ?? 0;
  const columns: Column<number>[] = [
    { name: 'role', type: 'text', value: () => 'works' },
    { name: 'id', type: 'text', value: (row) => `works:${row}` },
    { name: 'siting', type: 'real', value: () => rank },
    { name: `shift_east_${length.suffix}`, type: 'real', value: () => scaled(place?.eastM ?? 0, length.factor) },
    { name: `shift_north_${length.suffix}`, type: 'real', value: () => scaled(place?.northM ?? 0, length.factor) },
    { name: 'turn_deg', type: 'real', value: () => figure(place?.turnDeg ?? 0) },
    { name: 'mirrored', type: 'boolean', value: () => place?.mirrored ?? false },
    { name: `travel_${length.suffix}`, type: 'real', value: () => scaled(place?.travelM ?? 0, length.factor) },
    { name: 'over', type: 'real', value: () => place?.over.length ?? null },
    {
      name: `lost_${area.suffix}`,
      type: 'real',
      value: () => (place === null ? null : scaled(place.lostM2, area.factor)),
    },
    {
      name: 'words',
      type: 'text',
      value: () => (place === null ? 'as drawn' : sitingWords(siting, place, plan.units)),
    },
  ];
  const members = membersOf(plan.prefix, columns);
  const keys = new Map<string, string>();
  for (const row of moved) {
    const layer = works.layers[works.layerOf[row]!]!;
    const own = ownMembers(layer, works.rowInLayer[row]!, plan.prefix, clashes(layer, plan.prefix), keys);
    yield feature(
      `siting:${rank}:${works.key.at(row)}`,
      geometryOf(place?.after ?? before, row, text, worksLonLat),
      own + members(row),
    );
  }
}

/** The polygon measured for a line or for works with working space, else the works' own. */
function geometryOf(assessment: Assessment, row: number, text: GeometryText, lonLat: Float64Array): string {
  const { works } = assessment.job;
  if (works.widthM[row]! > 0 || works.overdigM[row]! > 0) {
    const measured = text.polygons(assessment.measured(row));
    if (measured !== 'null') return measured;
  }
  return text.row(works.geometry, row, lonLat);
}

/** Trees in reach: figures as drawn, then those of each place. */
function* treeFeatures(siting: Siting, plan: Plan, text: GeometryText): Generator<string> {
  const { before } = siting;
  const { layer } = before.job.trees;
  const { length } = SCALES[plan.units];
  const beyond = new Set(siting.beyondHelp);
  const columns: Column<TreeResult>[] = [
    { name: 'role', type: 'text', value: () => 'tree' },
    { name: 'id', type: 'text', value: (tree) => `trees:${tree.row}` },
    {
      name: `zone_radius_${length.suffix}`,
      type: 'real',
      value: ({ zoneRadiusM }) => figure(zoneRadiusM === null ? null : zoneRadiusM * length.factor),
    },
    { name: 'overlap_pct', type: 'real', value: (tree) => figure(tree.overlapPct) },
    { name: 'verdict', type: 'text', value: (tree) => tree.verdict },
    { name: 'beyond_help', type: 'boolean', value: (tree) => beyond.has(tree.row) },
    ...siting.sitings.flatMap(({ rank, after }): Column<TreeResult>[] => [
      { name: `siting_${rank}_overlap_pct`, type: 'real', value: (tree) => figure(after.tree(tree.row).overlapPct) },
      { name: `siting_${rank}_verdict`, type: 'text', value: (tree) => after.tree(tree.row).verdict },
    ]),
  ];
  const members = membersOf(plan.prefix, columns);
  const clash = clashes(layer, plan.prefix);
  const keys = new Map<string, string>();
  for (const row of siting.trees) {
    const tree = before.tree(row);
    const own = ownMembers(layer, row, plan.prefix, clash, keys);
    yield feature(layer.id(row) ?? `tree:${tree.key}`, text.point(...positionOf(before, tree)), own + members(tree));
  }
}

/** A ground system keeps its places where others have lon/lat. */
function positionOf({ job }: Assessment, { row }: TreeResult): [number, number] {
  return [job.treeLonLat[row * 2]!, job.treeLonLat[row * 2 + 1]!];
}
