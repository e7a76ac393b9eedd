import { Worker } from 'node:worker_threads';

/**
 * Starts a thread of this folder by its name without extension. Threads run as built JavaScript, and from the sources under test: there the
 * thread first teaches itself to read TypeScript, since a worker of Node 20 does not take over `--import` from its options.
 */
// Descriptors are not tracked: a socket closes its own, and a thread that tracks would close that number again when
// it ends, when it may be somebody else's already. That aborted the whole process, or cut another job's pipe.
export function startThread(name: string, data: object): Worker {
  if (!import.meta.url.endsWith('.ts')) {
    return new Worker(new URL(`./${name}.js`, import.meta.url), {
      workerData: data,
      trackUnmanagedFds: false,
    });
  }
  const source = JSON.stringify(new URL(`./${name}.ts`, import.meta.url).href);
  const bootstrap = `import('tsx/esm/api').then(({ register }) => { register(); return import(${source}); });`;
  return new Worker(bootstrap, { eval: true, workerData: data, trackUnmanagedFds: false });
}
