// Undo and redo without end. In: states as they come; out: the one before, the one after. States share what did not change,
// so a step costs what it changed.

export class History<T> {
  #past: { readonly state: T; readonly what: string }[] = [];
  #future: { readonly state: T; readonly what: string }[] = [];
  #now: T;

  constructor(first: T) {
    this.#now = first;
  }

  get now(): T {
    return this.#now;
  }

  /** What would be undone, in words; null where there is nothing. */
  get undoable(): string | null {
    return this.#past.at(-1)?.what ?? null;
  }

  get redoable(): string | null {
    return this.#future.at(-1)?.what ?? null;
  }

  /** A new state, and what led to it. */
  push(state: T, what: string): void {
    this.#past.push({ state: this.#now, what });
    this.#future = [];
    this.#now = state;
  }

  /** Begins anew: what was cannot be undone. */
  reset(state: T): void {
    this.#past = [];
    this.#future = [];
    this.#now = state;
  }

  undo(): string | null {
    const last = this.#past.pop();
    if (last === undefined) return null;
    this.#future.push({ state: this.#now, what: last.what });
    this.#now = last.state;
    return last.what;
  }

  redo(): string | null {
    const next = this.#future.pop();
    if (next === undefined) return null;
    this.#past.push({ state: this.#now, what: next.what });
    this.#now = next.state;
    return next.what;
  }
}
