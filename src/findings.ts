// Findings and errors. A finding speaks of one feature and never stops the run; an InputError stops it.
// Every code stands in one table with its severity and what it means; docs/findings.md explains each.

export type Severity = 'error' | 'warning' | 'info';

/** Something the user should know about one feature, layer or option. */
export interface Finding {
  readonly code: FindingCode;
  readonly severity: Severity;
  readonly layer: string | null;
  readonly feature: number | null; // position in the layer, from 0
  readonly id: string | null;
  readonly path: string | null; // e.g. "properties.DIAM" or "coordinates[0][3]"
  readonly message: string;
  readonly cure: string;
}

/** Code -> severity and meaning. A finding's severity is never set anywhere else. */
export const FINDING_CODES = {
  // read
  'geometry-null': ['warning', 'a feature has no geometry'],
  'geometry-broken': ['error', 'a geometry could not be read (wrong nesting, text or NaN for a number)'],
  'geometry-type': ['error', 'a geometry is of a type its layer does not take'],
  'feature-broken': ['error', 'a member of the collection is no feature'],
  'number-unreadable': ['warning', 'a field that should hold a number holds something else'],
  'encoding-assumed': ['info', 'text encoding was not stated and was assumed'],
  'record-count': ['warning', 'parts of a shapefile disagree on the number of records'],
  'record-lost': ['error', 'a record of a damaged shapefile could not be read (with --salvage)'],
  'part-damaged': ['warning', 'a part of a damaged zip was read as far as it goes (with --salvage)'],
  'record-deleted': ['warning', 'a record is marked as deleted in its table and was kept'],
  'properties-broken': ['warning', 'the properties of a feature are not a list of names and values'],
  'hole-outside': ['warning', 'a hole lies in no shell of its polygon and was taken as a polygon of its own'],
  'arc-chorded': ['info', 'arcs were drawn as chords'],
  'code-unmapped': ['warning', 'survey points whose description code stands for no tree were set aside'],
  'layer-not-mapped': ['warning', 'features on drawing layers that were not chosen were set aside'],
  'entity-unread': ['warning', 'drawing entities of a kind that is not read were set aside'],
  'paper-space': ['info', 'drawing entities on layouts (paper) were set aside'],
  'outside-box': ['info', 'features outside the box that was asked for were not read'],
  'layer-picked': ['info', 'a file holds more than what was read from it'],
  // coordinates
  'crs-assigned': ['info', 'which coordinate system a layer got, and why'],
  'crs-datum-null': ['warning', 'a datum shift is unknown or taken as zero'],
  'crs-mixed-datums': ['warning', 'layers stand on different datums whose shift is unknown'],
  'outside-area-of-use': ['warning', 'a position lies outside the area its coordinate system is for'],
  'axes-swapped': ['warning', 'coordinates look as if easting and northing were swapped'],
  'crs-unit-conflict': ['warning', 'a file states another unit than its coordinate system has'],
  'crs-member-broken': ['warning', 'a crs member is no object and states nothing'],
  'crs-code-mismatch': ['warning', 'a file gives its coordinate system a code that disagrees with its own numbers'],
  'crs-unit-suspect': ['warning', 'positions fit their coordinate system only in another unit'],
  'crs-zone-suspect': ['warning', "positions fit a neighbouring zone's coordinate system, not their own"],
  'grid-unused': ['warning', 'a shift grid serves none of the layers'],
  'grid-no-shift': ['warning', 'a shift grid moved nothing'],
  'grid-outside': ['warning', 'positions lie outside the shift grid'],
  'stem-bearing-missing': ['warning', 'a shot on the trunk has no usable bearing and was left where it is'],
  'stem-moved': ['info', 'shots on the face of trunks were moved to their centres'],
  'feet-slip': ['warning', 'layers look shifted as if international and US survey feet were mixed'],
  'layers-apart': ['warning', 'layers lie far away from each other'],
  // fields
  'field-mapped': ['info', 'which source field was taken for which property'],
  'value-unknown': ['warning', 'a field holds a word that is not one of those it takes'],
  'dbh-missing': ['error', 'a tree has no usable diameter'],
  'dbh-absurd': ['warning', 'a diameter is outside what trees have'],
  'dbh-conflict': ['warning', 'two sources of one diameter disagree by more than 5 %'],
  'base-dia-assumed': ['info', 'no diameter above the root buttress was given; the one at breast height was used'],
  'kind-assumed': ['info', 'works without a kind were taken as building'],
  'width-missing': ['error', 'a line of works has no width'],
  'depth-unknown': ['info', 'works without a depth count in full'],
  'height-unit': ['info', 'survey heights are kept as read'],
  'height-missing': ['error', 'the rule needs a height that the tree does not give'],
  'diameter-outside-table': ['error', "a diameter lies past the end of the rule's table"],
  'zone-empty': ['error', 'a tree has no zone: its radius is not above 0'],
  'zone-radius-zero': ['warning', 'trees give a zone radius of 0; the rule sizes their zones'],
  'zone-overridden': ['info', 'a radius given with the tree was used instead of the rule'],
  'tolerance-assumed': ['info', 'no tolerance was given; moderate was used'],
  'age-assumed': ['info', 'no age was given; mature was used'],
  'ring-unmeasured': ['info', 'a ring could not be sized for want of a figure'],
  'crown-missing': ['error', 'the rule needs a crown radius that the tree does not give'],
  'limb-unplaced': ['error', 'a limb can not be placed: its tree or its bearing is not known'],
  'crown-incomplete': ['warning', 'trees give some of their crown radii and not all'],
  'shade-no-building': ['warning', 'shade was asked for and no works are buildings'],
  'shade-unreckoned': ['info', 'trees without height or crown shade nothing in the reckoning'],
  'shade-field-unread': ['warning', 'a field of leaves or transmission can’t be read'],
  'shade-assumed': ['info', 'crown bases or leaf habits were taken for trees that do not state them'],
  'facade-height-assumed': ['info', 'buildings without a height were taken as one storey'],
  'survey-old': ['warning', 'a survey date is over the age set'],
  // geometry
  'ring-open': ['info', 'a ring was not closed and has been closed'],
  'ring-short': ['error', 'a ring has fewer than three distinct corners'],
  'ring-crossing': ['warning', 'a ring crosses itself and was repaired'],
  'polygon-empty': ['error', 'a polygon encloses no area'],
  'line-empty': ['error', 'a line has no length'],
  'duplicate-id': ['warning', 'two features share an id'],
  'position-zero': ['warning', 'a tree stands at exactly 0, 0, far from the others'],
  'duplicate-position': ['warning', 'two trees share a position'],
  'several-points': ['error', 'a tree holds more than one point'],
  // drawn by an arborist
  'drawn-tree-unknown': ['error', 'a drawn zone or crown names no tree of the survey, or more than one'],
  'drawn-tree-twice': ['info', 'several drawn polygons name one tree and are taken together'],
  'drawn-trunk-outside': ['warning', 'the trunk of a tree lies outside the zone or crown drawn for it'],
  // run
  'default-rule': ['info', 'no rule was chosen; the default was used'],
  'rule-note': ['info', 'something the user of a rule must know'],
  'regrow-unreached': ['warning', 'no zone within ten radii holds the area a tree needs beside hard ground'],
  'margins-skipped': ['info', 'margins are left out of a large job'],
  'works-exempt': ['info', 'works that do not count under the rule'],
  'options-compared': ['info', 'several design options stand side by side'],
  'no-works': ['warning', 'there are no works to measure'],
  'shape-approximate': ['info', 'a drawn shape differs from the exact figure'],
  'output-unplaced': ['warning', 'a position has no image in the output coordinate system'],
  'text-truncated': ['warning', 'the output format holds less text than a field has'],
  'crown-clearance': ['info', 'the clearance with which crowns were held against buildings'],
  'crown-over-quarter': ['warning', 'buildings take more than one fourth of a crown'],
  'temporary-in-zone': ['warning', 'temporary works reach into the zone of a tree to be kept'],
  'fence-leaves-tree': ['warning', 'a tree to be kept has no fence round it'],
  'fence-off-lots': ['warning', 'fences stand on ground outside the lots given'],
  'mitigation-no-diameter': ['warning', 'a lost tree has no diameter, so what replaces it is not known'],
  'mitigation-outside-table': ['warning', 'a mitigation table has no figure for a sum of diameters'],
  'limb-over-diameter': ['warning', 'the cut of a limb in the way is thicker than the limit set'],
  'limbs-over-quarter': ['warning', 'limbs in the way hold more than one fourth of a crown'],
  'off-site-on-lot': ['warning', 'a tree marked as standing off the site has its trunk on a lot'],
  // siting
  'siting-no-room': ['warning', 'what is to be moved fits nowhere found on the ground to build on'],
  'siting-trade': ['warning', 'no place found puts every tree to be kept within its limits'],
  'siting-beyond-help': ['warning', 'a tree is over its limits by the works that stay, wherever the footprint goes'],
  'siting-not-proven': ['info', 'a shorter move may exist'],
  'siting-unjudged': ['warning', 'trees to be kept that are not assessed were not looked after'],
} as const;

export type FindingCode = keyof typeof FINDING_CODES;

/** Where a finding points; leave out what does not apply. */
export interface Place {
  readonly layer?: string;
  readonly feature?: number;
  readonly id?: string | undefined;
  readonly path?: string;
}

/**
 * Makes a finding; its severity comes from the code's row.
 *
 * @example
 * finding('dbh-missing', { layer: 'trees.csv', feature: 3 }, 'tree has no diameter', 'fill dbh_in');
 */
export function finding(code: FindingCode, place: Place, message: string, cure: string): Finding {
  return {
    code,
    severity: FINDING_CODES[code][0],
    layer: place.layer ?? null,
    feature: place.feature ?? null,
    id: place.id ?? null,
    path: place.path ?? null,
    message,
    cure,
  };
}

/**
 * Some of many as the start of a sentence, with a verb for one and for several: `one`, `several` hold what follows.
 *
 * @example
 * someOf(1, 7, 'tree', 'has no height', 'have no height'); // '1 of 7 trees has no height'
 */
export function someOf(n: number, all: number, noun: string, one: string, several: string): string {
  return all === 1 ? `the one ${noun} ${one}` : `${n} of ${all} ${noun}s ${n === 1 ? one : several}`;
}

/** The input can't be used: the user's to mend, not a defect of ours. */
export class InputError extends Error {
  override readonly name = 'InputError';
  readonly code: string;
  readonly layer: string | null;
  readonly feature: number | null;
  readonly path: string | null;
  readonly cure: string;
  /** Wrong usage (exit 2: unknown option, CRS or rule id) rather than unusable input (exit 1). */
  readonly usage: boolean;

  constructor(code: string, message: string, where: Place & { readonly cure: string; readonly usage?: boolean }) {
    super(message);
    this.code = code;
    this.layer = where.layer ?? null;
    this.feature = where.feature ?? null;
    this.path = where.path ?? null;
    this.cure = where.cure;
    this.usage = where.usage ?? false;
  }
}

/** Told before anything is measured, where it can be, and at the writing. */
export function stakesNeedPlane(): InputError {
  return new InputError('stakes-need-plane', 'stakes need plane coordinates, and the survey is in degrees', {
    cure: 'name the projected system of the site with --out-crs, such as EPSG:2913',
    usage: true,
  });
}
