// Role styles -> simplestyle-spec 1.1.0 (https://github.com/mapbox/simplestyle-spec): colours as properties of each feature.
// In: a role; out: the names it sets and their values. Terms: names are the specification's own, without a prefix.

import type { StyledRole, StyleRule } from './role-styles.js';
import { ROLE_STYLES } from './role-styles.js';

export const SIMPLE_NAMES = [
  'marker-color',
  'stroke',
  'stroke-width',
  'stroke-opacity',
  'fill',
  'fill-opacity',
] as const;
export type SimpleName = (typeof SIMPLE_NAMES)[number];

const VALUES: Readonly<Record<SimpleName, (rule: StyleRule) => string | number | null>> = {
  'marker-color': ({ mark }) => mark?.colour ?? null,
  stroke: ({ stroke }) => stroke?.colour ?? null,
  'stroke-width': ({ stroke }) => stroke?.widthPx ?? null,
  'stroke-opacity': ({ stroke }) => stroke?.opacity ?? null,
  fill: ({ fill }) => fill?.colour ?? null,
  'fill-opacity': ({ fill }) => fill?.opacity ?? 0, // without it a filled polygon is half strong
};

/** The names that features of a role carry: those that any of its rules sets. */
export function simpleNames(role: StyledRole): readonly SimpleName[] {
  const { rules, instead } = ROLE_STYLES[role];
  const all = instead === null ? rules : [...rules, instead.rule];
  const isArea = all.some(({ fill }) => fill !== null);
  return SIMPLE_NAMES.filter((name) =>
    name === 'fill-opacity'
      ? isArea || all.some(({ stroke }) => stroke !== null)
      : all.some((rule) => VALUES[name](rule) !== null),
  );
}

/** The value of one of them under a rule; null: the rule sets none. */
export function simpleValue(name: SimpleName, rule: StyleRule): string | number | null {
  return VALUES[name](rule);
}
