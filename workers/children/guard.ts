import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { builtFile } from '../start-thread.js';
import type { GuardMessage } from './guard-process.js';

/**
 * Sees to it that children and temporary folders end with this process however it ends, kill -9 included: a
 * small process of its own waits for the end of a pipe from here and then clears up (guard-process.ts). A
 * child can wait for ever in open() of a pipe nobody reads any more; no signal but SIGKILL ends that, and
 * nobody else is left to send one.
 */

/**
 * In the environment of every child: by it the guard knows them, those too that it was not told of in time.
 */
export const OWNER_VARIABLE = 'GOODGATE_OWNER';
const token = randomUUID();

let guard: ChildProcess | null = null;

/** What every child is given in its environment, so that it can be found. */
export function guardedEnvironment(): Readonly<Record<string, string>> {
  start();
  return { [OWNER_VARIABLE]: token };
}

/** Has a group of processes killed if this process ends first. */
export function guardGroup(group: number): void {
  start();
  tell({ is: 'there', what: { group } });
}

export function releaseGroup(group: number): void {
  tell({ is: 'gone', what: { group } });
}

/** Has a file or a folder removed if this process ends first. */
export function guardPath(path: string): void {
  start();
  tell({ is: 'there', what: { path } });
}

export function releasePath(path: string): void {
  tell({ is: 'gone', what: { path } });
}

/** Has the private Redis of a state folder stopped, if nobody else uses it, should this process end first. */
export function guardRedis(stateFolder: string): void {
  start();
  tell({ is: 'there', what: { stateFolder } });
}

export function releaseRedis(stateFolder: string): void {
  tell({ is: 'gone', what: { stateFolder } });
}

function start(): void {
  if (guard !== null) return;
  const file = fileURLToPath(builtFile(import.meta.url, './guard-process'));
  // A session of its own: Ctrl-C and a kill of our group must not reach it.
  guard = spawn(process.execPath, [file, OWNER_VARIABLE, token], {
    detached: true,
    stdio: ['pipe', 'ignore', 'ignore'],
  });
  // It is a help, no condition: work goes on without it.
  guard.on('error', () => undefined);
  guard.stdin?.on('error', () => undefined);
  guard.unref();
  const { stdin } = guard;
  if (stdin !== null && 'unref' in stdin && typeof stdin.unref === 'function') stdin.unref();
}

function tell(message: GuardMessage): void {
  guard?.stdin?.write(`${JSON.stringify(message)}\n`);
}
