// Assessment -> GeoJSON. In: an assessment and options; out: text in pieces, one feature a line, or the same as object.
// Terms: role = what a feature is, see options.ts; source feature = one that was read, in contrast to a drawn one.
// The bytes depend on the assessment and the options alone. RFC 7946.

import type { FeatureCollection } from 'geojson';
import type { Assessment, Finding, Layer, TreeResult, WorksResult } from '../model/index.js';
import { treeViews } from '../model/index.js';
import { ByteText } from './byte-text.js';
import { existingColumns, lotColumns, membersOf, treeColumns, worksColumns } from './columns.js';
import { DrawnFeatures } from './drawn.js';
import { fenceColumns, fenceId, fenceRecords } from './fences.js';
import { type GeometryText, geometryTextFor } from './geometry-text.js';
import { jsonText } from './json.js';
import { lateFindings } from './late.js';
import { memberBytes } from './member-bytes.js';
import { degree } from './numbers.js';
import { type GeoJSONOptions, type Plan, planOf, type Role } from './options.js';
import { clashes, ownMembers } from './own.js';
import { provenance, provenanceOf, type Told, toldOf, type WrittenAs } from './provenance.js';
import { shownTrees } from './shown.js';
import { fenceColours, plainColours, simpleTaken, treeColours, worksColours } from './simplestyle.js';

/**
 * The annotated collection as text, in pieces of a line or less; the last piece ends with a line feed.
 * The generator returns the findings of drawing the shapes (`shape-approximate`). They are known
 * only once the shapes are drawn, so they are not in the text's `rootberth` member but on the features
 * (`rb_approximate`). Throws InputError (usage) at once on options that can't be used.
 *
 * @example
 * for (const piece of geojsonText(assessment, { units: 'us', roles: ['tree', 'zone'] })) sink.write(piece);
 */
export function geojsonText(
  assessment: Assessment,
  options: GeoJSONOptions = {},
): Generator<string, readonly Finding[], undefined> {
  return collection(shownTrees(assessment, options), planOf(options, assessment));
}

/**
 * The annotated collection as an object: what JSON.parse makes of the text. Coordinates are longitude, latitude in
 * degrees; figures have their unit in their name; a figure that does not exist is null.
 * An assessment without trees gives a collection of its other layers.
 *
 * @example
 * const { features } = toGeoJSON(assessment);
 * features.filter((f) => f.properties?.rb_role === 'tree');
 */
export function toGeoJSON(plain: Assessment, options: GeoJSONOptions = {}): FeatureCollection {
  const assessment = shownTrees(plain, options);
  const plan = planOf(options, assessment);
  const head = `{"type":"FeatureCollection",${crsMember(plan)}"rootberth":${[...provenance(assessment, plan)].join('')},"features":[]}`;
  const out = JSON.parse(head) as FeatureCollection;
  // Feature by feature: one string for a whole large job would exceed the engine's limit.
  for (const text of features(assessment, plan, new DrawnFeatures(assessment, plan)))
    out.features.push(JSON.parse(text));
  return out;
}

function* collection(assessment: Assessment, plan: Plan): Generator<string, readonly Finding[], undefined> {
  const drawn = new DrawnFeatures(assessment, plan);
  yield* collectionHead(toldOf(assessment, plan), plan);
  let separator = '\n';
  for (const text of features(assessment, plan, drawn)) {
    yield separator + text;
    separator = ',\n';
  }
  yield COLLECTION_END;
  return [...drawn.findings, ...lateFindings(assessment, plan)];
}

/**
 * The same collection as UTF-8 in pieces of about a megabyte: what a file or a socket takes. Byte for byte the text of
 * `geojsonText`, at a fraction of its cost where there are many trees.
 */
export function* geojsonBytes(
  plain: Assessment,
  options: GeoJSONOptions = {},
): Generator<Uint8Array, readonly Finding[], undefined> {
  const assessment = shownTrees(plain, options);
  const plan = planOf(options, assessment);
  const drawn = new DrawnFeatures(assessment, plan);
  const out = new ByteText();
  for (const piece of collectionHead(toldOf(assessment, plan), plan)) {
    out.text(piece);
    if (out.full) yield out.take();
  }
  let separator = '\n';
  for (const role of plan.roles) {
    if (role === 'tree') {
      for (const write of treeWriters(assessment, plan)) {
        out.text(separator);
        separator = ',\n';
        write(out);
        if (out.full) yield out.take();
      }
      continue;
    }
    for (const text of WRITERS[role](assessment, plan, drawn)) {
      out.text(separator);
      separator = ',\n';
      out.text(text);
      if (out.full) yield out.take();
    }
  }
  out.text(COLLECTION_END);
  yield out.take();
  return [...drawn.findings, ...lateFindings(assessment, plan)];
}

const encode = (text: string): Uint8Array => new TextEncoder().encode(text);
const FEATURE_ID = encode('{"type":"Feature","id":');
const GEOMETRY = encode(',"geometry":');
const POINT = encode('{"type":"Point","coordinates":[');
const POINT_END = encode(']}');
const PROPERTIES = encode(',"properties":{');
const FEATURE_END = encode('}}');
const COMMA = 0x2c;

/** For each tree the function that writes it: the bytes of treeFeatures, without its strings. */
function* treeWriters(assessment: Assessment, plan: Plan): Generator<(out: ByteText) => void> {
  const { layer, groups } = assessment.job.trees;
  const columns = [...treeColumns(assessment, plan), ...treeColours(assessment, plan)];
  const members = memberBytes(plan.prefix, columns);
  const ours = simpleTaken(plan);
  const clash = clashes(layer, plan.prefix, ours);
  const keys = new Map<string, string>();
  const text = geometryTextFor(plan.output);
  let tree: TreeResult;
  const write = (out: ByteText): void => {
    out.bytes(FEATURE_ID);
    const id = layer.id(tree.row);
    if (id === undefined) out.jsonOnce(tree.key, 'tree:');
    else out.text(jsonText(id));
    out.bytes(GEOMETRY);
    const { lon, lat } = tree;
    if (plan.output === null && groups === null && lon !== null && lat !== null) {
      out.bytes(POINT);
      out.rounded(degree(lon), 9);
      out.byte(COMMA);
      out.rounded(degree(lat), 9);
      out.bytes(POINT_END);
    } else out.text(treeGeometry(assessment, tree, text));
    out.bytes(PROPERTIES);
    const own = clash ? null : layer.propertyBytes(tree.row);
    if (own === null) out.text(ownMembers(layer, tree.row, plan.prefix, clash, keys, ours));
    else if (own.length > 2) {
      out.bytes(own, 1, own.length - 1);
      out.byte(COMMA);
    }
    members(tree, out);
    out.bytes(FEATURE_END);
  };
  for (tree of treeViews(assessment)) yield write;
}

/** Features alone, as text: for newline-delimited files, where the `rootberth` member has no place. */
export function* featureTexts(
  assessment: Assessment,
  options: GeoJSONOptions = {},
): Generator<string, readonly Finding[], undefined> {
  const plan = planOf(options, assessment);
  const drawn = new DrawnFeatures(assessment, plan);
  yield* features(assessment, plan, drawn);
  return [...drawn.findings, ...lateFindings(assessment, plan)];
}

/** What stands before the first feature; features follow a line feed each, a comma between them, and then COLLECTION_END. */
export function* collectionHead(told: Told, plan: WrittenAs): Generator<string> {
  yield `{"type":"FeatureCollection",\n${crsMember(plan)}"rootberth":`;
  yield* provenanceOf(told, plan);
  yield ',\n"features":[';
}

export const COLLECTION_END = '\n]}\n';

/** The `crs` member of GeoJSON before RFC 7946: written only where coordinates are not longitude and latitude on WGS 84. */
function crsMember(plan: WrittenAs): string {
  if (plan.output === null) return '';
  const name = plan.output.crs.code.replace(/^EPSG:/, 'urn:ogc:def:crs:EPSG::');
  return `"crs":{"type":"name","properties":{"name":${jsonText(name)}}},\n`;
}

type RoleWriter = (assessment: Assessment, plan: Plan, drawn: DrawnFeatures) => Iterable<string>;

const WRITERS: Readonly<Record<Role, RoleWriter>> = {
  lot: lotFeatures,
  existing: existingFeatures,
  works: worksFeatures,
  zone: (_assessment, _plan, drawn) => drawn.features('zone'),
  ring: (_assessment, _plan, drawn) => drawn.features('ring'),
  crown: (_assessment, _plan, drawn) => drawn.features('crown'),
  overlap: (_assessment, _plan, drawn) => drawn.features('overlap'),
  severed: (_assessment, _plan, drawn) => drawn.features('severed'),
  fence: fenceFeatures,
  tree: treeFeatures,
};

function* features(assessment: Assessment, plan: Plan, drawn: DrawnFeatures): Generator<string> {
  for (const role of plan.roles) yield* WRITERS[role](assessment, plan, drawn);
}

function* lotFeatures(assessment: Assessment, plan: Plan): Generator<string> {
  const { lots, lotsLonLat } = assessment.job;
  if (lots === null) return;
  const members = membersOf(plan.prefix, [
    ...lotColumns(assessment, plan),
    ...plainColours<Assessment['lots'][number]>('lot', plan),
  ]);
  const text = geometryTextFor(plan.output);
  const feature = sourceWriter(plan);
  for (const lot of assessment.lots) {
    const geometry = text.row(lots.geometry, lot.row, lotsLonLat);
    yield feature(lots.layer, lot.row, `lot:${lot.key}`, geometry, members(lot));
  }
}

function* existingFeatures(assessment: Assessment, plan: Plan): Generator<string> {
  const { existing } = assessment.job;
  if (existing === null) return;
  const { works, lonLat } = existing;
  const members = membersOf(plan.prefix, [...existingColumns(works), ...plainColours<number>('existing', plan)]);
  const text = geometryTextFor(plan.output);
  const feature = sourceWriter(plan);
  for (let row = 0; row < works.count; row++) {
    const layer = works.layers[works.layerOf[row]!]!;
    const geometry = text.row(works.geometry, row, lonLat);
    yield feature(layer, works.rowInLayer[row]!, `existing:${works.key.at(row)}`, geometry, members(row));
  }
}

function* worksFeatures(assessment: Assessment, plan: Plan): Generator<string> {
  const { works } = assessment.job;
  const members = membersOf(plan.prefix, [...worksColumns(assessment), ...worksColours(plan)]);
  const text = geometryTextFor(plan.output);
  const feature = sourceWriter(plan);
  for (const result of assessment.eachWorks()) {
    const layer = works.layers[works.layerOf[result.row]!]!;
    const row = works.rowInLayer[result.row]!;
    const geometry = worksGeometry(assessment, result, text);
    yield feature(layer, row, `works:${result.key}`, geometry, members(result));
  }
}

/** The polygon that was measured where it is not the source's own (line with width, working space, repaired ring). */
function worksGeometry(assessment: Assessment, result: WorksResult, text: GeometryText): string {
  const { works, worksLonLat } = assessment.job;
  const counted = result.counted !== 'false';
  const widened = works.widthM[result.row]! > 0 || works.overdigM[result.row]! > 0;
  if (counted && (widened || result.repaired)) {
    const measured = text.polygons(assessment.measured(result.row));
    if (measured !== 'null') return measured;
  }
  return text.row(works.geometry, result.row, worksLonLat);
}

function* treeFeatures(assessment: Assessment, plan: Plan): Generator<string> {
  const textOf = treeFeature(assessment, plan);
  for (const tree of treeViews(assessment)) yield textOf(tree);
}

/** The function that writes one tree. */
export function treeFeature(assessment: Assessment, plan: Plan): (tree: TreeResult) => string {
  const { layer } = assessment.job.trees;
  const members = membersOf(plan.prefix, [...treeColumns(assessment, plan), ...treeColours(assessment, plan)]);
  const text = geometryTextFor(plan.output);
  const feature = sourceWriter(plan);
  return (tree) => feature(layer, tree.row, `tree:${tree.key}`, treeGeometry(assessment, tree, text), members(tree));
}

/** The trunk's point; of a group its outline, of a row that is not a single point what it was read as, so that it can be found on the map. */
function treeGeometry(assessment: Assessment, tree: TreeResult, text: GeometryText): string {
  const isGroup = assessment.job.trees.groups?.placeOf.has(tree.row) === true;
  if (!isGroup && tree.lon !== null && tree.lat !== null) return text.point(tree.lon, tree.lat);
  const { trees, treeLonLat, treeLayerToLonLat, treeTransform } = assessment.job;
  if (!isGroup && treeTransform?.crs.kind === 'local') {
    const x = treeLonLat[tree.row * 2]!;
    if (!Number.isNaN(x)) return text.point(x, treeLonLat[tree.row * 2 + 1]!);
  }
  const table = trees.layer.geometry;
  const vertex = (part: number): number => table.vertexStart[table.ringStart[part]!]!;
  const from = vertex(table.partStart[tree.row]!);
  const to = vertex(table.partStart[tree.row + 1]!);
  if (from === to || treeLayerToLonLat === undefined) return 'null';
  const lonLat = table.xy.slice(from * 2, to * 2);
  treeLayerToLonLat(lonLat);
  return text.row(table, tree.row, lonLat, from);
}

function* fenceFeatures(assessment: Assessment, plan: Plan): Generator<string> {
  const members = membersOf(plan.prefix, [...fenceColumns(assessment, plan), ...fenceColours(plan)]);
  const text = geometryTextFor(plan.output);
  for (const record of fenceRecords(assessment)) {
    const geometry = record.lines === null ? text.polygons(record.polygons ?? []) : text.lines(record.lines);
    yield `{"type":"Feature","id":${jsonText(fenceId(record))},"geometry":${geometry},"properties":{${members(record)}}}`;
  }
}

/** Writes features that were read: own id if there is one, own properties first, then ours. */
function sourceWriter(
  plan: Plan,
): (layer: Layer, row: number, id: string, geometry: string, members: string) => string {
  const keys = new Map<string, string>();
  const clash = new Map<Layer, boolean>();
  const { prefix } = plan;
  const ours = simpleTaken(plan);
  return (layer, row, id, geometry, members) => {
    let renames = clash.get(layer);
    if (renames === undefined) {
      renames = clashes(layer, prefix, ours);
      clash.set(layer, renames);
    }
    const own = ownMembers(layer, row, prefix, renames, keys, ours);
    return `{"type":"Feature","id":${jsonText(layer.id(row) ?? id)},"geometry":${geometry},"properties":{${own}${members}}}`;
  };
}
