import { Worker, type WorkerOptions } from 'node:worker_threads';

/**
 * Megabytes for what is new in a thread's heap, and mostly forgotten at once. Without a limit three times 16
 * fill up with what each frame leaves before anybody clears them, in every thread.
 */
const NEW_MEGABYTES = 8;

const HOME = new URL('..', import.meta.url).href;

/**
 * A file of ours as it is built, for what runs apart from this thread: it stands beside `beside` (the
 * caller's `import.meta.url`), `name` is without its extension.
 */
export function builtFile(beside: string, name: string): URL {
  const home = beside.endsWith('.ts') ? `${HOME}dist/${beside.slice(HOME.length)}` : beside;
  return new URL(`${name}.js`, home);
}

/**
 * Starts a thread whose file stands beside the caller's. Threads always run as built: a worker of Node 20
 * does not take over `--import` from its options, and would have to compile itself at every start. Where
 * sources run by themselves, in tests, the threads are those of `dist`, which vitest brings up to date before
 * anything.
 *
 * Descriptors are not tracked: a socket closes its own, and a thread that tracks would close that number
 * again when it ends, when it may be somebody else's already.
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
  return new Worker(builtFile(beside, name), options);
}
