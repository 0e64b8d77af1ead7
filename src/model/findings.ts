// Findings and errors. A finding is about one feature and never stops the run; an InputError stops it.
// Every code stands in one table with its severity, and in another with its meaning; docs/findings.md explains each.

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

/** Code -> severity. The severity of a finding is set only here. meanings.ts says what each code means. */
export const SEVERITIES = {
  // read
  'geometry-null': 'warning',
  'geometry-broken': 'error',
  'geometry-type': 'error',
  'feature-broken': 'error',
  'number-unreadable': 'warning',
  'encoding-assumed': 'info',
  'record-count': 'warning',
  'record-lost': 'error',
  'part-damaged': 'warning',
  'record-deleted': 'warning',
  'properties-broken': 'warning',
  'hole-outside': 'warning',
  'arc-chorded': 'info',
  'code-unmapped': 'warning',
  'layer-not-mapped': 'warning',
  'entity-unread': 'warning',
  'paper-space': 'info',
  'outside-box': 'info',
  'layer-picked': 'info',
  // coordinates
  'crs-assigned': 'info',
  'crs-datum-null': 'warning',
  'crs-mixed-datums': 'warning',
  'outside-area-of-use': 'warning',
  'axes-swapped': 'warning',
  'crs-unit-conflict': 'warning',
  'crs-member-broken': 'warning',
  'crs-code-mismatch': 'warning',
  'crs-unit-suspect': 'warning',
  'crs-zone-suspect': 'warning',
  'grid-unused': 'warning',
  'grid-no-shift': 'warning',
  'grid-outside': 'warning',
  'stem-bearing-missing': 'warning',
  'stem-moved': 'info',
  'feet-slip': 'warning',
  'layers-apart': 'warning',
  // fields
  'field-mapped': 'info',
  'disposition-unknown': 'warning',
  'letter-read': 'info',
  'value-unknown': 'warning',
  'words-kept': 'info',
  'protected-unknown': 'warning',
  'dbh-stems': 'info',
  'dbh-estimated': 'info',
  'dbh-range': 'error',
  'crown-conflict': 'warning',
  'dbh-missing': 'error',
  'dbh-absurd': 'warning',
  'dbh-conflict': 'warning',
  'base-dia-assumed': 'info',
  'kind-assumed': 'info',
  'width-missing': 'error',
  'depth-unknown': 'info',
  'height-unit': 'info',
  'height-missing': 'error',
  'diameter-outside-table': 'error',
  'zone-empty': 'error',
  'zone-radius-zero': 'warning',
  'zone-overridden': 'info',
  'tolerance-assumed': 'info',
  'age-assumed': 'info',
  'ring-unmeasured': 'info',
  'crown-missing': 'error',
  'limb-unplaced': 'error',
  'crown-incomplete': 'warning',
  'shade-no-building': 'warning',
  'shade-unreckoned': 'info',
  'shade-field-unread': 'warning',
  'shade-assumed': 'info',
  'facade-height-assumed': 'info',
  'survey-old': 'warning',
  // geometry
  'ring-open': 'info',
  'ring-short': 'error',
  'ring-crossing': 'warning',
  'polygon-empty': 'error',
  'line-empty': 'error',
  'duplicate-id': 'warning',
  'position-zero': 'warning',
  'duplicate-position': 'warning',
  'several-points': 'error',
  // field notes
  'note-unreadable': 'error',
  'note-conflict': 'warning',
  'note-point-unknown': 'error',
  'note-point-loose': 'error',
  'note-side-missing': 'error',
  'note-no-meeting': 'error',
  'note-outline': 'error',
  'note-blunder': 'warning',
  'note-variance': 'warning',
  'note-scale': 'warning',
  'note-crossing-flat': 'warning',
  'note-unchecked': 'info',
  'note-closing': 'info',
  // levels and grades
  'level-unreadable': 'error',
  'level-no-benchmark': 'warning',
  'level-loose': 'error',
  'level-closure': 'info',
  'level-misclosed': 'warning',
  'grade-two-heights': 'warning',
  'grade-no-height': 'warning',
  'grade-face-broken': 'warning',
  'grade-fold': 'warning',
  'grade-datum': 'warning',
  'grade-unknown': 'warning',
  'grade-change': 'info',
  'grade-drawn': 'info',
  // drawn by an arborist
  'drawn-tree-unknown': 'error',
  'drawn-tree-twice': 'info',
  'drawn-trunk-outside': 'warning',
  // run
  'default-rule': 'info',
  'rule-note': 'info',
  'regrow-unreached': 'warning',
  'margins-skipped': 'info',
  'margin-not-found': 'info',
  'works-exempt': 'info',
  'options-compared': 'info',
  'no-works': 'warning',
  'shape-approximate': 'info',
  'output-unplaced': 'warning',
  'text-truncated': 'warning',
  'crown-clearance': 'info',
  'crown-over-quarter': 'warning',
  'temporary-in-zone': 'warning',
  'fence-leaves-tree': 'warning',
  'fence-off-lots': 'warning',
  'retention-differs': 'warning',
  'years-unreadable': 'warning',
  'mitigation-no-diameter': 'warning',
  'mitigation-outside-table': 'warning',
  'limb-over-diameter': 'warning',
  'limbs-over-quarter': 'warning',
  'off-site-on-lot': 'warning',
  // siting
  'siting-no-room': 'warning',
  'siting-trade': 'warning',
  'siting-beyond-help': 'warning',
  'siting-not-proven': 'info',
  'siting-unjudged': 'warning',
  // compare
  'compare-field': 'info',
  'compare-unclear': 'warning',
  'compare-renamed': 'warning',
  'compare-no-provenance': 'warning',
  'compare-version': 'info',
  'compare-figure': 'warning',
  'compare-unexplained': 'warning',
} as const;

export type FindingCode = keyof typeof SEVERITIES;

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
    severity: SEVERITIES[code],
    layer: place.layer ?? null,
    feature: place.feature ?? null,
    id: place.id ?? null,
    path: place.path ?? null,
    message,
    cure,
  };
}

/** The input can't be used: the user can fix it; it is not a defect of rootberth. */
export class InputError extends Error {
  override readonly name = 'InputError';
  readonly code: string;
  readonly layer: string | null;
  readonly feature: number | null;
  readonly path: string | null;
  readonly cure: string;
  /** Wrong usage (exit 2: unknown option, CRS or rule id) rather than unusable input (exit 1). */
  readonly usage: boolean;
  /** Names that help the user: the layers of a file that holds several; the likely coordinate columns, easting first. */
  readonly choices: readonly string[];

  constructor(
    code: string,
    message: string,
    where: Place & { readonly cure: string; readonly usage?: boolean; readonly choices?: readonly string[] },
  ) {
    super(message);
    this.code = code;
    this.layer = where.layer ?? null;
    this.feature = where.feature ?? null;
    this.path = where.path ?? null;
    this.cure = where.cure;
    this.usage = where.usage ?? false;
    this.choices = where.choices ?? [];
  }
}

/** Reported before anything is measured, where possible, and again when the file is written. */
export function stakesNeedPlane(): InputError {
  return new InputError('stakes-need-plane', 'stakes need plane coordinates, and the survey is in degrees', {
    cure: 'name the projected system of the site with --out-crs, such as EPSG:2913',
    usage: true,
  });
}
