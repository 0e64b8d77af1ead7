// Types of proj-db.mjs for the tests.
export function projDb(): {
  readonly sql: (query: string) => readonly Readonly<Record<string, string | number | null>>[];
  readonly versions: { readonly proj: string | undefined; readonly epsg: string | undefined };
} | null;
