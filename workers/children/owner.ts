import { createHash } from 'node:crypto';
import { readFileSync, readlinkSync } from 'node:fs';
import { hostname } from 'node:os';

/**
 * Who made a temporary file or folder: a process of one boot of one machine, in its own set of process
 * numbers. The number alone proves nothing: containers that share a folder count from 1 each, and after a
 * reboot numbers come again.
 */
const OWNER = /^(?<world>[0-9a-f]{8})-(?<pid>\d+)-(?<start>\d+)$/;

/** Never throws: what the system does not tell is empty. */
function told(read: () => string): string {
  try {
    return read().trim();
  } catch {
    return '';
  }
}

/** The numbers of processes mean the same within: machine, boot, and namespace of process numbers (Linux). */
function thisWorld(): string {
  const parts = [
    hostname(),
    told(() => readFileSync('/proc/sys/kernel/random/boot_id', 'utf8')),
    told(() => readlinkSync('/proc/self/ns/pid')),
  ];
  return createHash('sha256').update(parts.join('\n')).digest('hex').slice(0, 8);
}

/**
 * When a process began, in ticks since boot (field 22 of proc_pid_stat(5)); '0' where the system does not
 * tell, or there is no such process. The name of the program, in brackets, may hold blanks and brackets.
 */
function startOf(pid: number): string {
  const stat = told(() => readFileSync(`/proc/${pid}/stat`, 'utf8'));
  return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '0';
}

let own: string | undefined;

/** This process, for names of what it makes: hexadecimal digits, digits and hyphens. */
export function thisOwner(): string {
  own ??= `${thisWorld()}-${process.pid}-${startOf(process.pid)}`;
  return own;
}

function exists(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // EPERM: it lives, and is somebody else's.
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/** Whether the process that `owner` names still lives; null where this machine cannot know. */
export function isOwnerAlive(owner: string): boolean | null {
  const { world, pid, start } = OWNER.exec(owner)?.groups ?? {};
  if (world === undefined || world !== thisWorld()) return null;
  const number = Number(pid);
  return exists(number) && (start === '0' || startOf(number) === start);
}
