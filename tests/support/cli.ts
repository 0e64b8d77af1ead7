// The command line without a process: main() with streams that remember.
import { main } from '../../src/cli/main.js';

export async function run(...argv: string[]): Promise<{ code: number; out: string; err: string }> {
  let out = '';
  let err = '';
  const code = await main(argv, {
    out: async (text) => {
      out += text;
    },
    err: (text) => {
      err += text;
    },
    colour: { out: false, err: false },
  });
  return { code, out, err };
}
