import { isErrorLine } from './error-log.js';
import { makeNamedPipes } from './named-pipes.js';
import { splitLines } from './split-lines.js';

/** ffmpeg's number for errors (AV_LOG_ERROR): these, and what is worse, are reported. */
const ERRORS = 16;
/** What a report begins with, and the line after it is the command. */
const BEGINNING = 'Command line:';

/**
 * ffmpeg's own report, of errors alone. In its log a message of one thread can land inside a line that
 * another prints in pieces, without a word of its level: 1 in 25 runs over a damaged ProRes file lost its
 * message in the line of a frame that way (ffmpeg 5.1.9). In the report stands nothing but errors.
 */
export interface ErrorReport {
  /** For the variable FFREPORT of ffmpeg's environment. */
  readonly setting: string;
  /** ffmpeg keeps the report: its errors need not be looked for in the log. Known for sure after `finish`. */
  readonly isKept: boolean;
  /** When ffmpeg has ended: all lines are given after this. */
  finish(): Promise<void>;
}

/**
 * @param onError takes every line, with its level, as ffmpeg writes it
 *
 * Throws GoodgateError `measure-failed` when the pipe cannot be made.
 */
export async function openErrorReport(onError: (line: string) => void): Promise<ErrorReport> {
  const folder = await makeNamedPipes(['errors']);
  const [pipe] = folder.pipes;
  if (!pipe) throw new Error('no pipe for the report');
  let seen = 0;
  let isKept = false;
  const lines = splitLines((line) => {
    seen++;
    if (seen === 1) isKept = line === BEGINNING;
    else if (seen > 2) onError(isErrorLine(line) ? line : `[error] ${line}`);
  });
  // Chunks are cut between characters.
  const text = new TextDecoder();
  const read = pipe.read((chunk) => lines.write(text.decode(chunk, { stream: true })));
  return {
    setting: `file=${escaped(pipe.path)}:level=${ERRORS}`,
    get isKept() {
      return isKept;
    },
    async finish() {
      pipe.release();
      await read;
      lines.end();
      folder.remove();
    },
  };
}

/**
 * A percent sign begins what ffmpeg fills in; colon, quote and backslash mean something to the list of
 * settings.
 */
function escaped(path: string): string {
  return path.replaceAll('%', '%%').replace(/[\\':]/g, '\\$&');
}
