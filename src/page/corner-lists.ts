// Lists of the plan's points to choose from. In: their names and places; out: options of a list, and the place that is chosen.

import type { Place } from './plan/geometry.js';

/** Fills lists with the points; what was chosen stays chosen. `none`: the words for no point. */
export function fillCorners(
  ids: readonly string[],
  corners: readonly { readonly name: string; readonly at: Place }[],
  none: string,
): void {
  for (const id of ids) {
    const list = document.getElementById(id) as HTMLSelectElement;
    const kept = list.value;
    list.replaceChildren(new Option(none, ''));
    for (const { name, at } of corners) list.append(new Option(name, at.join(' ')));
    list.value = kept;
  }
}

/** The place that a list says; null where none is chosen. */
export function chosenCorner(id: string): Place | null {
  const { value } = document.getElementById(id) as HTMLSelectElement;
  const [x = Number.NaN, y = Number.NaN] = value.split(' ').map(Number);
  return value === '' ? null : [x, y];
}
