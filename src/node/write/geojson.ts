// Assessment -> GeoJSON, or one feature a line (newline-delimited, RFC 8142 without its record separators).
// In: a path and what to write; out: a file, made as the disk takes it. Terms: see format.ts.

import { featureTexts, geojsonBytes, geojsonText } from '../../write/index.js';
import type { OutputFormat, Writing } from './format.js';
import { writePieces } from './write-file.js';

export const geojson: OutputFormat = {
  extensions: ['geojson', 'json'],
  title: 'GeoJSON, one collection (RFC 7946)',
  sidecar: false,
  roles: null,
  pieces: ({ assessment, options }) => geojsonText(assessment, options),
  write: (path, { assessment, options }) => writePieces(path, geojsonBytes(assessment, options)),
};

export const ndjson: OutputFormat = {
  extensions: ['ndjson', 'geojsonl', 'geojsons', 'jsonl'],
  title: 'GeoJSON features, one a line',
  sidecar: true,
  roles: null,
  pieces: (writing) => ndjsonPieces(writing),
  write: (path, writing) => writePieces(path, ndjsonPieces(writing)),
};

/** One feature a line, each line ended. */
function* ndjsonPieces(writing: Writing): ReturnType<typeof featureTexts> {
  const texts = featureTexts(writing.assessment, writing.options);
  for (;;) {
    const step = texts.next();
    if (step.done === true) return step.value;
    yield `${step.value}\n`;
  }
}
