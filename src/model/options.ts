// What a job may ask for. In: nothing; out: types of options, one list of words.
// Terms: see each option.

import type { GroundScale, ShiftGrid } from './crs.js';
import type { Layer, LayerRole } from './layer.js';
import type { Mitigation } from './mitigation.js';
import type { BearingRef, WorksKind } from './tables.js';
import type { TreeFacts } from './tree-facts.js';
import type { LengthUnit } from './units.js';
import type { Soil } from './worth.js';

/** A works file and what the command line or the caller says about it. */
export interface WorksInput {
  readonly layer: Layer;
  readonly kind?: WorksKind; // for every feature that does not say its own
  readonly option?: string; // design option
}

/** How far a long job has come: reported now and then, never per feature. */
export interface Progress {
  readonly stage: 'read' | 'measure' | 'write';
  readonly name: string; // the file, or what is measured
  readonly done: number; // bytes while reading, trees while measuring; trees while writing, once for each role drawn from them
  readonly total: number; // 0 where it is not known
}

/**
 * How ground that is hard today counts. `counted`: its share is given, and works on it count. `spared`: works on it are not a
 * new loss. `regrown`: as `spared`, and zones grow until their area without it is the rule's own.
 */
export const EXISTING_USES = ['counted', 'spared', 'regrown'] as const;

export type ExistingUse = (typeof EXISTING_USES)[number];

/** Options of `assess`; lengths in metres, shares 0..1. */
export interface AssessOptions {
  /** Unit of a diameter, girth or stem field whose name does not say it. */
  readonly dbhUnit?: LengthUnit;
  /** Contract field -> source field: { dbh: 'DIAM', 'works.depth': 'D' }. */
  readonly fields?: Readonly<Record<string, string>>;
  /**
   * Words of the files -> what they mean: { 'disposition.TBR': 'remove', 'works.kind.Sanitary lateral': 'trench' }. For words
   * that the tables of words (docs/words.md) do not know, or read in another way.
   */
  readonly values?: Readonly<Record<string, string>>;
  /** Replaces the rule's overall limit (share of the zone), never a ring's. */
  readonly limit?: number;
  /** CRS of every layer that does not state its own: 'EPSG:2913'. */
  readonly crs?: string;
  /** CRS of one layer; overrides everything else. */
  readonly crsFor?: Readonly<Partial<Record<LayerRole, string>>>;
  /** Shift grids; each is used for the layers on its source datum. */
  readonly grids?: readonly ShiftGrid[];
  /** Every projected layer's coordinates are scaled to ground: `--ground-factor F --ground-origin E,N`. */
  readonly ground?: GroundScale;
  /** Months after which a survey is old; default 24. Judged against `today` only. */
  readonly surveyAgeMonths?: number;
  /**
   * The date to count from, such as 2026-10-01. Without it no survey counts as old: the library reads no
   * clock. The result keeps the date where it made a survey count as old.
   */
  readonly today?: string;
  /** Trees were shot on the trunk's face: moved by half a diameter along the bearing from the face to the centre. */
  readonly stemAt?: StemAtFace;
  /** Whether margins are found; default: in jobs of up to 1,000 trees. */
  readonly margins?: boolean;
  /** How far all trunk diameters may be off together: verdicts are tried with less and with more. */
  readonly dbhAccuracyM?: number;
  /** How works on ground that is hard today count, where such a layer is given; default counted. */
  readonly existingUse?: ExistingUse;
  /** Working space added round a kind. */
  readonly overdigM?: Readonly<Partial<Record<WorksKind, number>>>;
  /** Kept free between crowns and structures, sideways and upwards; default 0. */
  readonly clearanceM?: number;
  /** The table that says what replaces lost trees, per lot and in total. */
  readonly mitigation?: Mitigation;
  /** Published figures shown beside a tree's own in what is printed, in place of the built-in ones. */
  readonly treeFacts?: TreeFacts;
  /** The soil of trees whose survey does not give it. */
  readonly soil?: Soil;
  /** How fences are laid out. If it is given, fences are laid out whatever the size of the job. */
  readonly fences?: FenceOptions;
  /** How a limb list is read. */
  readonly limbs?: LimbOptions;
}

/** Values for what a limb list does not say. */
export interface LimbOptions {
  /** What the bearings count from, for rows that do not say. */
  readonly bearing?: BearingRef;
  /** Magnetic north, degrees east of true north, at the site on the day. */
  readonly declination?: number;
  /** Diameter at the cut above which a limb is flagged, metres. */
  readonly limitM?: number;
}

export interface FenceOptions {
  /** Kept free between works and fence; default 1.5 m (common practice, no source). */
  readonly workingSpaceM?: number;
  /** Most between two posts; default 10 ft. */
  readonly postSpacingM?: number;
  /** Stakes will be set out in the survey's own system: a survey in degrees is refused before anything is measured. */
  readonly stakesInSurvey?: boolean;
}

/** Shots on the face: `bearing` names the field (degrees clockwise), counted from true or from grid north. */
export interface StemAtFace {
  readonly bearing: string;
  readonly north: 'true' | 'grid';
}
