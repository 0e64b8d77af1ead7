// Writes data/rootberth.schema.json, the JSON schema of job files, from the table of options (src/cli/table).
// In: build (npm run build); out: the file; a test says when it is stale.
import { writeFileSync } from 'node:fs';
import { allJobKeys } from '../build/cli/job-keys.js';
import { jobJsonSchema } from '../build/cli/job-schema.js';

const schema = jobJsonSchema(allJobKeys());
writeFileSync(new URL('../data/rootberth.schema.json', import.meta.url), `${JSON.stringify(schema, null, 2)}\n`);
