import type { FfmpegResult } from './command.js';

const MOST_ERRORS = 50;

/** What the log keeps of one ffmpeg that ended. */
export function resultInLog({ commandLine, exitCode, seconds, errors }: FfmpegResult): object {
  return { command: commandLine, exitCode, seconds, errors: errors.slice(0, MOST_ERRORS) };
}
