// Records of tiles in the order of the whole job. In: per tile its records, by ascending row; out: all of them by row.
// Terms: source = one tile's records of one role; a row's records are all in one source, in their order.

export interface RecordSource {
  /** Row of the record that comes next; -1 at the end. */
  readonly row: number;
  /** The record's bytes, valid until the next is asked for; goes on to the next. */
  next(): Uint8Array;
}

/** All records by row: a heap of the sources' next rows, and runs of one source without it. */
export function* interleaved(sources: readonly RecordSource[]): Generator<Uint8Array, void, undefined> {
  const heap = sources.filter(({ row }) => row >= 0);
  for (let i = (heap.length >> 1) - 1; i >= 0; i--) sink(heap, i);
  while (heap.length > 0) {
    const first = heap[0]!;
    const limit = Math.min(heap[1]?.row ?? Infinity, heap[2]?.row ?? Infinity);
    while (first.row >= 0 && first.row < limit) yield first.next();
    if (first.row < 0) {
      const last = heap.pop()!;
      if (heap.length > 0) heap[0] = last;
    }
    sink(heap, 0);
  }
}

function sink(heap: RecordSource[], from: number): void {
  for (let i = from; ; ) {
    let least = i;
    for (const child of [2 * i + 1, 2 * i + 2]) {
      if ((heap[child]?.row ?? Infinity) < (heap[least]?.row ?? Infinity)) least = child;
    }
    if (least === i) return;
    [heap[i], heap[least]] = [heap[least]!, heap[i]!];
    i = least;
  }
}
