// Reasons: the short codes of rb_reasons, each with the sentence it stands for. docs/rules.md lists them.
// In: nothing; out: the table. A rule file may add codes of its own for its limits; they are explained by the rule.
// Codes of rows that could not be read or are not assessed are findings' codes (findings.ts) and mean the same.

/** Code -> what it says of a tree. */
export const REASONS = {
  // not assessed
  'dbh-missing': 'The rule needs a trunk diameter and the tree gives none.',
  'crown-missing': 'The rule needs crown radii and the tree does not give all of them.',
  'height-missing': 'The rule needs a height and the tree gives none.',
  'diameter-outside-table': 'The trunk is thicker than the last row of the rule’s table.',
  'zone-empty': 'The rule gives this tree no radius above 0.',
  'not-measured': 'The overlap could not be measured.',
  // how the zone came about
  'zone-overridden': 'The radius given with the tree was used instead of the rule’s.',
  'group-zone':
    'A group of trees: its zone is its outline and all ground within the radius. It has no rings, margin or severed ground.',
  'zone-drawn':
    'The zone drawn for the tree was used instead of the rule’s circle; its radius is the distance to the farthest corner.',
  'zone-by-form': 'The rule has a separate formula for trees of this form.',
  'stems-combined':
    'Several stems were combined into one diameter. The trunk is a disc of this diameter; stems may stand outside it.',
  'dbh-estimated': 'The survey marks the diameter as an estimate.',
  'base-dia-assumed':
    'No diameter above the root buttress was given; the one at breast height was used and is usually smaller.',
  'tolerance-assumed': 'No tolerance of the species was given; moderate was used.',
  'age-assumed': 'No age was given; mature was used.',
  'trunk-unmeasured': 'No diameter was given; the trunk was treated as a point.',
  'ring-unmeasured': 'A ring of the rule could not be sized because a figure is missing.',
  'ring-beyond-zone': 'A ring of the rule reaches beyond the zone.',
  // verdict
  'no-works': 'No works were given: the zone is known, and nothing was judged.',
  'trunk-in-works': 'Works stand on the trunk.',
  'depth-unknown': 'Works count in full because their depth is not given. A known depth could change the result.',
  'over-zone-limit': 'Works take more of the zone than the limit.',
  'over-kinds-limit': 'Works of some kinds take more of the zone than their limit.',
  'over-ring-limit': 'Works take more of a ring than its limit.',
  'cut-in-no-cut':
    'Works that cut roots stand in the no-cut ring: the tree may lose its hold on the ground, whatever the percentage.',
  'cut-in-structural':
    'Works that cut roots stand in the structural ring: the tree may lose its hold on the ground, whatever the percentage.',
  'grade-unknown':
    'The surfaces given do not reach all ground in the zone: fill and cut there are not known, and may be more than stated.',
  'on-lot-line':
    'The trunk stands on a lot line or crosses it: it counts once, on the first lot that contains its centre. Both neighbours often own such a tree.',
  'margin-not-found':
    'The works around the tree have so many corners that its margin would take too long to calculate. The margin is not given.',
  // crowns: advisory, they never change a verdict
  'crown-cleared':
    'Seen from above, a building stands under the crown; its top with the clearance stays below the crown’s base, so there is no conflict.',
  'crown-height-unknown': 'A building’s height or the crown’s base was not given; the building counts in full.',
  'crown-incomplete': 'Some of the crown’s four radii were not given; the crown was not measured.',
  'crown-over-quarter':
    'Buildings and their clearance take more than one fourth of the crown, the most that ANSI A300-1995 allowed to be removed in one season.',
  // limits of the built-in rules
  'works-in-no-cut-ring': 'Works stand in the no-cut ring.',
  'works-in-structural-ring': 'Works stand in the structural root zone.',
  'structure-or-excavation-in-zone':
    'A structure, excavation, trench, fill or compaction reaches the root protection area.',
  'surfacing-over-limit': 'New surfacing takes more than its limit of the root protection area.',
  'major-encroachment': 'Works take more of the tree protection zone than the limit between minor and major.',
  'works-in-root-zone': 'Works reach the root zone.',
  'compensation-needed': 'The lost ground must be made up elsewhere, next to the zone.',
} as const;

export type ReasonCode = keyof typeof REASONS;
