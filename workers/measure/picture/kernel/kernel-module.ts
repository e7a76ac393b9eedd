import { readFileSync } from 'node:fs';

/**
 * The compiled kernel, which `npm run build` makes from `assembly/`. Sources run under test read the built
 * one too.
 *
 * Throws what the file system throws where nothing was built.
 */
export function kernelModule(): WebAssembly.Module {
  const built = import.meta.url.endsWith('.ts')
    ? '../../../../dist/workers/measure/picture/kernel/kernel.wasm'
    : './kernel.wasm';
  return new WebAssembly.Module(readFileSync(new URL(built, import.meta.url)));
}
