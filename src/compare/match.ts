// Which feature of the later file is which of the earlier one. In: labels, texts of all that is compared, and who may be whom;
// out: pairs, what is only in one file, and what nobody can tell. Terms: same = a text of all that is compared: two rows with
// one text can't be told apart, so it does not matter which is which; candidate = a row that may be the same one without
// having the same label. Nothing is guessed: where a row has several candidates, all of them are unclear.
// Cost: linear in the rows, and in the candidates of the few that no label settles.

/** The rows of one file. */
export interface Side {
  readonly count: number;
  label(row: number): string | null;
  same(row: number): string;
}

export interface Matched {
  /** In the order of the earlier file. */
  readonly pairs: readonly (readonly [before: number, after: number])[];
  readonly gone: readonly number[];
  readonly added: readonly number[];
  readonly unclearBefore: readonly number[];
  readonly unclearAfter: readonly number[];
}

/** A row of the earlier file, rows of the later one that may be it; `sure` of them: those that can hardly be another. */
export type Candidates = (
  before: readonly number[],
  after: readonly number[],
) => readonly { readonly before: number; readonly after: number; readonly sure: boolean }[];

/** Matches by label, then by all that is compared, then by the candidates of those that have no label. */
export function match(before: Side, after: Side, candidates: Candidates): Matched {
  const pairs = new Map<number, number>();
  const taken = new Set<number>();
  const pair = (b: number, a: number): void => {
    pairs.set(b, a);
    taken.add(a);
  };
  const left = (): [number[], number[]] => [
    rows(before.count).filter((row) => !pairs.has(row)),
    rows(after.count).filter((row) => !taken.has(row)),
  ];
  byLabel(before, after, ...left(), pair);
  bySame(before, after, ...left(), pair);
  byLabel(before, after, ...left(), pair); // of two with one label, one is as it was: the other is settled
  const edges = [...likely(candidates, before, after, ...left()), ...doubled(before, after, ...left())];
  settle(
    edges.filter(({ sure }) => sure),
    pair,
  );
  const open = edges.filter((edge) => !pairs.has(edge.before) && !taken.has(edge.after));
  settle(open, pair);
  const unclear = open.filter((edge) => !pairs.has(edge.before) && !taken.has(edge.after));
  const [unclearBefore, unclearAfter] = [new Set(unclear.map((e) => e.before)), new Set(unclear.map((e) => e.after))];
  const [restBefore, restAfter] = left();
  return {
    pairs: [...pairs].sort(([a], [b]) => a - b),
    gone: restBefore.filter((row) => !unclearBefore.has(row)),
    added: restAfter.filter((row) => !unclearAfter.has(row)),
    unclearBefore: restBefore.filter((row) => unclearBefore.has(row)),
    unclearAfter: restAfter.filter((row) => unclearAfter.has(row)),
  };
}

type Edge = ReturnType<Candidates>[number];
type Pair = (before: number, after: number) => void;

function rows(count: number): number[] {
  return Array.from({ length: count }, (_, row) => row);
}

/** Rows by their key; those whose key is null are left out. */
function grouped(list: readonly number[], key: (row: number) => string | null): Map<string, number[]> {
  const out = new Map<string, number[]>();
  for (const row of list) {
    const text = key(row);
    if (text === null) continue;
    const held = out.get(text);
    if (held === undefined) out.set(text, [row]);
    else held.push(row);
  }
  return out;
}

/** A label that one row of each file has. */
function byLabel(before: Side, after: Side, b: readonly number[], a: readonly number[], pair: Pair): void {
  const later = grouped(a, (row) => after.label(row));
  for (const [label, [only, ...more]] of grouped(b, (row) => before.label(row))) {
    const there = later.get(label);
    if (more.length === 0 && there?.length === 1) pair(only!, there[0]!);
  }
}

/** Rows with one label or none, and all else the same, one after another. */
function bySame(before: Side, after: Side, b: readonly number[], a: readonly number[], pair: Pair): void {
  const later = grouped(a, (row) => `${after.label(row)}\n${after.same(row)}`);
  for (const [text, list] of grouped(b, (row) => `${before.label(row)}\n${before.same(row)}`)) {
    const there = later.get(text) ?? [];
    for (let i = 0; i < Math.min(list.length, there.length); i++) pair(list[i]!, there[i]!);
  }
}

/** Candidates of which one has no label: two different labels are two different features. */
function likely(find: Candidates, before: Side, after: Side, b: readonly number[], a: readonly number[]): Edge[] {
  return find(b, a).filter((edge) => before.label(edge.before) === null || after.label(edge.after) === null);
}

/** A label that several rows of a file have: any of them may be any. */
function doubled(before: Side, after: Side, b: readonly number[], a: readonly number[]): Edge[] {
  const later = grouped(a, (row) => after.label(row));
  const out: Edge[] = [];
  for (const [label, list] of grouped(b, (row) => before.label(row))) {
    // A chain through all of them makes them one group.
    const there = later.get(label) ?? [];
    const longest = there.length === 0 ? 0 : Math.max(list.length, there.length);
    for (let i = 0; i < longest; i++) {
      const edge = { before: list[Math.min(i, list.length - 1)]!, after: there[Math.min(i, there.length - 1)]! };
      out.push({ ...edge, sure: false });
      if (i > 0 && i < list.length) out.push({ before: list[i]!, after: there[0]!, sure: false });
      if (i > 0 && i < there.length) out.push({ before: list[0]!, after: there[i]!, sure: false });
    }
  }
  return out;
}

/** Pairs what has no other candidate, on neither side. */
function settle(edges: readonly Edge[], pair: Pair): void {
  const ofBefore = new Map<number, Set<number>>();
  const ofAfter = new Map<number, Set<number>>();
  for (const { before, after } of edges) {
    ofBefore.set(before, (ofBefore.get(before) ?? new Set()).add(after));
    ofAfter.set(after, (ofAfter.get(after) ?? new Set()).add(before));
  }
  for (const [before, [only, ...more]] of ofBefore) {
    if (more.length === 0 && ofAfter.get(only!)!.size === 1) pair(before, only!);
  }
}
