// One ring as flat x, y, not closed: in: a ring; out: the same ring in another order.

/** The ring the other way round, beginning with its last corner. */
export function backwards(ring: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = ring.length - 2; i >= 0; i -= 2) out.push(ring[i]!, ring[i + 1]!);
  return out;
}
