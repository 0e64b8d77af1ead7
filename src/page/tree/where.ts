// Where the device is, on the plan: a rough aid for finding a tree, never a survey, and kept nowhere. In: a press of the button, the
// device's own position; out: a mark with its circle of accuracy, and words. The device is asked once a press.

import type { Assessment, Units } from '../../core.js';
import { figuresIn } from '../../report/figures.js';
import type { PlanView } from '../plan-view.js';

export interface WhereHost {
  readonly plan: PlanView;
  assessment(): Assessment | null;
  /** The coordinate system that is chosen. */
  crs(): string;
  units(): Units;
  say(text: string): void;
}

const WAIT_MS = 20_000;

/** Why a plan can't show the device; null where it can. */
export function whyNowhere(kind: string | undefined, crs: string): string | null {
  if (kind === 'local' || /^local:/i.test(crs) || (kind === undefined && crs === ''))
    return 'This plan lies on a ground of its own: it does not know where on earth it is.';
  return null;
}

export class Where {
  readonly #host: WhereHost;
  readonly #button: HTMLButtonElement;
  #asked = 0;

  constructor(button: HTMLButtonElement, host: WhereHost) {
    this.#host = host;
    this.#button = button;
    button.addEventListener('click', () => this.#press());
  }

  #press(): void {
    const { plan, say } = this.#host;
    if (plan.device !== null) {
      this.#show(null);
      say('Your position is no longer shown.');
      return;
    }
    const assessment = this.#host.assessment();
    const why =
      assessment === null
        ? 'There is no plan yet.'
        : (whyNowhere(assessment.job.treeTransform?.crs.kind, this.#host.crs()) ??
          ('geolocation' in navigator ? null : 'This browser does not tell a position.'));
    if (why !== null) {
      say(why);
      return;
    }
    const asked = ++this.#asked;
    say('Asking the device where it is.');
    navigator.geolocation.getCurrentPosition(
      ({ coords: { longitude, latitude, accuracy } }) => {
        if (asked === this.#asked) this.#found([longitude, latitude], accuracy);
      },
      ({ message }) => say(`The device does not tell where it is: ${message}.`),
      { enableHighAccuracy: true, timeout: WAIT_MS, maximumAge: 0 },
    );
  }

  #found(lonLat: readonly [number, number], accuracyM: number): void {
    this.#show({ lonLat, accuracyM });
    const { plan, units } = this.#host;
    const figures = figuresIn(units());
    const away = plan.awayM(lonLat);
    const far = away > plan.widthM ? ` It lies ${figures.length(away)} from the middle of what is shown.` : '';
    this.#host.say(
      `The device says: within ${figures.length(accuracyM)} of the mark.${far} A rough aid, no survey; it is kept nowhere.`,
    );
  }

  #show(device: PlanView['device']): void {
    this.#host.plan.device = device;
    this.#button.setAttribute('aria-pressed', String(device !== null));
  }
}
