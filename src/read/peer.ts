// Optional peers. In: a package's name; out: the loaded package, or an error that says how to install it.
// Terms: peer = a package the user installs beside this one, for the formats that need it.

import { InputError } from '../model/index.js';

/** Loads an optional package. `load` holds the literal import, so that bundlers and types see it. */
export async function peer<T>(name: string, format: string, layer: string, load: () => Promise<T>): Promise<T> {
  try {
    return await load();
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : '';
    const absent = code === 'ERR_MODULE_NOT_FOUND' || code === 'MODULE_NOT_FOUND';
    const why = absent
      ? 'is not installed'
      : `can't be loaded (${error instanceof Error ? error.message : String(error)})`;
    throw new InputError('peer-missing', `${layer}: ${format} needs the package ${name}, which ${why}`, {
      layer,
      cure: `install it beside rootberth: npm install ${name}`,
    });
  }
}
