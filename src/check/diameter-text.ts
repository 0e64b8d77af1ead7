// What people write in a field for one diameter. In: a cell; out: the figure, with the marks around it.
// Terms: estimate = marked by ~, c., ca., # and the like; stems = several figures for one tree; range = from - to: neither
// end is used. Linear in the text; a cell that is a number costs one test.

export type DiameterText =
  | { readonly kind: 'plain'; readonly value: unknown; readonly estimated: boolean }
  | { readonly kind: 'stems'; readonly parts: readonly string[]; readonly estimated: boolean }
  | { readonly kind: 'range'; readonly from: string; readonly to: string };

const NUMBER = String.raw`\d+(?:\.\d+)?`;
const UNIT = String.raw`(?:\s*(?:''|["″”]|in(?:ch(?:es)?)?\.?|cm|mm|m|ft))?`;
const ESTIMATE =
  /^\s*(?:~|≈|±|#|(?:c|ca|circa|approx|approximately|est|etwa|rd)\.?\s*(?=\d))\s*|\s*(?:#|~|\(?est\.?(?:imated)?\)?)\s*$/giu;
const RANGE = new RegExp(`^(${NUMBER}${UNIT})\\s*(?:-|–|—|to|bis)\\s*(${NUMBER}${UNIT})$`, 'i');
const PART = new RegExp(`^${NUMBER}${UNIT}$`, 'i');
const PLAIN_DECIMAL_COMMA = /^\d+,\d+$/;
const LONGEST = 200;

/** `inches`: the field is in inches, where nobody writes a decimal comma with two digits: 18,14 means two stems. */
export function readDiameterText(value: unknown, inches: boolean): DiameterText {
  const plain = { kind: 'plain', value, estimated: false } as const;
  if (typeof value !== 'string' || value.length > LONGEST || !Number.isNaN(Number(value))) return plain;
  const text = value.replace(ESTIMATE, '').trim();
  const estimated = text !== value.trim();
  const range = RANGE.exec(text);
  if (range !== null) return { kind: 'range', from: range[1]!, to: range[2]! };
  const parts = partsOf(text, inches);
  if (parts !== null) return { kind: 'stems', parts, estimated };
  return estimated ? { kind: 'plain', value: text, estimated } : plain;
}

function partsOf(text: string, inches: boolean): readonly string[] | null {
  for (const sign of [';', '/', '+', '&', ',']) {
    if (!text.includes(sign)) continue;
    const decimal = sign === ',' && PLAIN_DECIMAL_COMMA.test(text) && !(inches && /,\d\d$/.test(text));
    if (decimal) return null;
    const parts = text.split(sign).map((part) => (sign === ',' ? part.trim() : part.trim().replace(/,(?=\d)/, '.')));
    // A unit after the last figure holds for all of them: 18/14/12 in.
    const unit = new RegExp(`^${NUMBER}(${UNIT})$`, 'i').exec(parts.at(-1) ?? '')?.[1] ?? '';
    const whole = parts.map((part) => (/\D$/.test(part) ? part : part + unit));
    return parts.length > 1 && parts.every((part) => PART.test(part)) ? whole : null;
  }
  return null;
}
