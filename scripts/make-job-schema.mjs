// Writes data/rootberth.schema.json, the JSON schema of job files, from the options of `rootberth assess`.
// In: dist (npm run build); out: the file; a test says when it is stale.
import { writeFileSync } from 'node:fs';
import { jobKeys } from '../dist/cli/job-keys.js';
import { jobJsonSchema } from '../dist/cli/job-schema.js';
import { program } from '../dist/cli/main.js';

const io = { out: async () => undefined, err: () => undefined, colour: { out: false, err: false } };
const assess = program(io, () => undefined).commands.find((command) => command.name() === 'assess');
const schema = jobJsonSchema(jobKeys(assess));
writeFileSync(new URL('../data/rootberth.schema.json', import.meta.url), `${JSON.stringify(schema, null, 2)}\n`);
