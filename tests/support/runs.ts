// How many cases a property is tried with. The suite has to answer while one waits; RUNS=10 tries ten times as many.
export function runs(usual: number): number {
  return Math.max(1, Math.round(usual * Number(process.env.RUNS ?? 1)));
}
