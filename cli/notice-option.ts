import { isAbsolute } from 'node:path';
import { Option } from 'commander';
import { GoodgateError } from '../jobs/errors.js';
import { type NoticeTo, noticeProblems, readNotice } from '../workers/notice/give-notice.js';
import { repeatable } from './commands/options.js';

/** Options of every command that writes the report of a batch, as commander gives them. */
export interface NoticeOptions {
  notifyCommand: string[];
  notifyUrl?: string;
}

export const notifyCommandOption = (): Option =>
  repeatable('--notify-command <word>', 'program, then each argument, that gets batch.json on stdin', 'none');
export const notifyUrlOption = (): Option =>
  new Option('--notify-url <url>', 'address that batch.json is sent to by POST when the report is written');

export const NOTICE_HELP =
  '--notify-command and --notify-url tell people that a report is written; one with a password belongs into the settings, since others see command lines. What fails there is told, and changes nothing of the batch.';

/**
 * Whom to tell when a batch is over. The address is not repeated in an error: it may hold a password.
 *
 * @throws GoodgateError `bad-option`
 */
export function noticeTo({ notifyCommand: command, notifyUrl }: NoticeOptions): NoticeTo {
  const [program] = command;
  if (program !== undefined && (program === '' || (program.includes('/') && !isAbsolute(program)))) {
    throw new GoodgateError('bad-option', {
      what: `--notify-command: "${program}" is neither the name of a program nor an absolute path`,
      next: 'give its whole path: it is started in the batch folder',
    });
  }
  if (notifyUrl === undefined) return { command, url: null };
  const url = URL.canParse(notifyUrl) ? new URL(notifyUrl) : null;
  if (url === null || (url.protocol !== 'http:' && url.protocol !== 'https:') || !canDecode(url)) {
    throw new GoodgateError('bad-option', {
      what: '--notify-url: what was given is no http or https address',
      next: 'give one such as https://host/path; a % in a password is written %25',
    });
  }
  return { command, url };
}

/** Who was to be told of a run that just ended and was not, in sentences. */
export async function untold({ command, url }: NoticeTo, out: string): Promise<string[]> {
  const told = command.length === 0 && url === null ? null : await readNotice(out);
  return told === null ? [] : noticeProblems(told);
}

function canDecode({ username, password }: URL): boolean {
  try {
    decodeURIComponent(username + password);
    return true;
  } catch {
    return false;
  }
}
