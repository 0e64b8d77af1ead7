// How each role of the output looks on a map: rules that turn on one of its properties. In: nothing; out: one table, from
// which SLD, MapLibre styles and simplestyle properties are made. Terms: rule = how features look whose property has a value
// (null: has none); px = the pixel of the standards, 0.28 mm (OGC 05-077r4, clause 11.1.1); above = a mark laid over.
// Every feature of a role meets exactly one of its rules.

import { VERDICTS, WORKS_KINDS } from '../model/index.js';
import {
  EXISTING_TONE,
  GROUND_TONE,
  INK,
  KIND_TONES,
  LINE_STYLES,
  PATTERNS,
  TAKEN_OPACITY,
  TAKEN_TONES,
  type Tone,
  VERDICT_STYLES,
} from './colours.js';

/** Roles of the output (write/options.ts), bottom to top on a map. */
export const STYLED_ROLES = [
  'lot',
  'existing',
  'works',
  'zone',
  'ring',
  'crown',
  'overlap',
  'severed',
  'fence',
  'tree',
] as const;
export type StyledRole = (typeof STYLED_ROLES)[number];

export interface Stroke {
  readonly colour: string;
  readonly widthPx: number;
  readonly opacity: number;
  readonly dashPx: readonly number[] | null;
}

export interface Look {
  readonly fill: { readonly colour: string; readonly opacity: number } | null;
  readonly stroke: Stroke | null;
  /** A point: its shape is a well-known name of SE 1.1, its size in px. */
  readonly mark: {
    readonly shape: 'circle' | 'x' | 'triangle';
    readonly colour: string;
    readonly sizePx: number;
  } | null;
}

export interface StyleRule extends Look {
  readonly title: string;
  /** The value that the property has; null: none, or no property is asked for. */
  readonly value: string | null;
}

export interface RoleStyle {
  readonly title: string;
  /** The property that the rules turn on, without the prefix; null: one rule for all. */
  readonly by: string | null;
  readonly rules: readonly StyleRule[];
  /** Features with this value of another property look so instead, whatever the rules say. */
  readonly instead: { readonly by: string; readonly rule: StyleRule } | null;
  /** Laid over some features, by another property. */
  readonly above: { readonly by: string; readonly rules: readonly StyleRule[] } | null;
}

const px = (mm: number): number => Math.round((mm / 0.28) * 100) / 100;
const dashes = (text: string): readonly number[] | null => (text === '' ? null : text.split(' ').map(Number).map(px));
const stroke = (colour: string, mm: number, dashPx: readonly number[] | null = null, opacity = 1): Stroke => ({
  colour,
  widthPx: px(mm),
  opacity,
  dashPx,
});

const NOTHING: Look = { fill: null, stroke: null, mark: null };
const area = (tone: Tone, opacity: number, mm: number, value: string | null = null): StyleRule => ({
  ...NOTHING,
  title: tone.title,
  value,
  fill: { colour: tone.ground, opacity },
  stroke: stroke(tone.ink, mm),
});

type LineName = keyof typeof LINE_STYLES;
function line(name: LineName, value: string | null = null, pattern?: readonly number[]): StyleRule {
  const { title, ink, width, dash } = LINE_STYLES[name];
  return { ...NOTHING, title, value, stroke: stroke(ink, width, pattern?.map(px) ?? dashes(dash)) };
}

const one = (rule: StyleRule): RoleStyle => ({
  title: rule.title,
  by: null,
  rules: [rule],
  instead: null,
  above: null,
});

/** Every verdict, and none. */
const VERDICT_LOOKS: readonly { readonly value: string | null; readonly title: string; readonly fill: string }[] = [
  ...VERDICTS.map((value) => ({ value, ...VERDICT_STYLES[value] })),
  { value: null, ...VERDICT_STYLES.none },
];

/** A zone lies under what is drawn in it: its tint shows through. */
const ZONE_OPACITY = 0.35;
const MARK_PX = 11;

export const ROLE_STYLES: Readonly<Record<StyledRole, RoleStyle>> = {
  lot: one(line('lot')),
  existing: one(area(EXISTING_TONE, 1, 0.18)),
  works: {
    title: 'Works',
    by: 'kind',
    rules: WORKS_KINDS.map((kind) => area(KIND_TONES[kind], 1, 0.25, kind)),
    instead: {
      by: 'counted',
      rule: {
        ...NOTHING,
        title: 'Works that do not count',
        value: 'false',
        stroke: stroke(INK, 0.25, [px(1), px(0.7)]),
      },
    },
    above: null,
  },
  zone: {
    title: LINE_STYLES.zone.title,
    by: 'verdict',
    rules: VERDICT_LOOKS.map(({ value, title, fill }) => ({
      ...line('zone', value),
      title,
      fill: { colour: fill, opacity: ZONE_OPACITY },
    })),
    instead: null,
    above: null,
  },
  ring: one(line('ring')),
  crown: one(line('crown', null, PATTERNS.crown)),
  overlap: one(area(TAKEN_TONES.overlap, TAKEN_OPACITY, 0.2)),
  severed: one(area(TAKEN_TONES.severed, TAKEN_OPACITY, 0.2)),
  fence: {
    title: LINE_STYLES.fence.title,
    by: 'fence_kind',
    rules: [
      area(GROUND_TONE, 0.4, 0.16, 'ground-protection'),
      line('fence', 'fence', PATTERNS.fence),
      line('gate', 'gate'),
    ],
    instead: null,
    above: null,
  },
  tree: {
    title: 'Trees',
    by: 'verdict',
    rules: VERDICT_LOOKS.map(({ value, title, fill }) => ({
      title,
      value,
      fill: { colour: fill, opacity: ZONE_OPACITY }, // of a group, whose row is a polygon
      stroke: stroke(INK, 0.25),
      mark: { shape: 'circle', colour: fill, sizePx: MARK_PX },
    })),
    instead: null,
    above: {
      by: 'disposition',
      rules: [
        { ...NOTHING, title: 'To be removed', value: 'remove', mark: { shape: 'x', colour: INK, sizePx: MARK_PX } },
        {
          ...NOTHING,
          title: 'To be transplanted',
          value: 'transplant',
          mark: { shape: 'triangle', colour: INK, sizePx: 6 },
        },
      ],
    },
  },
};

/** How a feature looks: by the values of its properties, named without the prefix. A word no rule knows looks as the first. */
export function lookOf(role: StyledRole, value: (property: string) => unknown): StyleRule {
  const { by, rules, instead } = ROLE_STYLES[role];
  if (instead !== null && value(instead.by) === instead.rule.value) return instead.rule;
  const has = by === null ? null : (value(by) ?? null);
  return rules.find((rule) => rule.value === has) ?? rules[0]!;
}
