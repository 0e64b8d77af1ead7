// Interleaved timings: in: named jobs; out: median, spread and results kept alive.
// Terms: round = every job once, in turn, so that a machine that drifts drifts for all of them.

/**
 * Runs every job `rounds` times, interleaved, after one warm-up round.
 * @param {{ name: string, work: () => number, units: number }[]} jobs `work` returns a number that is kept alive
 */
export function interleaved(jobs, rounds) {
  const times = jobs.map(() => []);
  let alive = 0;
  for (let round = -1; round < rounds; round++) {
    jobs.forEach((job, i) => {
      const start = performance.now();
      alive += job.work();
      const ms = performance.now() - start;
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
