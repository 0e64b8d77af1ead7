// The part of sql.js 1.16 that is used; the package ships no types.
declare module 'sql.js/dist/sql-wasm-browser.js' {
  export interface Statement {
    bind(values: readonly (string | number)[]): boolean;
    step(): boolean;
    getAsObject(values: null, config: { useBigInt: boolean }): Record<string, unknown>;
    free(): boolean;
  }
  export interface Database {
    prepare(sql: string): Statement;
    close(): void;
  }
  export default function initSqlJs(settings: {
    wasmBinary: ArrayBuffer;
  }): Promise<{ Database: new (bytes: Uint8Array) => Database }>;
}
