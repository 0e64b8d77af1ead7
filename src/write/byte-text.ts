// Text made as bytes: in: texts, numbers and bytes one after another; out: UTF-8 in large pieces.
// A million features as strings have to be joined, encoded and thrown away; as bytes they are written once, at a fifth
// of the cost. Terms: the numbers written are those String() gives for the same rounded value, a test holds that.

const PIECE = 1 << 20;
const encoder = new TextEncoder();
const ZERO = 0x30;
/** Up to here a value times 10^6 (or 10^9) is a whole number that a double holds, with room for rounding. */
const EXACT = 1e15;
const INT32 = 2 ** 31;

export class ByteText {
  #bytes = new Uint8Array(PIECE + (PIECE >> 2));
  #length = 0;
  readonly #texts = new Map<string, Uint8Array>(); // JSON of texts that repeat

  /** Whether a piece is full enough to be taken. */
  get full(): boolean {
    return this.#length >= PIECE;
  }

  /** What has been written since the last call. */
  take(): Uint8Array {
    const out = this.#bytes.slice(0, this.#length);
    this.#length = 0;
    return out;
  }

  bytes(source: Uint8Array, from: number = 0, to: number = source.length): void {
    this.#room(to - from);
    const out = this.#bytes;
    let at = this.#length;
    if (to - from > 64) {
      out.set(source.subarray(from, to), at);
      at += to - from;
    } else for (let i = from; i < to; i++) out[at++] = source[i]!;
    this.#length = at;
  }

  text(text: string): void {
    this.#room(text.length * 3);
    this.#length += encoder.encodeInto(text, this.#bytes.subarray(this.#length)).written;
  }

  /** A text as a JSON string. */
  json(text: string): void {
    let known = this.#texts.get(text);
    if (known === undefined) {
      known = encoder.encode(JSON.stringify(text));
      if (this.#texts.size > 5000) this.#texts.clear(); // names that never repeat
      this.#texts.set(text, known);
    }
    this.bytes(known);
  }

  /** One byte of plain text: a comma, a bracket. */
  byte(code: number): void {
    this.#room(1);
    this.#bytes[this.#length++] = code;
  }

  /** A JSON string of a text that will hardly repeat; `before` is put in front of it and needs no escapes. */
  jsonOnce(text: string, before: string = ''): void {
    this.#room(text.length + before.length + 2);
    const out = this.#bytes;
    let at = this.#length;
    out[at++] = 0x22;
    for (let i = 0; i < before.length; i++) out[at++] = before.charCodeAt(i);
    for (let i = 0; i < text.length; i++) {
      const c = text.charCodeAt(i);
      if (c < 0x20 || c > 0x7e || c === 0x22 || c === 0x5c) {
        this.text(JSON.stringify(before + text)); // nothing has been committed yet
        return;
      }
      out[at++] = c;
    }
    out[at++] = 0x22;
    this.#length = at;
  }

  /** A whole number from 0 to 2^31. */
  count(value: number): void {
    this.#room(10);
    this.#length = digits(this.#bytes, this.#length, value | 0);
  }

  /** A number that is rounded to `decimals` places already (6 or 9). */
  rounded(value: number, decimals: 6 | 9): void {
    if (value === 0) {
      this.byte(ZERO);
      return;
    }
    const scale = decimals === 6 ? 1e6 : 1e9;
    const whole = Math.round(value * scale);
    const size = Math.abs(whole);
    const integer = Math.floor(size / scale);
    // below 10^-6 String() uses exponents, and beyond EXACT its shortest digits may differ
    if (!(size < EXACT) || whole / scale !== value || Math.abs(value) < 1e-6 || integer >= INT32) {
      this.text(String(value));
      return;
    }
    this.#room(24);
    const out = this.#bytes;
    let at = this.#length;
    if (whole < 0) out[at++] = 0x2d;
    at = digits(out, at, integer | 0);
    const rest = (size - integer * scale) | 0;
    this.#length = rest === 0 ? at : fraction(out, at, rest, decimals);
  }

  #room(more: number): void {
    if (this.#length + more <= this.#bytes.length) return;
    const larger = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + more));
    larger.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = larger;
  }
}

/** Digits of a whole number; as 32-bit arithmetic, which divides by multiplying. */
function digits(out: Uint8Array, from: number, integer: number): number {
  let end = from + 1;
  for (let rest = (integer / 10) | 0; rest > 0; rest = (rest / 10) | 0) end++;
  let rest = integer;
  for (let i = end - 1; i >= from; i--) {
    const next = (rest / 10) | 0;
    out[i] = ZERO + rest - next * 10;
    rest = next;
  }
  return end;
}

/** The point and what comes behind it, `places` digits at most, without zeros at the end. */
function fraction(out: Uint8Array, from: number, digitsBehind: number, places: number): number {
  out[from] = 0x2e;
  let rest = digitsBehind;
  let end = from;
  for (let i = from + places; i > from; i--) {
    const next = (rest / 10) | 0;
    const digit = rest - next * 10;
    if (end === from && digit !== 0) end = i;
    out[i] = ZERO + digit;
    rest = next;
  }
  return end + 1;
}
