// Rows and bytes as runs. In: ascending row numbers, or ranges of bytes; out: flat lists of pairs, and back.
// Terms: run = first, count; range = offset, length.

/** Ascending numbers as first, count, first, count, ...: a tile's rows mostly follow each other in the file. */
export function runsOf(rows: Iterable<number>): number[] {
  const runs: number[] = [];
  for (const row of rows) {
    const last = runs.length - 2;
    if (last >= 0 && runs[last]! + runs[last + 1]! === row) {
      runs[last + 1] = runs[last + 1]! + 1;
    } else runs.push(row, 1);
  }
  return runs;
}

/** The rows of runs. */
export function fromRuns(runs: readonly number[]): Uint32Array {
  let count = 0;
  for (let i = 1; i < runs.length; i += 2) count += runs[i]!;
  const rows = new Uint32Array(count);
  let at = 0;
  for (let i = 0; i < runs.length; i += 2) {
    for (let k = 0; k < runs[i + 1]!; k++) rows[at++] = runs[i]! + k;
  }
  return rows;
}

/** Byte ranges of rows; ranges of rows that follow each other become one, with the bytes between them. */
export function joinedRanges(rows: Uint32Array, start: Float64Array, end: Float64Array): number[] {
  const ranges: number[] = [];
  let before = -2;
  for (const row of rows) {
    const from = start[row]!;
    const to = end[row]!;
    if (row === before + 1) ranges[ranges.length - 1] = to - ranges[ranges.length - 2]!;
    else ranges.push(from, to - from);
    before = row;
  }
  return ranges;
}
