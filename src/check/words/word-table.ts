// What a table of words is. In: nothing; out: types, and the key under which a word is looked up.
// Terms: value = what the contract calls a thing; word = what surveys write for it; letter = a single letter or a short sign
// that stands for different things in different offices: never mapped, the user is always asked.
// Cost: linear in the words, once when the module is loaded.

/** Trade words of one field, by the value they stand for. The value itself is a word of its own. */
export interface WordTable<V extends string = string> {
  /** In the order of the codes that the columns hold. */
  readonly values: readonly V[];
  readonly words: Readonly<Record<V, readonly string[]>>;
  /** Signs that mean different things to different people; a finding asks for them. */
  readonly asked: readonly string[];
  /** What is assumed for a word that no table has. */
  readonly unknown: string;
}

/** Word -> code. */
export type Words = Readonly<Record<string, number>>;

/** Small letters, without spaces, hyphens, dots, commas, brackets and quotes: "To be removed" is `toberemoved`. */
export function wordKey(text: string): string {
  return text
    .normalize('NFC')
    .toLowerCase()
    .replace(/[\s_\-\u2010-\u2015.,:;()[\]'"‘’“”]+/g, '');
}

/** The table as the readers use it: each word's key with the code of its value. */
export function wordsOf<V extends string>({ values, words }: WordTable<V>): Words {
  const out: Record<string, number> = {};
  values.forEach((value, code) => {
    for (const word of [value, ...words[value]]) out[wordKey(word)] = code;
  });
  return out;
}
