// Text -> cells of a CSV. In: text of a source or ours; out: text that is safe in a spreadsheet, quoted as RFC 4180 has it.
// Terms: inert = not run as a formula when the file is opened in a spreadsheet.

/**
 * Text from a source that a spreadsheet would run as a formula gets an apostrophe in front, which spreadsheets hide;
 * numbers ("-12") stay numbers.
 */
export function inert(text: string): string {
  return /^[=+\-@\t\r]/.test(text) && !/^[+-]?\d+(\.\d+)?$/.test(text) ? `'${text}` : text;
}

export function quoted(text: string): string {
  return /[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
