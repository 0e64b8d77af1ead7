// Bytes -> base 64 text, without Node. In: bytes; out: text. Terms: see RFC 4648, section 4.

/** By btoa, which web pages have too. */
export function base64(bytes: Uint8Array): string {
  let text = '';
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}
