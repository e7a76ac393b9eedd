import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { createInterface } from 'node:readline';

/**
 * Runs as a separate process, started by guard.ts with the name and value of an environment variable that
 * every child has. Reads what to clean up from standard input, one line of JSON each. When the input ends,
 * the guarded process has ended, for whatever reason.
 */

/** Something to clean up now (`there`) or no longer (`gone`). */
export interface GuardMessage {
  readonly is: 'there' | 'gone';
  readonly what: { readonly group: number } | { readonly path: string } | { readonly stateFolder: string };
}

const [variable = '', token = ''] = process.argv.slice(2);

/** What to clean up, by its JSON. */
const left = new Map<string, GuardMessage['what']>();

function take(line: string): void {
  const { is, what }: GuardMessage = JSON.parse(line);
  const name = JSON.stringify(what);
  if (is === 'there') left.set(name, what);
  else left.delete(name);
}

/** Whether a process has our variable; null where the system does not show environments (not Linux). */
function isOurs(pid: number): boolean | null {
  try {
    return readFileSync(`/proc/${pid}/environ`, 'latin1').split('\0').includes(`${variable}=${token}`);
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'ENOENT' && hasProc() ? false : null;
  }
}

function hasProc(): boolean {
  try {
    readFileSync('/proc/self/environ');
    return true;
  } catch {
    return false;
  }
}

function kill(pid: number): void {
  try {
    process.kill(pid, 'SIGKILL');
  } catch {
    // Already gone.
  }
}

/** Kills children that were never registered: their parent died between starting and registering them. */
function killUnregistered(): void {
  let names: string[] = [];
  try {
    names = readdirSync('/proc').filter((name) => /^\d+$/.test(name));
  } catch {
    // Not Linux: only registered children are known.
  }
  for (const name of names) {
    const pid = Number(name);
    if (pid !== process.pid && isOurs(pid) === true) kill(pid);
  }
}

async function cleanUp(): Promise<void> {
  for (const what of left.values()) if ('group' in what && isOurs(what.group) !== false) kill(-what.group);
  killUnregistered();
  for (const what of left.values()) if ('path' in what) rmSync(what.path, { recursive: true, force: true });
  for (const what of left.values()) {
    if (!('stateFolder' in what)) continue;
    // Loaded only here, so that this process stays small until it is needed.
    const { stopUnusedRedis } = await import('../../jobs/queue/private-redis.js');
    await stopUnusedRedis(what.stateFolder);
  }
}

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => undefined);
const lines = createInterface({ input: process.stdin, crlfDelay: Number.POSITIVE_INFINITY });
lines.on('line', take);
lines.on('close', () => void cleanUp());
