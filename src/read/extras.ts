// What a reader says about a whole layer, beside its columns. In: a finished layer; out: the same layer with these facts.
// Terms: set aside = kept and not to be used, with a reason (model/).

import type { Layer, LayerContent, StatedUnit } from '../model/index.js';

/** Adds a stated unit, the features set aside and the layers within; missing facts are left out. */
export function withExtras(
  layer: Layer,
  extras: {
    readonly unit?: StatedUnit | undefined;
    readonly setAside?: ReadonlyMap<number, string> | undefined;
    readonly contents?: readonly LayerContent[] | undefined;
    readonly columns?: readonly [x: string, y: string] | undefined;
  },
): Layer {
  const { unit, setAside, contents, columns } = extras;
  return Object.assign(
    layer,
    unit === undefined ? {} : { unit },
    setAside === undefined || setAside.size === 0 ? {} : { setAside },
    contents === undefined ? {} : { contents },
    columns === undefined ? {} : { columns },
  );
}
