// Text from a source as a terminal may print it. In: any text; out: text without control characters.

/** Text from a source without control characters: a tag must not steer the terminal. */
export function printable(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
  return text.replace(/[\u0000-\u001f\u007f-\u009f]/g, ' ');
}
