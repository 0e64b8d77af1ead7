// Many short strokes as path data of few letters. In: lines in mm of paper; out: one path. Terms: unit = what positions are
// rounded to; they are whole units until the last moment, so that relative steps add up exactly.

export class Pen {
  path = '';
  readonly #perMm: number;
  #x = 0;
  #y = 0;

  /** @param perMm units in a millimetre: 10 for a hatch, 100 for lines */
  constructor(perMm: number) {
    this.#perMm = perMm;
  }

  /** A line through flat x, y: from one to the next, by whichever of the ways to write it is shorter. */
  line(flat: readonly number[]): void {
    const whole = flat.map((value) => Math.round(value * this.#perMm));
    const [x, y] = whole as [number, number];
    const far = `M${this.#pair(x, y)}`;
    const near = `m${this.#pair(x - this.#x, y - this.#y)}`;
    this.path += this.path !== '' && near.length < far.length ? near : far;
    [this.#x, this.#y] = [x, y];
    for (let i = 2; i < whole.length; i += 2) this.#to(whole[i]!, whole[i + 1]!, i > 2);
  }

  #to(x: number, y: number, further: boolean): void {
    const [dx, dy] = [x - this.#x, y - this.#y];
    if (further && dx === 0 && dy === 0) return;
    if (dy === 0) this.path += `h${this.#number(dx)}`;
    else if (dx === 0) this.path += `v${this.#number(dy)}`;
    else this.path += `l${this.#pair(dx, dy)}`;
    [this.#x, this.#y] = [x, y];
  }

  #pair(x: number, y: number): string {
    const second = this.#number(y);
    return `${this.#number(x)}${second.startsWith('-') ? '' : ','}${second}`;
  }

  #number(whole: number): string {
    return String((whole + 0) / this.#perMm).replace(/^(-?)0\./, '$1.');
  }
}
