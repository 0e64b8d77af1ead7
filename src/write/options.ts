// Options of the writers. In: units, roles, prefix as a caller or the command line gives them; out: checked ones.
// Terms: role = what a feature of the output is (`rb_role`), in drawing order from the bottom of a map to its top.

import type { Assessment, CrsTransform, StopSignal } from '../model/index.js';
import { InputError } from '../model/index.js';
import type { Units } from './numbers.js';
import type { OutputSystem } from './shape.js';

/** Every role of the contract, bottom to top on a map. */
export const ROLES = [
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
export type Role = (typeof ROLES)[number];

/** Roles that are drawn for a tree from its figures. */
export const DRAWN = ['zone', 'ring', 'crown', 'overlap', 'severed'] as const;
export type DrawnRole = (typeof DRAWN)[number];

/** Whether a role is drawn as a plain outline, which has no pinches to look for. */
export function isOutline(role: DrawnRole): boolean {
  return role === 'zone' || role === 'ring';
}

/** Fences are laid out by default in jobs of at most this many trees; in larger ones the role or an option asks for them. */
const FENCED_UNASKED = 5000;

/** Options of `toGeoJSON`. */
export interface GeoJSONOptions {
  /** `us`: feet, square feet and inches in place of metres; coordinates stay as they are. Default metric. */
  readonly units?: Units | undefined;
  /** Which features to write; default all, fences in jobs of up to 5,000 trees or with `fences` options. Order is fixed. */
  readonly roles?: readonly string[] | undefined;
  /** What every property of ours begins with; default `rb_`. */
  readonly prefix?: string | undefined;
  /** false: no zones, rings, crowns, overlaps, severed ground, fences: figures only, and much faster. Default true. */
  readonly shapes?: boolean | undefined;
  /**
   * Coordinates in another system than longitude, latitude: planar GeoJSON, which RFC 7946 does not know. The output says
   * so in a `crs` member and in `rootberth`. `transformFor(findCrs(code))` makes one.
   */
  readonly output?: OutputSystem | undefined;
  /** A remark for data that is not from a real place: "invented data". */
  readonly stamp?: string | undefined;
  /** Of GeoJSON: true adds colours to each feature, as properties of simplestyle-spec 1.1.0. Default false. */
  readonly simplestyle?: boolean | undefined;
  /**
   * Which trees are written, with what belongs to them: verdicts (any of them), `protected`, `field=value`; all together.
   * Figures stay those of all trees. Refused where a word is not known: `only-unknown`, `only-field`.
   */
  readonly only?: readonly string[] | undefined;
  /** Which computed figures trees and their zones carry, by name: `overlap_pct`, `verdict`. Default all. */
  readonly figures?: readonly string[] | undefined;
  /** Stops the writing with the signal's reason; looked at before each tree, drawing and group of fences. */
  readonly signal?: StopSignal | undefined;
}

/** The same, checked and complete. */
export interface Plan {
  readonly units: Units;
  readonly roles: readonly Role[];
  readonly prefix: string;
  readonly output: OutputSystem | null;
  readonly stamp: string | undefined;
  readonly simplestyle: boolean;
  /** null: all. */
  readonly figures: readonly string[] | null;
}

/** Columns that say what a feature is and whose: always written. */
export const STRUCTURE: ReadonlySet<string> = new Set(['role', 'id', 'tree', 'tree_key', 'ring']);

/**
 * Checks the options. Throws InputError (usage) on a role that does not exist,
 * on an unknown unit system and on a prefix that can't begin a property name. With the assessment, a local survey's
 * output stays in its own system; and one in another is refused.
 */
export function planOf(options: GeoJSONOptions, assessment?: Assessment): Plan {
  const units = options.units ?? 'metric';
  const prefix = options.prefix ?? 'rb_';
  if (units !== 'metric' && units !== 'us')
    throw usage('units-unknown', `units "${units}" are not known`, 'metric, us');
  if (!/^[A-Za-z_][A-Za-z0-9_]*$/.test(prefix)) {
    throw new InputError('prefix-unusable', `"${prefix}" can't begin a property name`, {
      cure: 'use a letter followed by letters, digits or underscores, such as rb_',
      usage: true,
    });
  }
  return {
    units,
    prefix,
    roles: rolesOf(options, assessment),
    output: outputOf(options, assessment?.job.treeTransform),
    stamp: options.stamp,
    simplestyle: options.simplestyle ?? false,
    figures: options.figures ?? null,
  };
}

/** Where coordinates go: a local ground system has no longitude and latitude, so its output stays in it. */
function outputOf({ output }: GeoJSONOptions, trees: CrsTransform | undefined): OutputSystem | null {
  if (trees?.crs.kind !== 'local') return output ?? null;
  if (output !== undefined && output.crs.code !== trees.crs.code) {
    const message = `the survey is in a local ground system (${trees.crs.code}): its output can't be placed in ${output.crs.code}`;
    throw new InputError('crs-local', message, {
      cure: 'leave --out-crs out, or name the real coordinate system of the survey with --crs EPSG:...',
      usage: true,
    });
  }
  return { crs: trees.crs, toOutput: trees.fromLonLat };
}

function rolesOf({ roles: asked, shapes }: GeoJSONOptions, assessment: Assessment | undefined): Role[] {
  for (const role of asked ?? []) {
    if (!ROLES.some((r) => r === role)) throw usage('role-unknown', `role "${role}" is not known`, ROLES.join(', '));
  }
  const wanted = ROLES.filter((role) => (asked === undefined ? isUsual(role, assessment) : asked.includes(role)));
  return shapes === false ? wanted.filter((role) => role !== 'fence' && !DRAWN.some((d) => d === role)) : wanted;
}

/** Whether a role is written by default. */
function isUsual(role: Role, assessment: Assessment | undefined): boolean {
  if (assessment === undefined) return true;
  if (role === 'existing') return assessment.job.existing !== null;
  return role !== 'fence' || isFenced(assessment);
}

function isFenced({ options, counts }: Assessment): boolean {
  return options.fences !== undefined || counts.trees.in <= FENCED_UNASKED;
}

function usage(code: string, message: string, choices: string): InputError {
  return new InputError(code, message, { cure: `choose from ${choices}`, usage: true });
}
