// Options -> settings. In: what commander hands over, and takers; out: the settings of a sink that were given.
// Terms: taker = what turns one option into the setting that its row names as its target. A row without a taker does not
// compile, nor does a taker that leaves its setting out: no option is parsed and reaches nothing. Linear in the options.

import type { AttributeOf, Flags, RowOf, SinkOf, ValueOf } from './index.js';
import type { CommandName } from './row.js';
import type { SinkName, Sinks } from './sinks.js';

type KeyOf<S extends SinkName, T extends string> = T extends `${S}.${infer Key}` ? Key & keyof Sinks[S] : never;

/** Settings as takers give them: that of the row's target, and others if need be; undefined leaves one out. */
type Taken<S extends SinkName, Key extends keyof Sinks[S]> = { readonly [K in Key]: Sinks[S][K] | undefined } & {
  readonly [K in keyof Sinks[S]]?: Sinks[S][K] | undefined;
};

/** A taker for every option of the commands that ends in the sink. */
export type Takers<C extends CommandName, S extends SinkName> = {
  readonly [R in RowOf<C, S> as AttributeOf<R>]-?: (
    value: ValueOf<R>,
    flags: Flags<C>,
  ) => Taken<S, KeyOf<S, R['target']>>;
};

/** What a command declares: takers for every sink in which one of its options ends. */
export type AllTakers<C extends CommandName> = { readonly [S in SinkOf<C>]: Takers<C, S> };

/** The settings that were given. */
export function take<C extends CommandName, S extends SinkName>(
  flags: Flags<C>,
  takers: Takers<C, S>,
): Partial<Sinks[S]> {
  const settings: Record<string, unknown> = {};
  const values: Readonly<Record<string, unknown>> = flags;
  for (const [attribute, taker] of Object.entries<(value: never, flags: Flags<C>) => object>(takers)) {
    const value = values[attribute];
    if (value === undefined) continue;
    for (const [key, setting] of Object.entries(taker(value as never, flags))) {
      if (setting !== undefined) settings[key] = setting;
    }
  }
  return settings as Partial<Sinks[S]>;
}
