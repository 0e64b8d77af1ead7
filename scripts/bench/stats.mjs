// Interleaved timings: in: named jobs; out: median, spread and results kept alive.
// Terms: round = every job once, in turn, so that a machine that drifts drifts for all of them.

/**
 * Runs every job `rounds` times, interleaved, after one warm-up round.
 * @param {{ name: string, work?: () => number, timed?: () => number, units: number }[]} jobs `work` returns a number that
 *   is kept alive; `timed` runs outside this process and returns its milliseconds
 */
export function interleaved(jobs, rounds) {
  const times = jobs.map(() => []);
  let alive = 0;
  for (let round = -1; round < rounds; round++) {
    jobs.forEach((job, i) => {
      if (job.timed !== undefined && round < 0) return; // it warms up by itself
      const start = performance.now();
      if (job.timed === undefined) alive += job.work();
      const ms = job.timed === undefined ? performance.now() - start : job.timed();
      if (round >= 0) times[i].push(ms / job.units);
    });
  }
  if (Number.isNaN(alive)) throw new Error('a job returned NaN');
  return jobs.map((job, i) => ({ ...job, ...spread(times[i]) }));
}

/** Median, smallest and largest of some figures. */
export function spread(figures) {
  const sorted = [...figures].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const median = sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
  return { median, min: sorted[0], max: sorted.at(-1) };
}
