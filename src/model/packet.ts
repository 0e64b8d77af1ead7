// What is handed in beside the figures. In: nothing; out: types of the records that a packet file states.
// Terms: packet = report, inventory and sheets as a city or a client gets them; any field may be missing: it then prints as
// a line to fill in. Nothing is invented.

/** Who prepared the packet. */
export interface Preparer {
  readonly name?: string;
  readonly firm?: string;
  readonly address?: string;
  readonly phone?: string;
  readonly email?: string;
  /** Licence numbers, each with what it licenses: "Landscape contractor 00000". */
  readonly licences?: readonly string[];
  /** Certificate numbers, in the same way. */
  readonly certificates?: readonly string[];
}

/** One line of the revision table. */
export interface Revision {
  /** What stands in the triangle on the sheets: "1", "A". */
  readonly mark?: string;
  readonly date?: string;
  readonly text: string;
}

/** Somebody to call, for the protection sheet. */
export interface Contact {
  /** "Project arborist", "City inspector". */
  readonly role: string;
  readonly name?: string;
  readonly phone?: string;
  readonly email?: string;
}

/** A packet file: who submits what, for which place, and when. Dates are written as given: 2026-10-01. */
export interface Packet {
  readonly project?: string;
  readonly address?: string;
  /** Parcel, or lot and block, as the deed names it. */
  readonly parcel?: string;
  readonly jurisdiction?: string;
  readonly permit?: string;
  readonly client?: string;
  readonly owner?: string;
  readonly applicant?: string;
  readonly preparer?: Preparer;
  readonly date?: string;
  readonly surveyor?: string;
  readonly surveyDate?: string;
  readonly revisions?: readonly Revision[];
  readonly contacts?: readonly Contact[];
  /** Notes on north and datum, in place of what the files say. */
  readonly north?: string;
  readonly datum?: string;
  /** Who signs, a line each; default: preparer, owner or applicant, reviewer. */
  readonly signatures?: readonly string[];
}
