// What an arborist looks at in a tree, as survey columns hold it, and what is made of it. In: nothing; out: lists of words, types.
// Terms: grade = how much of something there is; not-seen = looked for by nobody, or not to be seen; retention category = A, B,
// C or U of BS 5837:2012, table 1. Nothing here concludes: the arborist signs.

/** How much there is of a defect; `present` says that there is some and not how much. */
export const GRADES = ['none', 'slight', 'moderate', 'severe', 'present', 'not-seen'] as const;

export type WorthWordField =
  | 'vigour'
  | 'live_buds'
  | 'sounding'
  | 'cavities'
  | 'decay'
  | 'fungi'
  | 'root_flare'
  | 'root_disease'
  | 'codominant'
  | 'included_bark'
  | 'dead_wood'
  | 'pests'
  | 'past_damage'
  | 'irremediable'
  | 'strikes';

/** The words that each field of a survey settles to, in the order of their codes. */
export const WORTH_VALUES: Readonly<Record<WorthWordField, readonly string[]>> = {
  vigour: ['good', 'fair', 'poor', 'moribund', 'dead', 'not-seen'],
  live_buds: ['none', 'few', 'yes', 'not-seen'],
  sounding: ['sound', 'dull', 'hollow', 'not-seen'],
  cavities: GRADES,
  decay: GRADES,
  fungi: GRADES,
  root_flare: ['visible', 'partly', 'buried', 'damaged', 'not-seen'],
  root_disease: GRADES,
  codominant: GRADES,
  included_bark: GRADES,
  dead_wood: GRADES,
  pests: GRADES,
  past_damage: GRADES,
  irremediable: ['no', 'yes', 'not-seen'],
  strikes: ['nothing', 'not-seen'],
};

/** Figures of a survey that are kept as they are read: percent of the crown, degrees from plumb. */
export const WORTH_FIGURES = ['crown_density_pct', 'dieback_pct', 'lean_deg'] as const;

export type WorthFigureField = (typeof WORTH_FIGURES)[number];

/** A field of what an arborist looks at. */
export type WorthField = WorthWordField | WorthFigureField;

/** Codes of a field that are no place in its list of words. A figure's code is 0 for none and 1 for some. */
export const NOT_RECORDED = 255;
/** The survey's own words, which no table grades: kept as read. */
export const OWN_WORDS = 254;

/** What the survey says of its trees, by field: a code a tree. Fields that the survey does not have are absent. */
export interface WorthTable {
  readonly codes: ReadonlyMap<WorthField, Uint8Array>;
  /** 1 where the survey's `condition` says that the tree is dead. */
  readonly dead: Uint8Array;
}

/** Texture classes of soil, as a soil survey names them. */
export const SOILS = [
  'clay',
  'silty-clay',
  'silty-clay-loam',
  'silt',
  'silt-loam',
  'clay-loam',
  'loam',
  'sandy-clay',
  'sandy-clay-loam',
  'sandy-loam',
  'loamy-sand',
  'sand',
] as const;

export type Soil = (typeof SOILS)[number];

export const RETENTION = ['A', 'B', 'C', 'U'] as const;

export type RetentionCategory = (typeof RETENTION)[number];

/** Years a tree is expected to stay, as entered; an end that is not stated is null: `20+` is from 20 to null. */
export interface Years {
  readonly from: number | null;
  readonly to: number | null;
}

/** What the survey's answers come to, for one tree. Codes; words for them are in write/worth-words.ts. */
export interface Worth {
  /** The survey's own category where it states one, else the reckoned one. */
  readonly category: RetentionCategory | null;
  /** The survey's own, where its `category` is a letter of table 1. */
  readonly stated: RetentionCategory | null;
  /** By the ladder alone; null where years or defects do not settle it. */
  readonly reckoned: RetentionCategory | null;
  /** The rung, or what keeps it open: `years-at-least-20`, `defects-open`. */
  readonly reasons: readonly string[];
  /** Fields without an answer, those that the ladder needs first. */
  readonly missing: readonly string[];
  /** `field:answer`, what holds the tree up first; `field:noted` for the survey's own words. */
  readonly seeFirst: readonly string[];
  readonly years: Years | null;
}
