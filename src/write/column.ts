// One property of a feature as written. In: nothing; out: a type. Terms: column = a key and how to fill it.

/** One property of a feature made from a record of type T; its value is of its type, or null. */
export type Column<T> = {
  readonly name: string; // without the prefix
  /** Written without it: a name that is a standard's, not ours. */
  readonly bare?: true;
} & (
  | {
      readonly type: 'text';
      readonly value: (of: T) => string | null;
      /** A value that is a fixed text and a row number: for writers that make no string of it. */
      readonly numbered?: { readonly before: string; readonly row: (of: T) => number };
      /** Hardly any two features share a value, so caching it gains nothing. */
      readonly unlike?: true;
    }
  | { readonly type: 'real'; readonly value: (of: T) => number | null } // rounded as written, finite
  | { readonly type: 'boolean'; readonly value: (of: T) => boolean }
);

/** The key a column is written under. */
export function keyOf<T>({ name, bare }: Column<T>, prefix: string): string {
  return bare === true ? name : prefix + name;
}
