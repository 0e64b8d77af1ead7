// Sorts indices by a column of keys: in: numbers of items and their keys; out: the same numbers, smallest key first.
// Terms: run = a stretch that is sorted already. Stable: equal keys keep their order.
// Cost: n log n; up to SHORT items by insertion, without allocation.

/** Insertion sort up to here: quicker than anything with a second array. */
const SHORT = 48;

/** Sorts the first n entries of `order` by key[order[i]]; equal keys keep their order. */
export function sortByKey(order: Int32Array, n: number, key: Float64Array): void {
  if (n <= SHORT) insertionSort(order, 0, n, key);
  else mergeSort(order, n, (a, b) => key[a]! - key[b]!);
}

/** Sorts the first n entries of `items` by a comparison; equal ones keep their order. */
export function sortItems(items: Int32Array, n: number, compare: (a: number, b: number) => number): void {
  if (n > SHORT) {
    mergeSort(items, n, compare);
    return;
  }
  for (let i = 1; i < n; i++) {
    const item = items[i]!;
    let k = i;
    for (; k > 0 && compare(items[k - 1]!, item) > 0; k--) items[k] = items[k - 1]!;
    items[k] = item;
  }
}

function insertionSort(order: Int32Array, from: number, to: number, key: Float64Array): void {
  for (let i = from + 1; i < to; i++) {
    const item = order[i]!;
    const k = key[item]!;
    let j = i;
    for (; j > from && key[order[j - 1]!]! > k; j--) order[j] = order[j - 1]!;
    order[j] = item;
  }
}

/** From runs of one item upwards; the two arrays change places after each pass. */
function mergeSort(order: Int32Array, n: number, compare: (a: number, b: number) => number): void {
  let source = order;
  let target: Int32Array = new Int32Array(n);
  for (let width = 1; width < n; width *= 2) {
    for (let start = 0; start < n; start += 2 * width) {
      const middle = Math.min(start + width, n);
      const end = Math.min(start + 2 * width, n);
      let a = start;
      let b = middle;
      for (let k = start; k < end; k++) {
        const left = a < middle && (b >= end || compare(source[a]!, source[b]!) <= 0);
        target[k] = left ? source[a++]! : source[b++]!;
      }
    }
    const swap = source;
    source = target;
    target = swap;
  }
  if (source !== order) order.set(source.subarray(0, n));
}
