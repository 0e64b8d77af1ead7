import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    testTimeout: 180_000,
    hookTimeout: 60_000,
    setupFiles: ['src/node/crs.ts'],
    isolate: false,
    maxWorkers: '100%',
  },
});
