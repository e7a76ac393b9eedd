import type { FfmpegResult } from './command.js';

const MOST_ERRORS = 50;

/** Entry in the log for one ffmpeg that ended. */
export function resultInLog({ commandLine, exitCode, seconds, errors }: FfmpegResult): object {
  return { command: commandLine, exitCode, seconds, errors: errors.slice(0, MOST_ERRORS) };
}
