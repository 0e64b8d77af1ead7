// “Find the system” on the page. In: what is typed, the survey that lies on the page; out: a code in the field “Coordinate
// system”. Terms: see systems.ts. The tables of the world are loaded when the box is opened first.

import { allSystems, type Sources } from '../job.js';
import { type FoundSystem, findSystems } from './systems.js';

interface Host {
  sources(): Sources;
  use(code: string): void;
  problem(error: unknown): void;
}

const PAUSE_MS = 250; // after the last key
const byId = <T extends HTMLElement>(id: string): T => document.getElementById(id) as T;

export function systemsForm(host: Host): void {
  const box = byId<HTMLDetailsElement>('systems-box');
  const text = byId<HTMLInputElement>('systems-text');
  let waiting = 0;
  const search = async (): Promise<void> => {
    try {
      byId('systems-said').textContent = 'Loading the systems...';
      await allSystems();
      const at = positionOf(host.sources());
      show(findSystems(text.value, at), at !== null, text.value, host.use);
    } catch (error) {
      host.problem(error);
    }
  };
  box.addEventListener('toggle', () => {
    if (box.open) void search();
  });
  if (box.open) void search();
  text.addEventListener('input', () => {
    clearTimeout(waiting);
    waiting = window.setTimeout(() => void search(), PAUSE_MS);
  });
}

/** A position of the first layer that does not state its system; null where each does. */
export function positionOf({ trees, works, lots, existing }: Sources): readonly [number, number] | null {
  for (const source of [trees, ...works, ...existing, lots]) {
    if (source === null || source.layer.crs !== null) continue;
    const { xy } = source.layer.geometry;
    for (let i = 0; i + 1 < xy.length; i += 2)
      if (Number.isFinite(xy[i]) && Number.isFinite(xy[i + 1])) return [xy[i]!, xy[i + 1]!];
  }
  return null;
}

function show(
  { systems, count, refused }: ReturnType<typeof findSystems>,
  isGiven: boolean,
  text: string,
  use: (code: string) => void,
): void {
  const typed = text.trim() !== '';
  const none = typed || isGiven ? 'No system fits.' : 'Type a name (oregon north), a code, or latitude and longitude.';
  const holding = systems.filter(({ holds }) => holds === true).length;
  const held =
    isGiven && holding > 0 ? ' Those that would hold the survey come first; only its sheet says which it is.' : '';
  const many = count > systems.length ? `The first ${systems.length} of ${count}.` : `${count} found.`;
  byId('systems-said').textContent = [refused, count === 0 ? none : many + held].filter((one) => one !== '').join(' ');
  byId('systems-found').replaceChildren(...systems.map((one) => itemOf(one, use)));
}

function itemOf({ code, name, unit, holds }: FoundSystem, use: (code: string) => void): HTMLElement {
  const item = document.createElement('li');
  const button = document.createElement('button');
  button.type = 'button';
  button.dataset.code = code;
  button.textContent = `${code} ${name}, ${unit}${holds === true ? ': would hold the survey' : ''}`;
  button.addEventListener('click', () => use(code));
  item.append(button);
  return item;
}
