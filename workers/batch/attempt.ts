import { createHash, randomBytes } from 'node:crypto';
import { hostname } from 'node:os';

/** Long after this nobody is still writing, whatever machine it was. */
const ABANDONED_MS = 24 * 3_600_000;
const PART = /^\.[0-9a-f]{20}\.(?<host>[0-9a-f]{8})-(?<pid>\d+)-[0-9a-f]{8}\.part\.[a-z0-9]+$/;
const TEMPORARY = /^\..*\.[0-9a-f]{12}\.tmp$/;

function thisHost(): string {
  return createHash('sha256').update(hostname()).digest('hex').slice(0, 8);
}

/** Names one attempt at an output: who makes it, so that whoever finds it can tell whether it is still being made. */
export function newAttempt(): string {
  return `${thisHost()}-${process.pid}-${randomBytes(4).toString('hex')}`;
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // EPERM: it lives, and is somebody else's.
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/** Whether a name is one that files have while they are made. */
export function isTemporary(name: string): boolean {
  return PART.test(name) || TEMPORARY.test(name);
}

/**
 * Whether a file is a temporary one that nobody is making any more: its process on this machine is dead, or it is a day
 * old. Workers hold no lock on a folder, so a file of a living one, here or on another machine, is left alone.
 */
export function isAbandoned(name: string, modifiedMs: number, nowMs: number): boolean {
  const part = PART.exec(name)?.groups;
  if (part === undefined && !TEMPORARY.test(name)) return false;
  if (nowMs - modifiedMs > ABANDONED_MS) return true;
  return part?.['host'] === thisHost() && !isAlive(Number(part['pid']));
}
