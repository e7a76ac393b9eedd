import { GoodgateError } from '../../jobs/errors.js';
import type { FfmpegResult } from './command.js';

/** That ffmpeg or ffprobe itself failed: what became of it says nothing of the file, by itself. */
export interface Fault {
  readonly code: 'ffmpeg-failed' | 'ffmpeg-timeout';
  /** What happened, as the end of a sentence about the program. */
  readonly what: string;
  /** It also complained of the file. Should it end so again, the file is the reason. */
  readonly speaksOfFile: boolean;
}

/** No memory is left, whoever says it (the text of ENOMEM, and a library's own). */
const NO_MEMORY = /Cannot allocate memory|out of memory|memory allocation|malloc.* fail|bad_alloc/i;

/**
 * Errors that say how the program fared, or what our own command asked of it, and nothing of the file. Read
 * in the sources of ffmpeg 5.1 and seen with 5.1.9 and 7.1. Texts of EPERM, EIO, EAGAIN and EINVAL are not
 * among them: decoders give these numbers back for damage.
 */
const NOT_OF_THE_FILE = [
  /Conversion failed!/,
  /(?:Error|Failed) (?:while |to )?(?:processing the decoded data|filtering|injecting? frame|inject frame)/,
  /Error (?:re)?initializing .*filter/,
  /Error (?:opening output|writing|muxing|submitting a packet to the muxer)/,
  /av_interleaved_write_frame|Terminating (?:thread|muxer)|Task finished with error|Nothing was written into output/,
  /Unrecognized option|Option .* not found|Error (?:splitting the argument list|parsing (?:global )?options)/,
  /Broken pipe|Too many open files|No space left|Stale file handle|Transport endpoint|Device or resource busy/,
  /error while loading shared libraries|pthread_create|creat\w* .*thread/i,
  /^\s*$/,
];

function speaksOfFile(errors: readonly string[]): boolean {
  return errors.some(
    (line) => !NO_MEMORY.test(line) && !NOT_OF_THE_FILE.some((pattern) => pattern.test(line)),
  );
}

/**
 * Why what ffmpeg gave cannot be judged; null when it ended in order, or was stopped by ourselves (`abort`).
 * ffmpeg exits 0 on most damaged files, and says in its log what it met. Evidence that it is ffmpeg that
 * failed: it hung, a signal ended it, it had no memory left, or it ended with an error and without a word
 * about the file.
 */
export function ffmpegFault(
  result: Omit<FfmpegResult, 'seconds' | 'commandLine' | 'errorCount'>,
): Fault | null {
  const { killedBy, endedBy, exitCode, errors } = result;
  const failed = (what: string): Fault => ({ code: 'ffmpeg-failed', what, speaksOfFile: false });
  if (killedBy === 'abort') return null;
  if (killedBy !== null) {
    return { code: 'ffmpeg-timeout', what: 'gave no sign of life and was stopped', speaksOfFile: false };
  }
  if (endedBy !== null) return failed(`was ended by ${endedBy}`);
  const memory = errors.find((line) => NO_MEMORY.test(line));
  if (memory !== undefined) return failed(`had no memory left (${memory})`);
  if (exitCode === 0) return null;
  const said = errors.slice(-3).join(' | ') || 'it gave no reason';
  return { ...failed(`ended with exit code ${exitCode}: ${said}`), speaksOfFile: speaksOfFile(errors) };
}

/** The same of ffprobe, which says on standard error what it met. */
export function ffprobeFault(stderr: string, exitCode: number): Fault | null {
  const errors = stderr.split('\n').filter((line) => line.trim() !== '');
  const fault = ffmpegFault({ killedBy: null, endedBy: null, exitCode, errors });
  return fault?.speaksOfFile === true ? null : fault;
}

export function faultError(
  program: 'ffmpeg' | 'ffprobe',
  { code, what }: Fault,
  path: string,
): GoodgateError {
  return new GoodgateError(code, {
    what: `${program} ${what}`,
    where: path,
    next: 'look at the disk, the memory and the load of the machine, then do it again; `--debug` and logs/batch.log have the command',
  });
}

/** Whether an error is one of these faults. */
export function isFault({ code }: GoodgateError): boolean {
  return code === 'ffmpeg-failed' || code === 'ffmpeg-timeout';
}
