import { createHash } from 'node:crypto';
import { readFileSync, readlinkSync } from 'node:fs';
import { hostname } from 'node:os';

/**
 * The process that made a temporary file or folder, with machine, boot and PID namespace. The process id
 * alone proves nothing: containers that share a folder each count from 1, and ids repeat after a reboot.
 */
const OWNER = /^(?<world>[0-9a-f]{8})-(?<pid>\d+)-(?<start>\d+)$/;

/** Never throws: empty where the system does not provide the value. */
function orEmpty(read: () => string): string {
  try {
    return read().trim();
  } catch {
    return '';
  }
}

/** Identifies the scope of process ids: machine, boot, and PID namespace (Linux). */
function thisWorld(): string {
  const parts = [
    hostname(),
    orEmpty(() => readFileSync('/proc/sys/kernel/random/boot_id', 'utf8')),
    orEmpty(() => readlinkSync('/proc/self/ns/pid')),
  ];
  return createHash('sha256').update(parts.join('\n')).digest('hex').slice(0, 8);
}

/**
 * Start time of a process, in ticks since boot (field 22 of proc_pid_stat(5)); '0' where that is not
 * available, or there is no such process. The name of the program, in brackets, may hold blanks and brackets.
 */
function startOf(pid: number): string {
  const stat = orEmpty(() => readFileSync(`/proc/${pid}/stat`, 'utf8'));
  return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '0';
}

let own: string | undefined;

/** This process, for names of its files: hexadecimal digits, digits and hyphens. */
export function thisOwner(): string {
  own ??= `${thisWorld()}-${process.pid}-${startOf(process.pid)}`;
  return own;
}

function exists(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // EPERM: it is alive and belongs to another user.
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/** Whether the process named by `owner` is still alive; null where this machine cannot know. */
export function isOwnerAlive(owner: string): boolean | null {
  const { world, pid, start } = OWNER.exec(owner)?.groups ?? {};
  if (world === undefined || world !== thisWorld()) return null;
  const number = Number(pid);
  return exists(number) && (start === '0' || startOf(number) === start);
}
