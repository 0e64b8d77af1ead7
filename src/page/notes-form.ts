// Field notes on the page. In: text as it is typed or pasted; out: the sketch and what is told of each reading, and the notes
// themselves once they are wanted on the plan. Terms: see docs/field-notes.md.

import { InputError, notesSketch, readNotes } from '../core.js';

interface Host {
  use(name: string, text: string): void;
}

const WAIT_MS = 300; // after the last key
const TOLD = 6;

/** Reads what is typed, a moment after the last key. */
export function notesForm({ use }: Host): void {
  let timer = 0;
  const area = document.getElementById('notes-text') as HTMLTextAreaElement;
  area.addEventListener('input', () => {
    clearTimeout(timer);
    timer = window.setTimeout(() => read(area.value), WAIT_MS);
  });
  document.getElementById('notes-use')!.addEventListener('click', () => use('notes.csv', area.value));
}

/** The sketch grows with each reading; what is wrong is said beside it. */
function read(text: string): void {
  const said = document.getElementById('notes-said')!;
  const sketch = document.getElementById('notes-sketch')!;
  const use = document.getElementById('notes-use') as HTMLButtonElement;
  use.disabled = true;
  if (text.trim() === '') {
    said.textContent = '';
    sketch.replaceChildren();
    return;
  }
  try {
    const notes = readNotes(new TextEncoder().encode(text), { name: 'notes.csv' });
    const placed = notes.points.filter(({ at }) => at !== null).length;
    const told = notes.findings.slice(0, TOLD).map(({ message, cure }) => `${message}. ${cure}`);
    lines(said, [
      `${placed} of ${notes.points.length} points are placed, ${notes.degrees} readings too many.`,
      ...told,
    ]);
    sketch.innerHTML = notesSketch(notes); // its texts are escaped by the sketch
    use.disabled = placed === 0;
  } catch (error) {
    sketch.replaceChildren();
    if (!(error instanceof InputError)) throw error;
    lines(said, [`${error.message}: ${error.cure}`]);
  }
}

function lines(host: HTMLElement, texts: readonly string[]): void {
  host.replaceChildren(
    ...texts.map((text) => {
      const p = document.createElement('p');
      p.textContent = text;
      return p;
    }),
  );
}
