// Where each feature stands in its file. In: chunks of a GeoJSON document, or of a text of lines; out: offset and end of
// every feature, in bytes. Terms: range = the bytes of one feature, without the separator before the next.
// A quick scan of brackets and quotes. If it can't follow the text, it says so, and every tile reads the whole file.

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const LF = 0x0a;
const CR = 0x0d;
const RS = 0x1e;

/** Offsets as they are found; a file may be larger than 4 GB, so they are doubles. */
class Offsets {
  #column = new Float64Array(1024);
  length: number = 0;

  push(value: number): void {
    if (this.length === this.#column.length) {
      const larger = new Float64Array(this.length * 2);
      larger.set(this.#column);
      this.#column = larger;
    }
    this.#column[this.length++] = value;
  }

  take(): Float64Array {
    return this.#column.slice(0, this.length);
  }
}

export interface Ranges {
  readonly start: Float64Array;
  readonly end: Float64Array;
}

/** Finds the features of a FeatureCollection: push its chunks, then take the ranges. */
export class RangeScanner {
  readonly #start = new Offsets();
  readonly #end = new Offsets();
  #offset = 0;
  #depth = 0;
  #inText = false;
  #escaped = false;
  #textFrom = -1; // of the string that was read last, where it may be the key of the list
  #key = '';
  #inFeatures = false;
  #lists = 0; // lists of features seen

  push(chunk: Uint8Array): void {
    for (let i = 0; i < chunk.length; i++) {
      const c = chunk[i]!;
      if (this.#inText) {
        if (this.#escaped) this.#escaped = false;
        else if (c === BACKSLASH) this.#escaped = true;
        else if (c === QUOTE) {
          this.#inText = false;
          this.#textFrom = -1;
        } else if (this.#textFrom >= 0) this.#key += String.fromCharCode(c);
      } else if (c === QUOTE) {
        this.#inText = true;
        if (this.#depth === 1) {
          this.#textFrom = this.#offset + i;
          this.#key = '';
        }
      } else if (c === 0x7b || c === 0x5b) {
        if (this.#depth === 1 && c === 0x5b && this.#key === 'features') {
          this.#inFeatures = true;
          this.#lists++;
        } else if (this.#inFeatures && this.#depth === 2) this.#start.push(this.#offset + i);
        this.#depth++;
      } else if (c === 0x7d || c === 0x5d) {
        this.#depth--;
        if (this.#inFeatures && this.#depth === 2) this.#end.push(this.#offset + i + 1);
        else if (this.#depth === 1) this.#inFeatures = false;
      }
    }
    this.#offset += chunk.length;
  }

  /** Null when this was not a plain collection of as many features. */
  take(count: number): Ranges | null {
    const isPlain = this.#depth === 0 && !this.#inText && this.#lists === 1;
    if (!isPlain || this.#start.length !== count || this.#end.length !== count) return null;
    return { start: this.#start.take(), end: this.#end.take() };
  }
}

/** The lines of a text that hold more than white space, one feature each: newline-delimited GeoJSON, rows of a table. */
export class LineScanner {
  readonly #start = new Offsets();
  readonly #end = new Offsets();
  #offset = 0;
  #line = 0; // where the open line begins
  #holds = false; // whether it holds more than white space

  push(chunk: Uint8Array): void {
    for (let i = 0; i < chunk.length; i++) {
      const c = chunk[i]!;
      if (c === LF || c === RS || c === CR) this.#close(this.#offset + i);
      else if (c !== 0x20 && c !== 0x09) this.#holds = true;
    }
    this.#offset += chunk.length;
  }

  #close(end: number): void {
    if (this.#holds) {
      this.#start.push(this.#line);
      this.#end.push(end);
    }
    this.#line = end + 1;
    this.#holds = false;
  }

  /** Null when there are not as many lines, after `skip` of them. */
  take(count: number, skip: number): Ranges | null {
    this.#close(this.#offset);
    if (this.#start.length !== count + skip) return null;
    return { start: this.#start.take().subarray(skip), end: this.#end.take().subarray(skip) };
  }
}
