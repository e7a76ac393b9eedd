import { ExecaError, execa } from 'execa';
import type { z } from 'zod';
import { GoodgateError } from '../../jobs/errors.js';
import { guardedEnvironment } from '../children/guard.js';
import { faultError, ffprobeFault, isFault } from '../ffmpeg/fault.js';
import { fileUrl, guardFor } from '../ffmpeg/input-guard.js';
import type { Tools } from '../ffmpeg/tools.js';
import { reasonInPlainWords } from './unreadable-reason.js';

/** What reading the facts of a clip needs: some are asked of ffmpeg. */
export interface ProbeOptions {
  readonly signal?: AbortSignal | undefined;
  /** Programs to start; those of the PATH when left out. */
  readonly tools?: Tools | undefined;
  /** Milliseconds one question may take; 60,000 when left out. */
  readonly timeoutMs?: number | undefined;
}

/** Characters of output read before ffprobe is stopped: a file with that much to say of itself is no clip. */
const MAX_OUTPUT = 64 * 1024 * 1024;

/**
 * Asks ffprobe one question about one file and parses the JSON it answers.
 *
 * Throws GoodgateError: `unreadable-clip` with ffprobe's reason, `ffmpeg-failed` and `ffmpeg-timeout` when it
 * dies or hangs twice, `probe-failed` when it floods or answers what the schema does not know, `missing-tool`
 * when it cannot be started, `interrupted` on abort.
 */
export async function runFfprobe<T extends z.ZodType>(
  path: string,
  args: readonly string[],
  schema: T,
  options: ProbeOptions = {},
): Promise<z.output<T>> {
  const all = ['-v', 'error', '-of', 'json', ...guardFor(path), ...args, '-i', fileUrl(path)];
  const text = await answerOf(path, all, options);
  const parsed = schema.safeParse(parseJson(text));
  if (!parsed.success)
    throw probeFailed(path, 'ffprobe answered in a form goodgate does not know', parsed.error);
  return parsed.data;
}

/**
 * What is tried once more: faults of the world, and that a file cannot be read, which is believed when it is
 * said twice.
 */
function isWorthAnother(failure: unknown): failure is GoodgateError {
  return failure instanceof GoodgateError && (failure.code === 'unreadable-clip' || isFault(failure));
}

async function answerOf(path: string, args: readonly string[], options: ProbeOptions): Promise<string> {
  const program = options.tools?.ffprobe ?? 'ffprobe';
  const ask = async (): Promise<string | GoodgateError> => {
    try {
      return (await execa(program, args, { ...limitsOf(options), maxBuffer: MAX_OUTPUT })).stdout;
    } catch (error) {
      const failure = failureOf(error, path, program);
      if (isWorthAnother(failure)) return failure;
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
 * As `runFfprobe`, for answers too long to hold: each line goes to `onLine` as it comes. `args` choose the
 * form.
 */
export async function runFfprobeLines(
  path: string,
  args: readonly string[],
  onLine: (line: string) => void,
  options: ProbeOptions = {},
): Promise<void> {
  const program = options.tools?.ffprobe ?? 'ffprobe';
  const all = ['-v', 'error', ...guardFor(path), ...args, '-i', fileUrl(path)];
  try {
    for await (const line of execa(program, all, { ...limitsOf(options), buffer: { stdout: false } })) {
      onLine(line);
    }
  } catch (error) {
    // How long a list is, is the file's.
    if (error instanceof ExecaError && error.timedOut)
      throw probeFailed(path, 'it takes ffprobe too long', error);
    throw failureOf(error, path, program);
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
    next: 'try again; if it stays so, look at the file with ffprobe by hand',
    cause,
  });
}

function tookTooLong(path: string): GoodgateError {
  const fault = {
    code: 'ffmpeg-timeout',
    what: 'took too long over this file',
    speaksOfFile: false,
  } as const;
  return faultError('ffprobe', fault, path);
}

/** What became of ffprobe, in one of our errors; anything else as it was thrown. */
function failureOf(error: unknown, path: string, program: string): unknown {
  if (!(error instanceof ExecaError)) return error;
  if (error.isCanceled) {
    return new GoodgateError('interrupted', {
      what: 'stopped while looking at a clip',
      where: path,
      cause: error,
    });
  }
  if (error.timedOut) return tookTooLong(path);
  if (error.isMaxBuffer) return probeFailed(path, 'ffprobe gave more output than any clip needs', error);
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
      speaksOfFile: false,
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
