import { setTimeout as sleep } from 'node:timers/promises';
import { execa } from 'execa';
import { visible } from '../../jobs/words/plain-text.js';
import { withoutSecrets } from '../../jobs/words/without-secrets.js';

/** A program has so long to take a message on. */
export const COMMAND_MS = 60_000;
const KILL_AFTER_MS = 2_000;
/** What a program wrote last may come after its end. */
const LAST_WORDS_MS = 500;
const SHOWN = 300;
/** Of its stderr the end is kept: an address that is longer would lose what shows that it is one. */
const KEPT = 4_000;

interface Ended {
  readonly exitCode?: number | undefined;
  readonly signal?: string | undefined;
  readonly code?: string | undefined;
}

/**
 * Starts a program with the message on its stdin; never through a shell. It does not get the address of the
 * queue, which may hold a password. How it ended counts alone: not how much it wrote, nor that a program it
 * started lives on with its stderr.
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
    ...{ cwd: folder, input: message, stdout: 'ignore', buffer: false, reject: false },
    ...{ env: { REDIS_URL: undefined }, forceKillAfterDelay: KILL_AFTER_MS },
    cancelSignal: AbortSignal.any([signal, limit.signal]),
  });
  let said = '';
  const silent = new Promise<void>((resolve) => child.stderr.once('close', resolve));
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    said = (said + text).slice(-KEPT);
  });
  const ended = new Promise<Ended>((resolve) => {
    child.once('exit', (code, by) => resolve({ exitCode: code ?? undefined, signal: by ?? undefined }));
  });
  // One that cannot be killed is left.
  const gone = new Promise<Ended>((resolve) => {
    const leave = () => setTimeout(() => resolve({}), 2 * KILL_AFTER_MS).unref();
    for (const each of [signal, limit.signal]) each.addEventListener('abort', leave, { once: true });
  });
  try {
    const { exitCode, signal: by, code } = await Promise.race([ended, child, gone]);
    if (exitCode === 0) return null;
    if (signal.aborted) return 'it was interrupted';
    if (limit.signal.aborted) return `it was not done after ${limitMs / 1000} s, and was ended`;
    await Promise.race([silent, sleep(LAST_WORDS_MS)]);
    const words = withoutSecrets(visible(said.trim())).slice(-SHOWN);
    const how =
      exitCode !== undefined
        ? `it ended with ${exitCode}`
        : by !== undefined
          ? `it was ended by ${by}`
          : `it could not be started (${code ?? 'no reason was given'})`;
    return words === '' ? how : `${how}: ${words}`;
  } finally {
    clearTimeout(timer);
    // Whoever holds its other end does not hold goodgate.
    child.stderr.destroy();
  }
}
