import type { Batch } from '../../jobs/plan/batch.js';
import { type Notice, type Notified, notice } from '../../jobs/plan/notice.js';
import { below, LOCKS_FOLDER, NOTICE_FILE, REPORT_FILE } from '../batch/folder.js';
import { takeLock } from '../batch/lock.js';
import { readDocument } from '../batch/read-document.js';
import { writeJson } from '../batch/write-whole.js';
import type { Log } from '../clip-context.js';
import { notifyCommand } from './notify-command.js';
import { notifyWebhook, shownAddress } from './notify-webhook.js';

/** Whom this machine tells when a batch is over: from its own settings, never from a job. */
export interface NoticeTo {
  /** A program and its arguments; empty: none. */
  readonly command: readonly string[];
  readonly url: URL | null;
}

export const NOBODY: NoticeTo = { command: [], url: null };

export interface NoticeContext {
  readonly log: Log;
  readonly signal: AbortSignal;
}

interface Way extends Pick<Notified, 'way' | 'to'> {
  readonly send: (message: string) => Promise<string | null>;
}

/** The notice of a batch folder; null where none was given. */
export function readNotice(out: string): Promise<Notice | null> {
  return readDocument(below(out, NOTICE_FILE), notice);
}

/**
 * Tells people that the report of a batch is written, each way once a run: `notice.json` in its folder says
 * what was told. One that was killed while it told is told again, with the same key. Whatever becomes of it,
 * the batch stays as it is.
 *
 * @param run of the submission whose report was written
 * @returns what was told now or before; null where there is nobody to tell. Never rejects.
 */
export async function giveNotice(
  out: string,
  run: string,
  batch: Batch,
  to: NoticeTo,
  { log, signal }: NoticeContext,
): Promise<Notice | null> {
  const ways = waysTo(to, out, run, signal);
  if (ways.length === 0) return null;
  try {
    const lock = await takeLock(below(out, LOCKS_FOLDER), NOTICE_FILE, { signal });
    try {
      return await tell(out, run, batch, ways, log);
    } finally {
      await lock.release();
    }
  } catch (error) {
    log.error({ err: error, batch: batch.id }, 'nobody could be told that the batch is over');
    return null;
  }
}

function waysTo({ command, url }: NoticeTo, out: string, run: string, signal: AbortSignal): Way[] {
  const ways: Way[] = [];
  const [program] = command;
  if (program !== undefined) {
    const send = (message: string) => notifyCommand(command, message, { folder: out, signal });
    ways.push({ way: 'command', to: program.slice(0, 300), send });
  }
  if (url !== null) {
    const send = (message: string) => notifyWebhook(url, message, { key: run, signal });
    ways.push({ way: 'webhook', to: shownAddress(url).slice(0, 300), send });
  }
  return ways;
}

async function tell(out: string, run: string, batch: Batch, ways: readonly Way[], log: Log): Promise<Notice> {
  const before = await readNotice(out);
  const told: Notified[] = before?.run === run ? [...before.told] : [];
  const note = (one: Notified): Promise<Notice> => {
    const at = told.findIndex(({ way }) => way === one.way);
    told.splice(at < 0 ? told.length : at, 1, one);
    return write(out, run, told);
  };
  const message = JSON.stringify({ ...batch, run, out, report: below(out, REPORT_FILE) });
  for (const { way, to, send } of ways) {
    const earlier = told.find((each) => each.way === way);
    if (earlier !== undefined && earlier.state !== 'sending') continue;
    await note({ way, to, state: 'sending', why: null });
    const why = await send(message);
    await note({ way, to, state: why === null ? 'given' : 'failed', why: why?.slice(0, 2_000) ?? null });
    if (why === null) log.info({ batch: batch.id, way, to }, 'told that the batch is over');
    else log.error({ batch: batch.id, way, to, why }, 'could not tell that the batch is over');
  }
  return { schema: 'goodgate/notice@1', run, at: new Date().toISOString(), told };
}

async function write(out: string, run: string, told: readonly Notified[]): Promise<Notice> {
  const written: Notice = { schema: 'goodgate/notice@1', run, at: new Date().toISOString(), told: [...told] };
  await writeJson(below(out, NOTICE_FILE), written);
  return written;
}

/** What of a notice a person should know, in sentences. Pure. */
export function noticeProblems({ told }: Notice): string[] {
  return told.flatMap(({ way, to, state, why }) => {
    if (state === 'given') return [];
    const what = way === 'command' ? `the command ${to}` : `the address ${to}`;
    return [
      `${what} was not told that the batch is over: ${why ?? 'it is being told, or its worker was killed'}`,
    ];
  });
}
