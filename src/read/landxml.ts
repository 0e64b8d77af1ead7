// LandXML 1.0 to 2.0 -> Layer. In: bytes; out: the points (CgPoints), plan features or parcels of a file.
// Terms: group = CgPoints, PlanFeatures, Parcels; positions are northing easting [elevation], in this order.
// A file with more than one group needs the `layer` option; a group's own name is taken too.

import type { CrsStatement, Layer, StatedUnit } from '../model/index.js';
import { finding, InputError, LayerBuilder, METRES_PER } from '../model/index.js';
import { Arcs } from './arcs.js';
import { CodeMap } from './code-map.js';
import { withExtras } from './extras.js';
import { addChain, type PointTable, positionIn } from './landxml-geometry.js';
import { layerCure } from './layer-cure.js';
import type { ReadOptions } from './options.js';
import { cellValue } from './table.js';
import { childNamed, childrenNamed, descendants, parseXml, type XmlElement } from './xml.js';

const GROUPS = { CgPoints: 'CgPoint', PlanFeatures: 'PlanFeature', Parcels: 'Parcel' } as const;
type Group = keyof typeof GROUPS;

/** Large parts that are never read. */
const SKIPPED = ['Surfaces', 'Alignments', 'PipeNetworks', 'Roadways', 'GradeModel', 'Monuments', 'Survey'];

interface Item {
  readonly element: XmlElement;
  readonly groups: readonly string[]; // names of the groups it stands in, outermost first
}

/**
 * Reads one group of a LandXML file. Attributes and Feature properties become properties, `group` the group's name.
 *
 * @throws InputError `xml-broken`, `landxml-empty`, `layer-several` (lists the groups), `layer-missing`
 * @example
 * readLandXml(bytes, { name: 'survey.xml', layer: 'CgPoints', codes: { OAK: 'Quercus' } });
 */
export function readLandXml(bytes: Uint8Array, options: ReadOptions): Layer {
  const root = parseXml(bytes, options.name, SKIPPED);
  const into = new LayerBuilder(options.name, 'landxml');
  const unit = unitOf(root);
  const { group, items } = chosen(root, options);
  const points: PointTable = new Map(
    [...descendants(root, 'CgPoint')].map((point) => [point.attributes.name ?? '', point] as const),
  );
  const arcs = new Arcs(into, unit?.metresPerUnit);
  const codes = new CodeMap(into, options.codes, false);
  for (const item of items) {
    const properties = propertiesOf(item);
    if (group === 'CgPoints') {
      addCgPoint(item.element, points, into);
      const { code = '', desc = '' } = item.element.attributes;
      const said = desc.toUpperCase().startsWith(code.toUpperCase()) ? desc : `${code} ${desc}`;
      if (options.codes !== undefined) codes.describe(said, properties, 'properties.desc', `CgPoint ${nameOf(item)}`);
    } else addChain(item.element, group === 'Parcels', points, arcs, into);
    const { name } = item.element.attributes;
    into.end(properties, name === undefined || name === '' ? undefined : name);
  }
  arcs.report();
  codes.report();
  const layer = into.finish({ crs: crsOf(root), sha256: options.sha256 ?? null });
  return withExtras(layer, { unit, setAside: codes.rows });
}

function nameOf({ element }: Item): string {
  return `"${element.attributes.name ?? ''}"`;
}

// ---------------------------------------------------------------- which group

function itemsOf(root: XmlElement, group: Group): readonly Item[] {
  const collect = (element: XmlElement, groups: readonly string[]): readonly Item[] => {
    const names = element.attributes.name === undefined ? groups : [...groups, element.attributes.name];
    return element.children.flatMap((child) => {
      if (child.name === GROUPS[group]) {
        const nested = childrenNamed(child, group).flatMap((inner) => collect(inner, names));
        return [{ element: child, groups: names }, ...nested];
      }
      return child.name === group ? collect(child, names) : [];
    });
  };
  return childrenNamed(root, group).flatMap((element) => collect(element, []));
}

function chosen(root: XmlElement, options: ReadOptions): { readonly group: Group; readonly items: readonly Item[] } {
  const all = (Object.keys(GROUPS) as Group[])
    .map((group) => ({ group, items: itemsOf(root, group) }))
    .filter(({ items }) => items.length > 0);
  if (all.length === 0) {
    throw new InputError('landxml-empty', `${options.name} holds no points, plan features or parcels`, {
      layer: options.name,
      cure: 'export CgPoints, PlanFeatures or Parcels; surfaces are read by --grades, alignments are not',
    });
  }
  const listed = all.map(({ group, items }) => `${group} (${items.length})`).join(', ');
  const wanted = options.layer?.toLowerCase();
  if (wanted === undefined) {
    if (all.length === 1) return all[0]!;
    throw new InputError('layer-several', `${options.name} holds ${listed}`, {
      layer: options.name,
      cure: layerCure(
        all.map(({ group }) => group),
        options.role,
      ),
      choices: all.map(({ group }) => group),
    });
  }
  const whole = all.find(({ group }) => group.toLowerCase() === wanted);
  if (whole !== undefined) return whole;
  for (const { group, items } of all) {
    const named = items.filter((item) => item.groups.some((name) => name.toLowerCase() === wanted));
    if (named.length > 0) return { group, items: named };
  }
  const names = [...new Set(all.flatMap(({ items }) => items.flatMap((item) => item.groups)))];
  throw new InputError(
    'layer-missing',
    `${options.name} holds no ${JSON.stringify(options.layer)}: it holds ${listed}`,
    {
      layer: options.name,
      cure: `choose one with --layer: ${[...all.map(({ group }) => group), ...names].join(', ')}`,
      choices: [...all.map(({ group }) => group), ...names],
    },
  );
}

// ---------------------------------------------------------------- one feature

function addCgPoint(element: XmlElement, points: PointTable, into: LayerBuilder): void {
  const path = `CgPoint ${JSON.stringify(element.attributes.name ?? '')}`;
  const position = positionIn(element, points);
  if (typeof position !== 'string') {
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(...position);
    return;
  }
  if (element.text !== '' || element.attributes.pntRef !== undefined) {
    into.begin('broken');
    into.abandon(path, position, 'write northing easting elevation there, separated by spaces');
    return;
  }
  into.begin('none');
  const place = { layer: into.name, feature: into.count, path };
  into.findings.push(finding('geometry-null', place, 'the point has no coordinates', 'give it some, or delete it'));
}

function propertiesOf({ element, groups }: Item): Record<string, unknown> {
  const properties: Record<string, unknown> = {};
  const set = (name: string, text: string): void => {
    if (name !== '' && name !== '__proto__') properties[name] = cellValue(text, false);
  };
  for (const [name, text] of Object.entries(element.attributes)) set(name, text);
  for (const feature of childrenNamed(element, 'Feature')) {
    for (const property of childrenNamed(feature, 'Property')) {
      set(property.attributes.label ?? '', property.attributes.value ?? '');
    }
  }
  const group = groups.filter((name) => name !== '').join(' / ');
  if (group !== '') set('group', group);
  return properties;
}

// ---------------------------------------------------------------- unit and coordinate system

const UNITS: Readonly<Record<string, Omit<StatedUnit, 'from'>>> = {
  foot: { unit: 'ft', metresPerUnit: METRES_PER.ft },
  ussurveyfoot: { unit: 'ftUS', metresPerUnit: METRES_PER.ftUS },
  inch: { unit: 'in', metresPerUnit: METRES_PER.in },
  meter: { unit: 'm', metresPerUnit: 1 },
  metre: { unit: 'm', metresPerUnit: 1 },
  centimeter: { unit: 'cm', metresPerUnit: METRES_PER.cm },
  millimeter: { unit: 'mm', metresPerUnit: METRES_PER.mm },
  kilometer: { unit: 'other', metresPerUnit: 1000 },
  mile: { unit: 'other', metresPerUnit: 1609.344 },
};

export function unitOf(root: XmlElement): StatedUnit | undefined {
  const [system] = childNamed(root, 'Units')?.children ?? [];
  const word = (system?.attributes.linearUnit ?? '').toLowerCase();
  const unit = Object.hasOwn(UNITS, word) ? UNITS[word] : undefined;
  return unit === undefined ? undefined : { ...unit, from: '<Units>' };
}

/** The EPSG code, else WKT where the file carries it. */
export function crsOf(root: XmlElement): CrsStatement | null {
  const { epsgCode = '', ogcWktCode = '' } = childNamed(root, 'CoordinateSystem')?.attributes ?? {};
  const code = /^(?:EPSG:+)?0*([1-9]\d*)$/i.exec(epsgCode.trim())?.[1];
  if (code !== undefined) return { from: 'file', text: `EPSG:${code}` };
  return ogcWktCode.includes('[') ? { from: 'file', text: ogcWktCode } : null;
}
