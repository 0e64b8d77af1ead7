// A place for the chosen piece. In: a job, the piece's name, how far it may go, what to keep free; out: the shift that puts every
// tree within its limits, in words and as a picture of before and after. Terms: see docs/siting.md. Loaded when it is asked for.

import { type AssessJob, siting, sitingWords, toSitingPlan, type Units } from '../web.js';
import { withSystems } from './job.js';

export interface Place {
  readonly eastM: number;
  readonly northM: number;
  readonly words: string;
  /** SVG; '' where nothing was found. */
  readonly picture: string;
}

/** Shifts alone: the page moves works without turning them. */
export async function findPlace(
  job: AssessJob,
  piece: string,
  asked: {
    readonly shiftM: number;
    readonly setbackM: number | undefined;
    readonly units: Units;
    readonly stamp?: string;
  },
): Promise<Place> {
  const { shiftM, setbackM: setback, units } = asked;
  const found = await withSystems(() => siting(job, { move: [piece], shiftM, setback }));
  const [best] = found.sitings;
  const why = found.findings.find(({ code }) => code === 'siting-no-room' || code === 'siting-trade');
  const words = best === undefined ? 'It fits at none of the places tried.' : `It ${sitingWords(found, best, units)}.`;
  return {
    eastM: best?.eastM ?? 0,
    northM: best?.northM ?? 0,
    words: why === undefined ? words : `${words} ${why.message[0]?.toUpperCase()}${why.message.slice(1)}.`,
    picture:
      best === undefined
        ? ''
        : toSitingPlan(found, { units, ...(asked.stamp === undefined ? {} : { stamp: asked.stamp }) }),
  };
}
