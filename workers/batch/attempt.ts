import { randomBytes } from 'node:crypto';
import { isOwnerAlive, thisOwner } from '../children/owner.js';

/** Long after this nobody is still writing, whatever machine it was. */
export const ABANDONED_MS = 24 * 3_600_000;
const PART = /^\.[0-9a-f]{20}\.(?<owner>[0-9a-f]{8}-\d+-\d+)-[0-9a-f]{8}\.part\.[a-z0-9]+$/;
const TEMPORARY = /^\..*\.[0-9a-f]{12}\.tmp$/;

/**
 * Names one attempt at an output: who makes it, so that whoever finds it can tell whether it is still being
 * made.
 */
export function newAttempt(): string {
  return `${thisOwner()}-${randomBytes(4).toString('hex')}`;
}

/** Whether a name is one that files have while they are made. */
export function isTemporary(name: string): boolean {
  return PART.test(name) || TEMPORARY.test(name);
}

/**
 * Whether a file is a temporary one that nobody is making any more: its process is dead (children/owner.ts),
 * or it is a day old. Workers hold no lock on a folder, so a file of a living one, here or on another
 * machine, is left alone.
 */
export function isAbandoned(name: string, modifiedMs: number, nowMs: number): boolean {
  const part = PART.exec(name)?.groups;
  if (part === undefined && !TEMPORARY.test(name)) return false;
  if (nowMs - modifiedMs > ABANDONED_MS) return true;
  return isOwnerAlive(part?.['owner'] ?? '') === false;
}
