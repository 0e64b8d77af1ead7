// What an assessment says of grades. In: nothing; out: types. Terms: change = proposed height less existing height, metres, positive where the
// ground is filled; unknown = ground that one of the surfaces does not reach; least = a change up to this is no change, since heights are
// rounded.

/** Depths at which a rule treats fill or excavation in another way, metres, ascending. */
export interface GradeDepths {
  readonly fill: readonly number[];
  readonly excavation: readonly number[];
}

/** Grade change at one tree; null where it is not known or the tree has no zone. */
export interface TreeGrade {
  readonly changeM: number | null; // at the trunk
  readonly filledM2: number | null; // of its zone, filled by more than `fillDepthM`; of the known ground alone
  readonly cutM2: number | null; // of its zone, cut by more than `cutDepthM`
  readonly unknownM2: number | null; // of its zone, outside a surface
}

/** Grade change over a lot or over all ground that both surfaces reach. */
export interface GroundGrade {
  readonly filledM2: number; // by more than `leastM`
  readonly cutM2: number;
  readonly unchangedM2: number;
  readonly fillM3: number; // every change counts, however small
  readonly cutM3: number;
  readonly unknownM2: number; // 0 for all ground together
}

/** What an assessment says of grades. */
export interface GradesResult {
  readonly existing: string; // names of the files
  readonly proposed: string;
  readonly leastM: number;
  /** `filledM2` and `cutM2` of a tree count ground filled or cut by more than this: the first depth the rule names, else `leastM`. */
  readonly fillDepthM: number;
  readonly cutDepthM: number;
  /** Depths along which the ground is divided. */
  readonly depths: GradeDepths;
  readonly trees: readonly TreeGrade[]; // by row
  readonly lots: readonly (GroundGrade | null)[]; // by row; null for a lot that could not be used
  readonly total: GroundGrade;
}
