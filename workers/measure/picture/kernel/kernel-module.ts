import { readFileSync } from 'node:fs';

let compiled: WebAssembly.Module | undefined;

/**
 * The compiled kernel, which `npm run build` makes from `assembly/`. Sources run under test read the built
 * one too. Compiled once in a process: whoever has it anew compiles its busy functions anew too, in its first
 * frames.
 *
 * Throws what the file system throws where nothing was built.
 */
export function kernelModule(): WebAssembly.Module {
  const built = import.meta.url.endsWith('.ts')
    ? '../../../../dist/workers/measure/picture/kernel/kernel.wasm'
    : './kernel.wasm';
  compiled ??= new WebAssembly.Module(readFileSync(new URL(built, import.meta.url)));
  return compiled;
}
