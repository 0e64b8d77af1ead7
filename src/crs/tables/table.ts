// Systems folded into texts. In: nothing; out: the type of every table here. Terms: see crs-registry.ts, which unfolds them.

/** Systems folded into texts. One of `rootberth/crs/us`, `europe`, `oceania` or `world`; made by scripts, never by hand. */
export interface CrsTable {
  readonly name: string;
  /** Whether it holds every system the library knows: what is not in it does not exist. */
  readonly complete: boolean;
  readonly templates: string;
  readonly datums: string;
  readonly areas: string;
  readonly conversions: string;
  readonly rows: string;
  readonly refused: string;
  readonly reasons: string;
}
