// Text made as bytes: in: texts, numbers and bytes one after another; out: UTF-8 in large pieces.
// A million features as strings have to be joined, encoded and thrown away; as bytes they are written once, at a fifth
// of the cost. Terms: the numbers written are those String() gives for the same rounded value, a test holds that.

const PIECE = 1 << 20;
const encoder = new TextEncoder();
const ZERO = 0x30;
/** Up to here a value times 10^6 (or 10^9) is a whole number that a double holds, with room for rounding. */
const EXACT = 1e15;

export class ByteText {
  #bytes = new Uint8Array(PIECE + (PIECE >> 2));
  #length = 0;
  readonly #texts = new Map<string, Uint8Array>(); // JSON of texts that come again and again

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
    } else for (let i = from; i < to; i++) out[at++] = source[i] as number;
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
      if (this.#texts.size > 5000) this.#texts.clear(); // names that never come again
      this.#texts.set(text, known);
    }
    this.bytes(known);
  }

  /** A JSON string of a text that will hardly come again. */
  jsonOnce(text: string): void {
    this.#room(text.length + 2);
    const start = this.#length;
    const out = this.#bytes;
    out[start] = 0x22;
    for (let i = 0; i < text.length; i++) {
      const c = text.charCodeAt(i);
      if (c < 0x20 || c > 0x7e || c === 0x22 || c === 0x5c) {
        this.text(JSON.stringify(text)); // nothing has been committed yet
        return;
      }
      out[start + 1 + i] = c;
    }
    out[start + 1 + text.length] = 0x22;
    this.#length = start + text.length + 2;
  }

  /** A number that is rounded to `decimals` places already (6 or 9). */
  rounded(value: number, decimals: 6 | 9): void {
    const scale = decimals === 6 ? 1e6 : 1e9;
    const whole = Math.round(value * scale);
    // below 10^-6 String() turns to exponents, and beyond EXACT its shortest digits may be others
    if (!(Math.abs(whole) < EXACT) || whole / scale !== value || (value !== 0 && Math.abs(value) < 1e-6)) {
      this.text(String(value));
      return;
    }
    this.#room(24);
    const out = this.#bytes;
    let at = this.#length;
    let rest = Math.abs(whole);
    if (whole < 0) out[at++] = 0x2d;
    const integer = Math.floor(rest / scale);
    rest -= integer * scale;
    at = digits(out, at, integer);
    if (rest > 0) {
      out[at++] = 0x2e;
      for (let unit = scale / 10; rest > 0; unit /= 10) {
        const digit = Math.floor(rest / unit);
        out[at++] = ZERO + digit;
        rest -= digit * unit;
      }
    }
    this.#length = at;
  }

  #room(more: number): void {
    if (this.#length + more <= this.#bytes.length) return;
    const larger = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + more));
    larger.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = larger;
  }
}

function digits(out: Uint8Array, from: number, integer: number): number {
  if (integer === 0) {
    out[from] = ZERO;
    return from + 1;
  }
  let n = 0;
  for (let rest = integer; rest > 0; rest = Math.floor(rest / 10)) n++;
  let rest = integer;
  for (let i = n - 1; i >= 0; i--) {
    const next = Math.floor(rest / 10);
    out[from + i] = ZERO + (rest - next * 10);
    rest = next;
  }
  return from + n;
}
