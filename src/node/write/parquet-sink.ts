// The parquet library's own byte writer -> our file. In: a ByteFile; out: a writer that hands over what it holds as it
// fills. Terms: index = place in the writer's buffer, which starts again after each hand-over; offset = place in the file.

import type { ByteWriter } from 'hyparquet-writer';
import type { ByteFile } from './byte-file.js';

const HOLD = 1 << 20;

/** A synchronous writer for `parquetWriteRows`; `Writer` is the library's own. */
export function parquetSink(file: ByteFile, Writer: typeof ByteWriter): ByteWriter {
  const writer = new Writer(HOLD * 2);
  const grow = writer.ensure.bind(writer);
  const flush = (): void => {
    file.write(new Uint8Array(writer.buffer, 0, writer.index).slice());
    writer.index = 0;
  };
  writer.ensure = (size) => {
    if (writer.index > HOLD) flush();
    grow(size);
  };
  writer.finish = flush;
  return writer;
}
