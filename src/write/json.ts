// Values -> JSON text that never throws and never drops a key. In: own properties of a source, options, findings;
// out: JSON text. Terms: own = as read from the source; ordered = keys sorted, for objects a caller wrote.

/**
 * JSON of any value a reader can hand over. A value that JSON cannot hold becomes the closest one:
 * a bigint its digits, NaN and the infinities null, undefined and functions null.
 */
export function jsonText(value: unknown): string {
  // Most values are plain; JSON.stringify without a replacer is several times as fast.
  if (typeof value === 'string' || typeof value === 'number' || value === null) return JSON.stringify(value);
  return JSON.stringify(value, plain) ?? 'null';
}

function plain(_key: string, value: unknown): unknown {
  if (typeof value === 'bigint') return value.toString();
  if (value === undefined || typeof value === 'function' || typeof value === 'symbol') return null;
  return value;
}

/** The same with every object's keys sorted: options mean the same whatever order they were given in. */
export function orderedText(value: unknown): string {
  return jsonText(ordered(value));
}

function ordered(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(ordered);
  if (value === null || typeof value !== 'object') return value;
  const entries = Object.entries(value).filter(([, v]) => v !== undefined);
  entries.sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
  return Object.fromEntries(entries.map(([k, v]) => [k, ordered(v)]));
}
