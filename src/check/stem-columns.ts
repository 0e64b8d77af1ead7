// Stems of one tree in several columns. In: names of columns; out: series of columns that hold a stem each.
// Terms: series = names that differ only by a number: dbh1_in, dbh2_in; DBH 1, DBH 2. Linear in the names.

import { plainName, unitOfName } from './field-names.js';

/** Names that say by themselves that the columns are stems or diameters. */
const SURE = /^(dbh|stems?|stem_dbh|dbh_stem)$/;
/** Names that probably do (common practice, no source). */
const LIKELY =
  /^(dbh|stems?|stem_dbh|dbh_stem|bhd|dia|diam|diameter|stem_dia(m|meter)?|trunk(_dia(m|meter)?)?|cal|caliper|bole)$/;

/** The columns of a series of two or more, in the order of their numbers; empty where there is none. */
export function stemSeries(fields: readonly string[], how: 'sure' | 'likely'): readonly string[] {
  const pattern = how === 'sure' ? SURE : LIKELY;
  const series = new Map<string, { readonly name: string; readonly number: number }[]>();
  for (const name of fields) {
    const plain = plainName(name);
    const unit = unitOfName(name);
    const bare = unit === undefined ? plain : plain.slice(0, plain.lastIndexOf('_'));
    const match = /^(.*?)_?(\d{1,2})$/.exec(bare);
    if (match === null || !pattern.test(match[1]!)) continue;
    const of = `${match[1]} ${unit ?? ''}`;
    series.set(of, [...(series.get(of) ?? []), { name, number: Number(match[2]) }]);
  }
  const longest = [...series.values()].sort((a, b) => b.length - a.length)[0] ?? [];
  if (longest.length < 2) return [];
  return [...longest].sort((a, b) => a.number - b.number).map(({ name }) => name);
}
