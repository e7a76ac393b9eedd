import { Worker, type WorkerOptions } from 'node:worker_threads';

/**
 * Megabytes for what is new in a thread's heap, and mostly forgotten at once. Without a limit three times 16 fill up with what each frame leaves
 * before anybody clears them, in every thread.
 */
const NEW_MEGABYTES = 8;

/**
 * Starts a thread whose file stands beside the caller's. Threads run as built JavaScript, and from the sources under test:
 * there the thread first teaches itself to read TypeScript, since a worker of Node 20 does not take over `--import`
 * from its options.
 *
 * Descriptors are not tracked: a socket closes its own, and a thread that tracks would close that number again when
 * it ends, when it may be somebody else's already.
 *
 * @param beside the caller's `import.meta.url`
 * @param name the thread's file without its extension, as in `./still-thread`
 */
export function startThread(beside: string, name: string, data: object): Worker {
  const options: WorkerOptions = {
    workerData: data,
    trackUnmanagedFds: false,
    resourceLimits: { maxYoungGenerationSizeMb: NEW_MEGABYTES },
  };
  if (!beside.endsWith('.ts')) return new Worker(new URL(`${name}.js`, beside), options);
  const source = JSON.stringify(new URL(`${name}.ts`, beside).href);
  const bootstrap = `import('tsx/esm/api').then(({ register }) => { register(); return import(${source}); });`;
  return new Worker(bootstrap, { ...options, eval: true });
}
