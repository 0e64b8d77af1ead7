// A strict JSON scanner over bytes: in: UTF-8 bytes and a position; out: the next position, numbers, key matches.
// It accepts exactly what JSON.parse accepts and makes no object per value. Terms: MORE = the bytes end inside a value
// (the rest is in the next chunk); FAULT = the bytes are not JSON here.

/** Thrown when the bytes end inside a value. */
export const MORE: Error = new Error('the text ends inside a value');

/** Thrown when the bytes are not JSON; `pos` of the cursor says where. */
export const FAULT: Error = new Error('not JSON');

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const COMMA = 0x2c;
const COLON = 0x3a;
const MINUS = 0x2d;
const PLUS = 0x2b;
const DOT = 0x2e;
const ZERO = 0x30;
const NINE = 0x39;
export const OPEN_BRACE = 0x7b;
export const CLOSE_BRACE = 0x7d;
export const OPEN_BRACKET = 0x5b;
export const CLOSE_BRACKET = 0x5d;

/** 10^k is exact in a double up to here; below 2^53 a quotient by it is correctly rounded (W. D. Clinger 1990). */
const EXACT_POWERS: readonly number[] = Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));
const EXACT_INTEGER = 2 ** 53;

const isDigit = (c: number | undefined): boolean => c !== undefined && c >= ZERO && c <= NINE;

export class JsonCursor {
  bytes: Uint8Array = new Uint8Array();
  pos: number = 0;
  end: number = 0;
  /** Whether a byte above 0x7f has been passed: the text then has to be checked for valid UTF-8. */
  nonAscii: boolean = false;
  /** Whether white space has been passed since this was last cleared. */
  spaced: boolean = false;

  open(bytes: Uint8Array, pos: number): void {
    this.bytes = bytes;
    this.pos = pos;
    this.end = bytes.length;
  }

  /** The next byte that is not white space, without passing it. */
  peek(): number {
    const bytes = this.bytes;
    for (;;) {
      if (this.pos >= this.end) throw MORE;
      const c = bytes[this.pos]!;
      if (c !== 0x20 && c !== 0x0a && c !== 0x0d && c !== 0x09) return c;
      this.spaced = true;
      this.pos++;
    }
  }

  /** Passes one expected byte, white space before it included. */
  expect(byte: number): void {
    if (this.peek() !== byte) throw FAULT;
    this.pos++;
  }

  /** After a member or an item: true when another follows, false when `close` has been passed. */
  another(close: number): boolean {
    const c = this.peek();
    if (c !== COMMA && c !== close) throw FAULT;
    this.pos++;
    return c === COMMA;
  }

  /** Passes `{` or `[`; false when it is closed at once. */
  enter(open: number, close: number): boolean {
    this.expect(open);
    if (this.peek() !== close) return true;
    this.pos++;
    return false;
  }

  /** Passes a key and its colon; the key's bytes are keyStart .. keyEnd, `keyEscaped`: it holds backslashes. */
  keyStart: number = 0;
  keyEnd: number = 0;
  keyEscaped: boolean = false;
  key(): void {
    this.expect(QUOTE);
    this.keyStart = this.pos;
    this.keyEscaped = this.#string();
    this.keyEnd = this.pos - 1;
    this.expect(COLON);
  }

  /** Whether the last key is this one, byte for byte. */
  keyIs(name: Uint8Array): boolean {
    const n = name.length;
    if (this.keyEnd - this.keyStart !== n) return false;
    for (let i = 0; i < n; i++) if (this.bytes[this.keyStart + i] !== name[i]) return false;
    return true;
  }

  /** Passes a string's inside and its closing quote; returns whether it holds escapes. */
  #string(): boolean {
    const bytes = this.bytes;
    let escaped = false;
    for (;;) {
      if (this.pos >= this.end) throw MORE;
      const c = bytes[this.pos++]!;
      if (c === QUOTE) return escaped;
      if (c === BACKSLASH) {
        escaped = true;
        this.#escape();
      } else if (c < 0x20) {
        this.pos--;
        throw FAULT;
      } else if (c >= 0x80) this.nonAscii = true;
    }
  }

  #escape(): void {
    if (this.pos >= this.end) throw MORE;
    const c = this.bytes[this.pos++]!;
    if (c === 0x75) {
      for (let i = 0; i < 4; i++) {
        if (this.pos >= this.end) throw MORE;
        const h = this.bytes[this.pos++]!;
        const hex = (h >= ZERO && h <= NINE) || (h >= 0x41 && h <= 0x46) || (h >= 0x61 && h <= 0x66);
        if (!hex) throw FAULT;
      }
      return;
    }
    // " \ / b f n r t
    if (
      c !== QUOTE &&
      c !== BACKSLASH &&
      c !== 0x2f &&
      c !== 0x62 &&
      c !== 0x66 &&
      c !== 0x6e &&
      c !== 0x72 &&
      c !== 0x74
    )
      throw FAULT;
  }

  /** Passes a number and returns it: the double that Number() gives for the same text. */
  number(): number {
    const bytes = this.bytes;
    this.peek();
    const start = this.pos;
    const negative = bytes[this.pos] === MINUS;
    if (negative) this.pos++;
    let digits = 0;
    let mantissa = 0;
    const first = this.pos;
    for (; isDigit(bytes[this.pos]) && this.pos < this.end; this.pos++) {
      mantissa = mantissa * 10 + (bytes[this.pos]! - ZERO);
      digits++;
    }
    if (this.pos >= this.end) throw MORE;
    if (digits === 0 || (digits > 1 && bytes[first] === ZERO)) throw FAULT;
    let scale = 0;
    if (bytes[this.pos] === DOT) {
      this.pos++;
      const from = this.pos;
      for (; this.pos < this.end && isDigit(bytes[this.pos]); this.pos++) {
        mantissa = mantissa * 10 + (bytes[this.pos]! - ZERO);
        digits++;
      }
      if (this.pos >= this.end) throw MORE;
      scale = this.pos - from;
      if (scale === 0) throw FAULT;
    }
    const c = bytes[this.pos];
    if (c === 0x65 || c === 0x45) {
      this.#exponent();
      return this.#slow(start);
    }
    // more than 15 digits may not fit the mantissa exactly; a power above 10^22 is not exact either
    if ((digits > 15 && !(mantissa < EXACT_INTEGER && digits <= 16)) || scale > 22) return this.#slow(start);
    const value = scale === 0 ? mantissa : mantissa / EXACT_POWERS[scale]!;
    return negative ? -value : value;
  }

  #exponent(): void {
    this.pos++;
    if (this.pos >= this.end) throw MORE;
    const sign = this.bytes[this.pos];
    if (sign === PLUS || sign === MINUS) this.pos++;
    const from = this.pos;
    while (this.pos < this.end && isDigit(this.bytes[this.pos])) this.pos++;
    if (this.pos >= this.end) throw MORE;
    if (this.pos === from) throw FAULT;
  }

  #slow(start: number): number {
    let text = '';
    for (let i = start; i < this.pos; i++) text += String.fromCharCode(this.bytes[i]!);
    return Number(text);
  }

  /** Passes any value. */
  skip(): void {
    const c = this.peek();
    if (c === QUOTE) {
      this.pos++;
      this.#string();
    } else if (c === OPEN_BRACE) {
      if (!this.enter(OPEN_BRACE, CLOSE_BRACE)) return;
      do {
        this.key();
        this.skip();
      } while (this.another(CLOSE_BRACE));
    } else if (c === OPEN_BRACKET) {
      if (!this.enter(OPEN_BRACKET, CLOSE_BRACKET)) return;
      do this.skip();
      while (this.another(CLOSE_BRACKET));
    } else if (c === MINUS || isDigit(c)) this.number();
    else if (c === 0x74) this.#word('true');
    else if (c === 0x66) this.#word('false');
    else if (c === 0x6e) this.#word('null');
    else throw FAULT;
  }

  #word(word: string): void {
    for (let i = 0; i < word.length; i++) {
      if (this.pos >= this.end) throw MORE;
      if (this.bytes[this.pos] !== word.charCodeAt(i)) throw FAULT;
      this.pos++;
    }
  }
}
