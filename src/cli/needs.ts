// Options that mean nothing without another, or can't stand beside one. In: options as they were given; out: nothing, or
// wrong usage. Terms: see table/row.ts. Said before any file is read: an option that is passed over in silence would leave
// its user believing that it had been used. Linear in the rows.

import { type AttributeOf, attributeOf, type OptionRow, type Row, rowsOf } from './table/index.js';
import { usage } from './values.js';

/** Attributes that rows name. */
type NamedBy<R extends Row> = R extends { readonly needs: { readonly anyOf: readonly (infer A)[] } }
  ? A | OtherOf<R>
  : OtherOf<R>;
type OtherOf<R extends Row> = R extends { readonly excludes: { readonly other: infer A } } ? A : never;
/** Whether an option was given, by its attribute; one that is no option does not compile. */
type Asked = [NamedBy<Row>] extends [AttributeOf<Row>] ? (attribute: string) => boolean : never;

/**
 * Throws for the first option that stands beside one it excludes, then for the first that stands without one it needs.
 * `isGiven` knows an option that was written from a default.
 *
 * @throws InputError `option-conflict`, `option-lonely`, usage
 */
export function checkNeeds(command: string, isGiven: Asked): void {
  const given = rowsOf(command).filter((row) => isGiven(attributeOf(row)));
  for (const { excludes } of given) {
    if (excludes !== undefined && isGiven(excludes.other)) {
      throw usage('option-conflict', excludes.message, excludes.cure);
    }
  }
  for (const row of given) checkNeed(row, isGiven);
}

function checkNeed(row: OptionRow, isGiven: Asked): void {
  if (row.needs === undefined || row.needs.anyOf.some(isGiven)) return;
  // A manifest is no output that one would add: it stands in for one where a job is split.
  const others = row.needs.anyOf.filter((one) => one !== 'manifest').map(longName);
  throw usage(
    'option-lonely',
    `${longName(attributeOf(row))} does nothing without ${others.join(' or ')}`,
    row.needs.cure,
  );
}

/** `existingUse` -> `--existing-use`. */
function longName(key: string): string {
  return `--${key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
}
