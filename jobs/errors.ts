/**
 * Three families of errors, and the one table of their codes.
 *
 * - `request`: the request is wrong (a manifest, a target, an option). Never retried. Exit 2.
 * - `impossible`: a valid request that this machine cannot do (an encoder is missing). Never retried. Exit 3.
 * - `world`: something outside failed (ffmpeg crashed, disk full, Redis gone). Retried with backoff. Exit 3.
 *
 * A failed verdict is a result, never an exception.
 */
export type ErrorFamily = 'request' | 'impossible' | 'world';

export const ERROR_CODES = {
  'bad-option': 'request',
  'bad-document': 'request',
  'unknown-target': 'request',
  'unknown-batch': 'request',
  'missing-file': 'request',
  'clip-changed': 'request',
  'outside-roots': 'request',
  'nothing-to-do': 'request',
  'bad-job': 'request',
  'folder-taken': 'request',
  cancelled: 'request',
  'missing-tool': 'impossible',
  'old-redis': 'impossible',
  'unreadable-clip': 'impossible',
  'clip-damaged': 'impossible',
  'file-changed': 'world',
  'ffmpeg-failed': 'world',
  'ffmpeg-timeout': 'world',
  'probe-failed': 'world',
  'disk-full': 'world',
  'cannot-write': 'world',
  'redis-gone': 'world',
  'folder-busy': 'world',
  'measure-failed': 'world',
  interrupted: 'world',
  /** A defect of goodgate itself. */
  internal: 'impossible',
} as const satisfies Record<string, ErrorFamily>;

export type ErrorCode = keyof typeof ERROR_CODES;

export interface ErrorParts {
  /** What is wrong, in one sentence. */
  readonly what: string;
  /** File, line or path in the document. */
  readonly where?: string | undefined;
  /** What to do next. */
  readonly next?: string | undefined;
  readonly cause?: unknown;
}

/** Every error goodgate raises on purpose: what, where and what next, with a code from the table above. */
export class GoodgateError extends Error {
  readonly code: ErrorCode;
  readonly family: ErrorFamily;
  readonly what: string;
  readonly where: string | undefined;
  readonly next: string | undefined;

  constructor(code: ErrorCode, parts: ErrorParts) {
    super([parts.where, parts.what].filter(Boolean).join(': '), { cause: parts.cause });
    this.name = 'GoodgateError';
    this.code = code;
    this.family = ERROR_CODES[code];
    this.what = parts.what;
    this.where = parts.where;
    this.next = parts.next;
  }
}

const CODES_IN_TEXT = new RegExp(`(^|: )(?:${Object.keys(ERROR_CODES).join('|')}): `, 'g');

/** A reason as people read it: the codes of errors, which are for programs, are left out. */
export function withoutCodes(text: string): string {
  return text.replace(CODES_IN_TEXT, '$1');
}

/**
 * The process exit code an error leads to (design: 2 the request is wrong, 3 the work could not be done, 130
 * interrupted).
 */
export function exitCodeOf(error: unknown): number {
  if (!(error instanceof GoodgateError)) return 3;
  if (error.code === 'interrupted') return 130;
  return error.family === 'request' ? 2 : 3;
}
