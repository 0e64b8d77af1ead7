// Text of a source -> text that is safe and fits. In: ids, remarks, messages of anybody; out: escaped, clean, cut, measured.
// Terms: em = the font's size; isolate = a run of text whose direction (right to left, or reversed) can't leak out of it.
// One place escapes for HTML and SVG alike; nothing reaches a drawing or a page without passing it.

/**
 * Characters that XML can't hold or that steer a terminal become a space or U+FFFD; line breaks become a space.
 *
 * @example
 * clean('a\u0000b\nc'); // 'a\ufffdb c'
 */
export function clean(text: string): string {
  return (
    text
      .replace(/\s+/g, ' ')
      // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
      .replace(/[\u0000-\u001f\u007f-\u009f\ufffe\uffff]|\p{Surrogate}/gu, '\ufffd')
  );
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text for an element or an attribute of HTML or SVG. */
export function esc(text: string): string {
  return clean(text).replace(/[&<>"']/g, (sign) => ENTITIES[sign]!);
}

/** At most so many characters, the last an ellipsis; never half a character. */
export function cut(text: string, most: number): string {
  const signs = [...clean(text)];
  return signs.length <= most ? signs.join('') : `${signs.slice(0, most - 1).join('')}…`;
}

/** Text of a source inside a line of ours: it can't turn what follows it round. */
export function isolated(text: string): string {
  return `\u2068${text}\u2069`;
}

// Advance widths of common sans-serif letters, thousandths of an em; metric-compatible fonts share them.
const WIDTHS: ReadonlyMap<string, number> = new Map(
  (
    [
      ["ijl'|", 222],
      [' .,:;!/\\ftI[]·', 278],
      ['-()r`"', 333],
      ['cksvxyzJ', 500],
      ['+=<>~', 584],
      ['FTZ', 611],
      ['ABEKPSVXY&', 667],
      ['CDHNRUw', 722],
      ['GOQ', 778],
      ['mM', 833],
      ['%', 889],
      ['W', 944],
      ['@…', 1015],
      ['\u2068\u2069', 0],
    ] as const
  ).flatMap(([signs, width]) => [...signs].map((sign) => [sign, width] as const)),
);

/** How wide a text is at most, in em. Letters of other scripts count as a full em: too wide rather than too narrow. */
export function widthEm(text: string): number {
  let sum = 0;
  for (const sign of text) {
    const known = WIDTHS.get(sign);
    if (known !== undefined) sum += known;
    else if (/\p{M}/u.test(sign)) sum += 0;
    else sum += sign.charCodeAt(0) < 0x80 ? 556 : sign.charCodeAt(0) < 0x530 ? 780 : 1020;
  }
  return sum / 1000;
}

/** A text whose first letter is a capital. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
