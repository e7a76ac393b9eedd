import { execa } from 'execa';
import { GoodgateError } from '../../jobs/errors.js';
import { proveServer } from '../../jobs/queue/connection.js';
import { type Check, INSTALL, limited, no, yes } from './check.js';

const PROGRAMS = ['redis-server', 'valkey-server'];
const OLDEST = 7;

/** The queue's server: the one named, and the program for a private one. */
export async function redisChecks(redisUrl: string | undefined): Promise<Check[]> {
  const versions = await Promise.all(PROGRAMS.map(versionOf));
  const program = judgePrograms(versions, redisUrl !== undefined);
  return redisUrl === undefined ? [program] : [program, await serverCheck(redisUrl)];
}

export interface ProgramFound {
  readonly program: string;
  /** Null: not installed. */
  readonly version: string | null;
}

/** Whether a private server can be started. With a server named it matters less. Pure. */
export function judgePrograms(found: readonly ProgramFound[], serverNamed: boolean): Check {
  const name = 'redis program';
  const installed = found.filter(({ version }) => version !== null);
  const text = installed.map(({ program, version }) => `${program} ${version}`).join(', ');
  if (installed.some(({ version }) => Number.parseInt(version ?? '', 10) >= OLDEST)) return yes(name, text);
  const what =
    installed.length > 0
      ? `${text}: older than ${OLDEST}`
      : 'neither redis-server nor valkey-server is installed: no private queue';
  return serverNamed ? limited(name, what, INSTALL.redis) : no(name, what, INSTALL.redis);
}

async function versionOf(program: string): Promise<ProgramFound> {
  const asked = await execa(program, ['--version'], { stdin: 'ignore', timeout: 10_000, reject: false });
  const version = asked.failed ? null : (/\bv=(\d[\w.]*)/.exec(asked.stdout)?.[1] ?? null);
  return { program, version };
}

async function serverCheck(url: string): Promise<Check> {
  const name = 'redis server';
  try {
    await proveServer({ kind: 'named', url });
    return yes(name, 'the server named answers and is new enough');
  } catch (error) {
    if (!(error instanceof GoodgateError)) throw error;
    return no(name, error.what, error.next ?? INSTALL.redis);
  }
}
