// How kept trees are protected while others build. In: nothing; out: types of the records that a protection file states.
// Terms: detail = one figure or one thing of the fence; note = a sentence for the site; source = where it comes from, in words:
// a code and its place, "common practice, no source", "from memory". Lengths stay as written, with their unit: "6 ft".

/** Where a detail or a note comes from; left out where a file does not say. */
interface Sourced {
  readonly source?: string;
}

/** A length with its unit, or words. */
export interface ProtectionDetail extends Sourced {
  readonly value: string;
}

export interface ProtectionNote extends Sourced {
  readonly text: string;
}

/** The fence, detail by detail; the drawing is made of these. */
export interface FenceDetails {
  /** Above the ground: "6 ft". */
  readonly height: ProtectionDetail;
  /** What hangs between the posts, in words. */
  readonly material: ProtectionDetail;
  /** What the posts are, in words. */
  readonly posts: ProtectionDetail;
  /** From middle to middle, at most: "10 ft". */
  readonly postSpacing: ProtectionDetail;
  /** Below the ground; "0 ft" for a fence that stands on feet. */
  readonly postDepth: ProtectionDetail;
  /** From sign to sign along the fence, at most. */
  readonly signSpacing: ProtectionDetail;
  /** What the signs say, line by line. */
  readonly signWords: Sourced & { readonly lines: readonly string[] };
  readonly signSize: Sourced & { readonly width: string; readonly height: string };
  /** The width that is drawn, and what holds of every gate in words. */
  readonly gate: Sourced & { readonly width: string; readonly text: string };
  /** What other places ask for, and what does not count as a fence. */
  readonly notes: readonly ProtectionNote[];
}

/** What ground outside the fence is covered with. */
export interface GroundBuildUp extends Sourced {
  readonly when: string;
  readonly what: string;
}

/** From what distance on a pipe is bored below roots instead of trenched. */
export interface BoreDistance extends Sourced {
  /** Trunk diameter up to and with this; left out in the last row: all larger ones. */
  readonly upTo?: string;
  /** From the trunk's face. */
  readonly distance: string;
}

export interface RootNotes {
  readonly cutting: readonly ProtectionNote[];
  /** The least depth of a bore below the ground. */
  readonly boreDepth: ProtectionDetail;
  /** From the smallest diameter up. */
  readonly boreDistances: readonly BoreDistance[];
  readonly boring: readonly ProtectionNote[];
}

export interface SequenceStep extends Sourced {
  readonly step: string;
  readonly what: string;
  readonly who: string;
}

/** A row of the inspection log: date, findings and signature are left to fill in. */
export interface Inspection extends Sourced {
  readonly what: string;
  readonly when: string;
  readonly who: string;
  /** Blank lines for what is looked at again and again; 1 where left out. */
  readonly lines?: number;
}

/** A protection file with the defaults for what it leaves out. */
export interface Protection {
  readonly fence: FenceDetails;
  readonly ground: readonly GroundBuildUp[];
  readonly roots: RootNotes;
  readonly sequence: readonly SequenceStep[];
  readonly inspections: readonly Inspection[];
  /** What nobody does inside the fence. */
  readonly forbidden: readonly ProtectionNote[];
}
