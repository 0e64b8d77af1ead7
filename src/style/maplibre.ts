// Role styles -> MapLibre style, style specification version 8. In: roles, the prefix of our properties, where the GeoJSON
// is; out: a plain object, for JSON. Terms: source = the GeoJSON, named after its file; layer = one paint of one role.
// No sprite and no glyphs are asked for, which would be files on a server: hence no text, and marks are circles.

import { type Look, ROLE_STYLES, type RoleStyle, type StyledRole, type StyleRule } from './role-styles.js';

/** What a style shows, and from where. */
export interface MapLibreOptions {
  readonly roles: readonly StyledRole[];
  readonly prefix: string;
  /** The source's name, and its address as seen from the style. */
  readonly source: string;
  readonly data: string;
  readonly title: string;
  /** West, south, east, north of what the map opens on; null: the whole earth. */
  readonly box: readonly [number, number, number, number] | null;
}

export interface MapLibreLayer {
  readonly id: string;
  readonly type: 'fill' | 'line' | 'circle';
  readonly source: string;
  readonly filter: Expression;
  readonly paint: Readonly<Record<string, unknown>>;
}

/** A style of version 8; its members are those of the specification. */
export interface MapLibreStyle {
  readonly version: 8;
  readonly name: string;
  readonly center?: readonly [number, number];
  readonly zoom?: number;
  readonly sources: Readonly<Record<string, { readonly type: 'geojson'; readonly data: string }>>;
  readonly layers: readonly MapLibreLayer[];
}

type Expression = readonly unknown[];

/**
 * The style of a GeoJSON of ours, roles bottom to top.
 *
 * @example
 * toMapLibre({ roles: ['tree'], prefix: 'rb_', source: 'assessed', data: 'assessed.geojson', title: 'Trees', box: null });
 */
export function toMapLibre(options: MapLibreOptions): MapLibreStyle {
  const { source, data, title, box, roles } = options;
  return {
    version: 8,
    name: title,
    ...(box === null ? {} : view(box)),
    sources: { [source]: { type: 'geojson', data } },
    layers: roles.flatMap((role) => layersOf(role, options)),
  };
}

/** Pixels of the short side of a small window; a tile of zoom 0 is 512 wide. */
const WINDOW = 600;
const TILE = 512;
/** Closer than this a site of one tree would fill the window with its trunk. */
const CLOSEST = 20;

function view([west, south, east, north]: readonly [number, number, number, number]): {
  readonly center: readonly [number, number];
  readonly zoom: number;
} {
  const middle = (south + north) / 2;
  const wide = Math.max(east - west, (north - south) / Math.cos((middle * Math.PI) / 180), 1e-6);
  const zoom = Math.log2((360 / wide) * (WINDOW / TILE));
  const round = (value: number, digits: number): number => Math.round(value * 10 ** digits) / 10 ** digits;
  return {
    center: [round((west + east) / 2, 6), round(middle, 6)],
    zoom: round(Math.min(CLOSEST, Math.max(0, zoom)), 1),
  };
}

function layersOf(role: StyledRole, { prefix, source }: MapLibreOptions): MapLibreLayer[] {
  const style = ROLE_STYLES[role];
  const { instead, above } = style;
  const isRole: Expression = ['==', ['get', `${prefix}role`], role];
  const make = (
    id: string,
    type: MapLibreLayer['type'],
    paint: MapLibreLayer['paint'],
    filters: readonly Expression[] = [],
  ): MapLibreLayer => ({
    id: `${role}-${id}`,
    type,
    source,
    filter: filters.length === 0 ? isRole : ['all', isRole, ...filters],
    paint,
  });
  const not: readonly Expression[] = instead === null ? [] : [['!=', ['get', prefix + instead.by], instead.rule.value]];
  const get: Expression | null = style.by === null ? null : ['get', prefix + style.by];
  const out = paints(style, get).map(({ id, type, paint, only }) => {
    const polygons: readonly Expression[] = type === 'fill' || (role === 'tree' && type === 'line') ? [POLYGON] : [];
    const points: readonly Expression[] = type === 'circle' ? [POINT] : [];
    const some: readonly Expression[] = only === null || get === null ? [] : [['in', get, ['literal', only]]];
    return make(id, type, paint, [...polygons, ...points, ...some, ...not]);
  });
  if (instead !== null && instead.rule.stroke !== null) {
    const paint = linePaint([instead.rule], null);
    out.push(make('instead', 'line', paint, [['==', ['get', prefix + instead.by], instead.rule.value]]));
  }
  for (const { value, mark } of above?.rules ?? []) {
    if (mark === null || above === null) continue;
    // Without glyphs there is no cross: a dot of the ink in the middle of the mark, whose edge keeps the verdict's colour.
    const paint = {
      'circle-radius': Math.round(mark.sizePx * 25) / 100,
      'circle-color': mark.colour,
      'circle-stroke-color': '#ffffff',
      'circle-stroke-width': 1,
    };
    out.push(make(`${value}`, 'circle', paint, [POINT, ['==', ['get', prefix + above.by], value]]));
  }
  return out;
}

const POINT: Expression = ['in', ['geometry-type'], ['literal', ['Point', 'MultiPoint']]];
const POLYGON: Expression = ['in', ['geometry-type'], ['literal', ['Polygon', 'MultiPolygon']]];

interface Paint {
  readonly id: string;
  readonly type: MapLibreLayer['type'];
  readonly paint: MapLibreLayer['paint'];
  /** Values of the property that it is for; null: all. */
  readonly only: readonly (string | null)[] | null;
}

/** Fill, lines and marks of a role; lines of one dash are one layer, as a dash takes no expression. */
function paints({ rules }: RoleStyle, get: Expression | null): Paint[] {
  const out: Paint[] = [];
  const onlyOf = (some: readonly StyleRule[]): Paint['only'] =>
    some.length === rules.length ? null : some.map(({ value }) => value);
  const filled = rules.filter(({ fill }) => fill !== null);
  if (filled.length > 0) {
    const paint = {
      'fill-color': choice(filled, get, ({ fill }) => fill!.colour),
      'fill-opacity': choice(filled, get, ({ fill }) => fill!.opacity),
    };
    out.push({ id: 'fill', type: 'fill', paint, only: onlyOf(filled) });
  }
  const byDash = new Map<string, StyleRule[]>();
  for (const rule of rules) {
    if (rule.stroke === null) continue;
    const dash = JSON.stringify(rule.stroke.dashPx);
    byDash.set(dash, [...(byDash.get(dash) ?? []), rule]);
  }
  for (const some of byDash.values()) {
    const id = byDash.size === 1 ? 'line' : `line-${some[0]!.value}`;
    out.push({ id, type: 'line', paint: linePaint(some, get), only: onlyOf(some) });
  }
  const marked = rules.filter(({ mark }) => mark !== null);
  if (marked.length > 0) {
    const paint = {
      'circle-radius': choice(marked, get, ({ mark }) => mark!.sizePx / 2),
      'circle-color': choice(marked, get, ({ mark }) => mark!.colour),
      'circle-stroke-color': choice(marked, get, ({ stroke }) => stroke?.colour ?? '#ffffff'),
      'circle-stroke-width': choice(marked, get, ({ stroke }) => stroke?.widthPx ?? 0),
    };
    out.push({ id: 'mark', type: 'circle', paint, only: onlyOf(marked) });
  }
  return out;
}

function linePaint(some: readonly StyleRule[], get: Expression | null): MapLibreLayer['paint'] {
  const { dashPx, widthPx } = some[0]!.stroke!;
  return {
    'line-color': choice(some, get, ({ stroke }) => stroke!.colour),
    'line-width': choice(some, get, ({ stroke }) => stroke!.widthPx),
    // The specification counts dashes in widths of the line.
    ...(dashPx === null ? {} : { 'line-dasharray': dashPx.map((dash) => Math.round((dash / widthPx) * 100) / 100) }),
  };
}

/** One value where all rules agree, else a match on the property; what has none (null) takes the last. */
function choice(rules: readonly StyleRule[], get: Expression | null, of: (rule: StyleRule & Look) => unknown): unknown {
  const values = rules.map(of);
  if (get === null || new Set(values).size === 1) return values[0];
  const none = rules.findIndex(({ value }) => value === null);
  const otherwise = values[none < 0 ? 0 : none];
  return ['match', get, ...rules.flatMap(({ value }, i) => (value === null ? [] : [value, values[i]])), otherwise];
}
