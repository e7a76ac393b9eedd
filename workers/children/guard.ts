import { type ChildProcess, spawn } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { builtFile } from '../start-thread.js';
import type { GuardMessage } from './guard-process.js';

/**
 * Makes sure that children and temporary folders end with this process, even after kill -9: a small separate
 * process waits for the end of a pipe from here and then cleans up (guard-process.ts). Without it a child
 * could wait forever in open() of a pipe that nobody reads any more; only SIGKILL ends that.
 */

/**
 * In the environment of every child, so that the guard finds even children that were not registered in time.
 */
export const OWNER_VARIABLE = 'GOODGATE_OWNER';
const token = randomUUID();

let guard: ChildProcess | null = null;

/** Environment variables for every child, by which the guard finds it. */
export function guardedEnvironment(): Readonly<Record<string, string>> {
  start();
  return { [OWNER_VARIABLE]: token };
}

/** Kills a process group if this process ends first. */
export function guardGroup(group: number): void {
  start();
  tell({ is: 'there', what: { group } });
}

export function releaseGroup(group: number): void {
  tell({ is: 'gone', what: { group } });
}

/** Removes a file or folder if this process ends first. */
export function guardPath(path: string): void {
  start();
  tell({ is: 'there', what: { path } });
}

export function releasePath(path: string): void {
  tell({ is: 'gone', what: { path } });
}

/** Stops the private Redis of a state folder if this process ends first and no other one uses it. */
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
  // In its own session: Ctrl-C and a kill of our process group must not reach it.
  guard = spawn(process.execPath, [file, OWNER_VARIABLE, token], {
    detached: true,
    stdio: ['pipe', 'ignore', 'ignore'],
  });
  // The guard is optional: work goes on without it.
  guard.on('error', () => undefined);
  guard.stdin?.on('error', () => undefined);
  guard.unref();
  const { stdin } = guard;
  if (stdin !== null && 'unref' in stdin && typeof stdin.unref === 'function') stdin.unref();
}

function tell(message: GuardMessage): void {
  guard?.stdin?.write(`${JSON.stringify(message)}\n`);
}
