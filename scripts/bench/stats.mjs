// Interleaved timings: in: named jobs; out: median, spread and results kept alive.
// Terms: round = every job once, in turn, so that changes in the speed of the machine affect all of them.

/**
 * Runs every job `rounds` times, interleaved, after one warm-up round. On a machine with other work on it processor time
 * is the fairer figure; both are kept.
 * @param {{ name: string, work?: () => number, timed?: () => { ms: number, cpuMs: number }, units: number }[]} jobs `work`
 *   returns a number that is kept alive; `timed` runs outside this process, warms up by itself and returns its times
 * @returns the jobs with `median`, `min`, `max` of the wall milliseconds a unit, and `cpu`, the median of the processor's
 */
export function interleaved(jobs, rounds) {
  const times = jobs.map(() => []);
  const cpus = jobs.map(() => []);
  let alive = 0;
  const here = (work) => {
    const before = process.cpuUsage();
    const start = performance.now();
    alive += work();
    const ms = performance.now() - start;
    const { user, system } = process.cpuUsage(before);
    return { ms, cpuMs: (user + system) / 1000 };
  };
  for (let round = -1; round < rounds; round++) {
    jobs.forEach((job, i) => {
      if (job.timed !== undefined && round < 0) return;
      const { ms, cpuMs } = job.timed === undefined ? here(job.work) : job.timed();
      if (round < 0) return;
      times[i].push(ms / job.units);
      cpus[i].push(cpuMs / job.units);
    });
  }
  if (Number.isNaN(alive)) throw new Error('a job returned NaN');
  return jobs.map((job, i) => ({ ...job, ...spread(times[i]), cpu: spread(cpus[i]).median }));
}

/** Median, smallest and largest of some figures. */
export function spread(figures) {
  const sorted = [...figures].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const median = sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
  return { median, min: sorted[0], max: sorted.at(-1) };
}
