import { ExecaError, execa } from 'execa';
import type { z } from 'zod';
import { GoodgateError } from '../../jobs/errors.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { guardedEnvironment } from '../children/guard.js';
import { faultError, ffprobeFault, isFault } from '../ffmpeg/fault.js';
import type { Tools } from '../ffmpeg/tools.js';
import { stageInput } from '../sequence/stage-input.js';
import type { Asked } from './asked.js';
import { reasonInPlainWords } from './unreadable-reason.js';

/** Options for reading the facts of a clip, some of which come from ffmpeg. */
export interface ProbeOptions {
  readonly signal?: AbortSignal | undefined;
  /** Programs to start; by default those of the PATH. */
  readonly tools?: Tools | undefined;
  /** Milliseconds one call may take; default 60,000. */
  readonly timeoutMs?: number | undefined;
  /** Frames a second of a picture sequence, as a rational; absent: as its headers say. */
  readonly rate?: string | null | undefined;
  readonly asked?: Asked | undefined;
}

/** ffprobe is stopped when its output is larger, in characters: no clip needs that much. */
const MAX_OUTPUT = 64 * 1024 * 1024;

/**
 * Runs ffprobe on one file and parses its JSON.
 *
 * Throws GoodgateError: `unreadable-clip` with ffprobe's reason, `ffmpeg-failed` and `ffmpeg-timeout` when it
 * dies or hangs twice, `probe-failed` when its output is too large or does not match the schema,
 * `missing-tool` when it cannot be started, `interrupted` on abort.
 */
export async function runFfprobe<T extends z.ZodType>(
  path: string,
  args: readonly string[],
  schema: T,
  options: ProbeOptions = {},
): Promise<z.output<T>> {
  const ask = async (): Promise<string> => {
    const input = await stageInput(path, options.rate);
    const all = ['-v', 'error', '-of', 'json', ...input.options, ...args, '-i', input.url];
    return answerOf(path, all, options).finally(input.remove);
  };
  const text = await (options.asked?.texts.once(questionOf(path, args, options), ask) ?? ask());
  const parsed = schema.safeParse(parseJson(text));
  if (!parsed.success) throw probeFailed(path, 'the output of ffprobe has an unknown form', parsed.error);
  return parsed.data;
}

/** What tells questions about one file apart: the rate only of a picture sequence. */
export function questionOf(path: string, args: readonly string[], { rate = null }: ProbeOptions): string {
  return JSON.stringify([path, args, sequenceName(path) === null ? null : rate]);
}

/**
 * Whether to try once more: on outside failures, and when a file cannot be read, which counts only when
 * reported twice.
 */
function isWorthRetrying(failure: unknown): failure is GoodgateError {
  return failure instanceof GoodgateError && (failure.code === 'unreadable-clip' || isFault(failure));
}

async function answerOf(path: string, args: readonly string[], options: ProbeOptions): Promise<string> {
  const program = options.tools?.ffprobe ?? 'ffprobe';
  const ask = async (): Promise<string | GoodgateError> => {
    try {
      return (await execa(program, args, { ...limitsOf(options), maxBuffer: MAX_OUTPUT })).stdout;
    } catch (error) {
      const failure = failureOf(error, path, program);
      if (isWorthRetrying(failure)) return failure;
      throw failure;
    }
  };
  const first = await ask();
  if (typeof first === 'string') return first;
  const second = await ask();
  if (typeof second === 'string') return second;
  throw second.code === 'unreadable-clip' ? first : second;
}

/**
 * As `runFfprobe`, for output too long to buffer: each line goes to `onLine` as it arrives. `args` set the
 * format.
 */
export async function runFfprobeLines(
  path: string,
  args: readonly string[],
  onLine: (line: string) => void,
  options: ProbeOptions = {},
): Promise<void> {
  const program = options.tools?.ffprobe ?? 'ffprobe';
  const input = await stageInput(path, options.rate);
  const all = ['-v', 'error', ...input.options, ...args, '-i', input.url];
  try {
    for await (const line of execa(program, all, { ...limitsOf(options), buffer: { stdout: false } })) {
      onLine(line);
    }
  } catch (error) {
    // A long list is a property of the file, not a fault of ffprobe.
    if (error instanceof ExecaError && error.timedOut)
      throw probeFailed(path, 'ffprobe takes too long', error);
    throw failureOf(error, path, program);
  } finally {
    input.remove();
  }
}

function limitsOf(options: ProbeOptions) {
  return {
    stdin: 'ignore' as const,
    env: guardedEnvironment(),
    timeout: options.timeoutMs ?? 60_000,
    ...(options.signal === undefined ? {} : { cancelSignal: options.signal }),
  };
}

function probeFailed(path: string, what: string, cause: unknown): GoodgateError {
  return new GoodgateError('probe-failed', {
    what,
    where: path,
    next: 'try again; if it fails again, run ffprobe on the file by hand',
    cause,
  });
}

function tookTooLong(path: string): GoodgateError {
  const fault = {
    code: 'ffmpeg-timeout',
    what: 'took too long for this file',
    blamesFile: false,
  } as const;
  return faultError('ffprobe', fault, path);
}

/** The failure of ffprobe as a GoodgateError; other errors as they were thrown. */
function failureOf(error: unknown, path: string, program: string): unknown {
  if (!(error instanceof ExecaError)) return error;
  if (error.isCanceled) {
    return new GoodgateError('interrupted', {
      what: 'stopped while reading a clip',
      where: path,
      cause: error,
    });
  }
  if (error.timedOut) return tookTooLong(path);
  if (error.isMaxBuffer) return probeFailed(path, 'ffprobe printed more than any clip needs', error);
  if (error.exitCode === undefined && error.signal === undefined) {
    return new GoodgateError('missing-tool', {
      what: `ffprobe could not be started (${error.originalMessage ?? error.shortMessage})`,
      where: program,
      next: 'install ffmpeg 5.1 or newer (ffprobe comes with it); `goodgate doctor` shows what this machine has',
      cause: error,
    });
  }
  if (error.exitCode === undefined) {
    const fault = {
      code: 'ffmpeg-failed',
      what: `was ended by ${error.signal}`,
      blamesFile: false,
    } as const;
    return faultError('ffprobe', fault, path);
  }
  const fault = ffprobeFault(String(error.stderr ?? ''), error.exitCode);
  if (fault !== null) return faultError('ffprobe', fault, path);
  return new GoodgateError('unreadable-clip', {
    what: reasonInPlainWords(String(error.stderr ?? ''), path),
    where: path,
    next: 'copy the file again from its card, or leave it out',
    cause: error,
  });
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
