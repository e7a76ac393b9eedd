import { execa } from 'execa';
import { visible } from '../../jobs/words/plain-text.js';
import { withoutSecrets } from '../../jobs/words/without-secrets.js';

/** A program has so long to take a message on. */
export const COMMAND_MS = 60_000;
const KILL_AFTER_MS = 2_000;
const SHOWN = 300;

/**
 * Starts a program with the message on its stdin; never through a shell. It does not get the address of the
 * queue, which may hold a password.
 *
 * @param command the program and its arguments
 * @returns why it failed, in a sentence; null: it ended with 0
 */
export async function notifyCommand(
  [program = '', ...args]: readonly string[],
  message: string,
  { folder, signal, limitMs = COMMAND_MS }: { folder: string; signal: AbortSignal; limitMs?: number },
): Promise<string | null> {
  const limit = new AbortController();
  const timer = setTimeout(() => limit.abort(), limitMs);
  const child = execa(program, args, {
    ...{ cwd: folder, input: message, stdout: 'ignore', reject: false, env: { REDIS_URL: undefined } },
    ...{ maxBuffer: 20_000, forceKillAfterDelay: KILL_AFTER_MS },
    cancelSignal: AbortSignal.any([signal, limit.signal]),
  });
  // A child of the program may keep its pipes open after it is gone.
  const gone = new Promise<null>((resolve) => {
    const leave = () => setTimeout(() => resolve(null), 2 * KILL_AFTER_MS).unref();
    for (const each of [signal, limit.signal]) each.addEventListener('abort', leave, { once: true });
  });
  try {
    const ended = await Promise.race([child, gone]);
    if (signal.aborted) return 'it was interrupted';
    if (limit.signal.aborted) return `it was not done after ${limitMs / 1000} s, and was ended`;
    if (ended === null || (ended.failed === false && ended.exitCode === 0)) return null;
    const said = withoutSecrets(visible(String(ended.stderr ?? '').trim())).slice(-SHOWN);
    const how =
      ended.exitCode !== undefined
        ? `it ended with ${ended.exitCode}`
        : ended.signal !== undefined
          ? `it was ended by ${ended.signal}`
          : `it could not be started (${ended.code ?? 'no reason was given'})`;
    return said === '' ? how : `${how}: ${said}`;
  } finally {
    clearTimeout(timer);
  }
}
