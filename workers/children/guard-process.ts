import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { createInterface } from 'node:readline';

/**
 * Runs as a process of its own, started by guard.ts with the name and the value of a variable that every
 * child has in its environment. Reads what is to be cleared up from its standard input, a line of JSON each;
 * the end of that is the end of the process it guards, whatever ended it.
 */

/** Something that began or ended to need clearing up. */
export interface GuardMessage {
  readonly is: 'there' | 'gone';
  readonly what: { readonly group: number } | { readonly path: string } | { readonly stateFolder: string };
}

const [variable = '', token = ''] = process.argv.slice(2);

/** What is to be cleared up, by its JSON. */
const left = new Map<string, GuardMessage['what']>();

function take(line: string): void {
  const { is, what }: GuardMessage = JSON.parse(line);
  const name = JSON.stringify(what);
  if (is === 'there') left.set(name, what);
  else left.delete(name);
}

/** Whether a process was given our variable; null where the system does not show environments (no Linux). */
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
    // Gone already: what was wanted.
  }
}

/** Children that this process was never told of: their parent died between starting one and saying so. */
function killUntold(): void {
  let names: string[] = [];
  try {
    names = readdirSync('/proc').filter((name) => /^\d+$/.test(name));
  } catch {
    // No Linux: those that were told of are known.
  }
  for (const name of names) {
    const pid = Number(name);
    if (pid !== process.pid && isOurs(pid) === true) kill(pid);
  }
}

async function clearUp(): Promise<void> {
  for (const what of left.values()) if ('group' in what && isOurs(what.group) !== false) kill(-what.group);
  killUntold();
  for (const what of left.values()) if ('path' in what) rmSync(what.path, { recursive: true, force: true });
  for (const what of left.values()) {
    if (!('stateFolder' in what)) continue;
    // Loaded only here: for as long as nothing happens this process stays small.
    const { stopUnusedRedis } = await import('../../jobs/queue/private-redis.js');
    await stopUnusedRedis(what.stateFolder);
  }
}

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => undefined);
const lines = createInterface({ input: process.stdin, crlfDelay: Number.POSITIVE_INFINITY });
lines.on('line', take);
lines.on('close', () => void clearUp());
