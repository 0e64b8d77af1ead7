// Loaded before a program that is measured: at its end one line on stderr with processor seconds and peak memory.
import { writeSync } from 'node:fs';
import { isMainThread } from 'node:worker_threads';

if (isMainThread) {
  process.on('exit', () => {
    const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
    writeSync(2, `usage ${JSON.stringify({ cpu: (userCPUTime + systemCPUTime) / 1e6, peakMb: maxRSS / 1024 })}\n`);
  });
}
