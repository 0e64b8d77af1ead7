// A bar for long stages. In: Progress, now and then; out: one line on a terminal's stderr, gone when the stage is over.
// Terms: quiet = no terminal, or --quiet: nothing is drawn. A stage of less than a second never shows.

import type { SingleBar } from 'cli-progress';
import type { Progress } from '../model/index.js';

const APPEARS_AFTER_MS = 1000;

const UNITS: Readonly<
  Record<Progress['stage'], { readonly word: string; readonly per: number; readonly unit: string }>
> = {
  read: { word: 'reading', per: 1e6, unit: 'MB' },
  measure: { word: 'measuring', per: 1, unit: 'trees' },
  write: { word: 'writing', per: 1, unit: 'trees' },
};

/** What to call with progress, and what to call when all is done. */
export interface Bar {
  show(progress: Progress): void;
  end(): void;
}

const NO_BAR: Bar = { show: () => undefined, end: () => undefined };

/** A bar on a terminal; one that draws nothing anywhere else. */
export async function progressBar(stream: NodeJS.WriteStream, quiet: boolean): Promise<Bar> {
  if (quiet || stream.isTTY !== true) return NO_BAR;
  const { default: cliProgress } = await import('cli-progress');
  let stage = '';
  let since = 0;
  let bar: SingleBar | null = null;
  const end = (): void => {
    bar?.stop();
    bar = null;
    stage = '';
  };
  return {
    end,
    show(progress) {
      const now = performance.now();
      const key = `${progress.stage} ${progress.name}`;
      if (key !== stage) {
        end();
        stage = key;
        since = now;
      }
      if (now - since < APPEARS_AFTER_MS || progress.total === 0) return;
      const { word, per, unit } = UNITS[progress.stage];
      const done = progress.done / per;
      const total = progress.total / per;
      const seconds = (now - since) / 1000;
      const payload = {
        word: `${word} ${progress.name}`,
        rate: `${Math.round(done / seconds)} ${unit}/s`,
        left: `${Math.ceil(((total - done) * seconds) / Math.max(done, 1e-9))} s left`,
        unit,
      };
      if (bar === null) {
        bar = new cliProgress.SingleBar(
          {
            format: '{word} {bar} {value}/{total} {unit}, {rate}, {left}',
            formatValue: (value, options, type) => cliProgress.Format.ValueFormat(Math.round(value), options, type),
            stream,
            hideCursor: true,
            clearOnComplete: true,
            noTTYOutput: false,
          },
          cliProgress.Presets.shades_classic,
        );
        bar.start(total, done, payload);
      } else bar.update(done, payload);
      // measuring blocks the event loop, so the bar is drawn here and not by its timer
      (bar as unknown as { render(): void }).render();
      if (progress.done >= progress.total) end();
    },
  };
}
