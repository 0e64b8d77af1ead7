// The places that a search has found, to step through. In: a question; out: the works at a place, on the plan. Terms: see question.ts.
// Stop ends the thread; the next search begins another.

import { InputError } from '../../core.js';
import type { Answer, FoundPlace, Question, Reply } from './question.js';

interface Host {
  say(text: string): void;
  /** Puts the works of the plan at a place, as one step that can be undone. */
  put(works: readonly string[], what: string): Promise<void>;
}

const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

export class Places {
  readonly #host: Host;
  #thread: Worker | null = null;
  #stop: (() => void) | null = null;
  #found: readonly FoundPlace[] = [];
  #at = 0;

  constructor(host: Host) {
    this.#host = host;
    byId('find-stop').addEventListener('click', () => {
      this.#stop?.();
      host.say('The search is stopped. Nothing has moved.');
    });
    byId('place-before').addEventListener('click', () => void this.#step(-1));
    byId('place-next').addEventListener('click', () => void this.#step(1));
  }

  /** Asks the searching thread; null where it was stopped. */
  ask(question: Question): Promise<Answer | null> {
    this.#end();
    const from = performance.now();
    const thread = new Worker(new URL('assets/search.js', document.baseURI), { type: 'module' });
    this.#thread = thread;
    byId('find-stop').hidden = false;
    const clock = setInterval(() => {
      this.#host.say(`Looking for a place... ${Math.round((performance.now() - from) / 1000)} s`);
    }, 1000);
    this.#host.say('Looking for a place...');
    return new Promise<Answer | null>((resolve, reject) => {
      this.#stop = () => resolve(null);
      thread.addEventListener('message', ({ data }: MessageEvent<Reply>) => {
        if ('answer' in data) {
          this.#found = data.answer.places;
          resolve(data.answer);
        } else reject(new InputError('siting', data.refused.message, { cure: data.refused.cure }));
      });
      thread.addEventListener('error', (event) => reject(new Error(event.message)));
      thread.postMessage(question);
    }).finally(() => {
      clearInterval(clock);
      this.#end();
    });
  }

  /** Shows one of the places; the first is the best. */
  async show(index: number): Promise<void> {
    const place = this.#found[index];
    byId('places').hidden = this.#found.length < 2;
    if (place === undefined) return;
    this.#at = index;
    await this.#host.put(place.works, `place ${place.rank}`);
    byId('place-said').textContent = `${place.rank} of ${this.#found.length}`;
    byId<HTMLButtonElement>('place-before').disabled = index === 0;
    byId<HTMLButtonElement>('place-next').disabled = index === this.#found.length - 1;
  }

  /** Forgets what was found: the plan is another. */
  close(): void {
    this.#found = [];
    byId('places').hidden = true;
  }

  async #step(by: number): Promise<void> {
    const next = this.#at + by;
    const place = this.#found[next];
    if (place === undefined) return;
    await this.show(next);
    this.#host.say(`Place ${place.rank}: ${place.words}.`);
  }

  #end(): void {
    this.#stop?.();
    this.#stop = null;
    this.#thread?.terminate();
    this.#thread = null;
    byId('find-stop').hidden = true;
  }
}
