// Writes data/rootberth.schema.json, the JSON schema of job files, from the options of `rootberth assess` and `siting`.
// In: dist (npm run build); out: the file; a test says when it is stale.
import { writeFileSync } from 'node:fs';
import { allJobKeys } from '../build/cli/job-keys.js';
import { jobJsonSchema } from '../build/cli/job-schema.js';
import { program } from '../build/cli/main.js';

const io = { out: async () => undefined, err: () => undefined, colour: { out: false, err: false } };
const assess = program(io, () => undefined).commands.find((command) => command.name() === 'assess');
const schema = jobJsonSchema(allJobKeys(assess));
writeFileSync(new URL('../data/rootberth.schema.json', import.meta.url), `${JSON.stringify(schema, null, 2)}\n`);
