import { GoodgateError } from '../../jobs/errors.js';
import type { FfmpegResult } from './command.js';

/** A failure of ffmpeg or ffprobe itself, which says nothing about the file. */
export interface Fault {
  readonly code: 'ffmpeg-failed' | 'ffmpeg-timeout';
  /** What happened, as the end of a sentence about the program. */
  readonly what: string;
  /** Whether it also reported errors of the file. If it fails again, the file is the reason. */
  readonly blamesFile: boolean;
}

/** Out of memory, as reported by the system (ENOMEM) or by a library. */
const NO_MEMORY = /Cannot allocate memory|out of memory|memory allocation|malloc.* fail|bad_alloc/i;

/**
 * Errors about the program or our command, not about the file. From the sources of ffmpeg 5.1, and seen with
 * 5.1.9 and 7.1. The texts of EPERM, EIO, EAGAIN and EINVAL are not among them: decoders return these for
 * damage.
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

function blamesFile(errors: readonly string[]): boolean {
  return errors.some(
    (line) => !NO_MEMORY.test(line) && !NOT_OF_THE_FILE.some((pattern) => pattern.test(line)),
  );
}

/**
 * Why the output of ffmpeg cannot be judged; null when it ended normally, or was stopped by us (`abort`).
 * ffmpeg exits with 0 on most damaged files and logs the damage. ffmpeg itself failed when it hung, was ended
 * by a signal, ran out of memory, or ended with an error that is not about the file.
 */
export function ffmpegFault(
  result: Omit<FfmpegResult, 'seconds' | 'commandLine' | 'errorCount'>,
): Fault | null {
  const { killedBy, endedBy, exitCode, errors } = result;
  const failed = (what: string): Fault => ({ code: 'ffmpeg-failed', what, blamesFile: false });
  if (killedBy === 'abort') return null;
  if (killedBy !== null) {
    return { code: 'ffmpeg-timeout', what: 'did not respond and was stopped', blamesFile: false };
  }
  if (endedBy !== null) return failed(`was ended by ${endedBy}`);
  const memory = errors.find((line) => NO_MEMORY.test(line));
  if (memory !== undefined) return failed(`had no memory left (${memory})`);
  if (exitCode === 0) return null;
  const reasons = errors.slice(-3).join(' | ') || 'it gave no reason';
  return { ...failed(`ended with exit code ${exitCode}: ${reasons}`), blamesFile: blamesFile(errors) };
}

/** The same for ffprobe, which reports errors on standard error. */
export function ffprobeFault(stderr: string, exitCode: number): Fault | null {
  const errors = stderr.split('\n').filter((line) => line.trim() !== '');
  const fault = ffmpegFault({ killedBy: null, endedBy: null, exitCode, errors });
  return fault?.blamesFile === true ? null : fault;
}

const LAID_OUT = /(?:file:)?[^\s'"|]*\/goodgate-frames-[\w-]+(?:\/[^\s'":|]*)?/g;

/**
 * A text of ffmpeg with the clip's own path: a clip of several files is laid out for it in a temporary folder
 * (sequence/stage-input.ts), which nobody knows and which is gone by then.
 */
export function namingClip(text: string, path: string): string {
  return text.replaceAll(LAID_OUT, () => path);
}

export function faultError(
  program: 'ffmpeg' | 'ffprobe',
  { code, what }: Fault,
  path: string,
): GoodgateError {
  return new GoodgateError(code, {
    what: `${program} ${namingClip(what, path)}`,
    where: path,
    next: 'check the disk, the memory and the load of the machine, then try again; `--debug` and logs/batch.log show the command',
  });
}

/** Whether an error is such a fault. */
export function isFault({ code }: GoodgateError): boolean {
  return code === 'ffmpeg-failed' || code === 'ffmpeg-timeout';
}
