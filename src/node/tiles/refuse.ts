// What a split job can't do. In: the options of a job; out: nothing, or wrong usage with the cure. Terms: see manifest.ts.

import { InputError } from '../../model/index.js';
import type { AssessFilesOptions } from '../assess-files.js';
import { isEmbedded } from '../read/embedded.js';
import type { SplitOptions } from './split-options.js';

/**
 * Refuses before anything is read.
 *
 * @throws InputError `split-embedded`, `split-stdin`, `split-tiles`, `split-unsplittable` (usage)
 */
export function refuseUnsplittable(job: AssessFilesOptions, { tiles, treesPerTile }: SplitOptions): void {
  const works = (job.works ?? []).map((file) => (typeof file === 'string' ? file : file.path));
  const paths = [job.trees, ...works, ...(job.existing ?? []), job.lots, job.zones, job.crowns, job.limbList];
  if (paths.some((path) => path !== undefined && isEmbedded(path))) {
    throw new InputError(
      'split-embedded',
      'a job that is split must read files: a layer stands in the job file itself',
      {
        cure: 'save the layer as a file and name that',
        usage: true,
      },
    );
  }
  if (paths.includes('-')) {
    throw new InputError('split-stdin', 'a job that is split must read files: standard input can be read only once', {
      cure: 'save it as a file',
      usage: true,
    });
  }
  if ((job.grids ?? []).length > 0) {
    throw new InputError('split-unsplittable', 'a shift grid that is not a file can’t go with a manifest', {
      cure: 'name its file in gridFiles',
      usage: true,
    });
  }
  if (job.grades !== undefined) {
    throw new InputError(
      'split-unsplittable',
      'a job with grades can’t be split: their change is worked out over the whole site',
      {
        cure: 'run rootberth assess with --roles works first, and give what it writes to split as --works',
        usage: true,
      },
    );
  }
  const asked = tiles ?? treesPerTile;
  const isOne = (tiles === undefined) !== (treesPerTile === undefined);
  if (isOne && asked !== undefined && Number.isSafeInteger(asked) && asked >= 1) return;
  throw new InputError('split-tiles', 'neither the number of tiles nor the trees per tile is given', {
    cure: 'give a whole number of 1 or more with --tiles N or with --trees-per-tile N, not both',
    usage: true,
  });
}
