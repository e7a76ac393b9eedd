import { isErrorLine } from './error-log.js';
import { makeNamedPipes } from './named-pipes.js';
import { splitLines } from './split-lines.js';

/** ffmpeg's log level for errors (AV_LOG_ERROR): errors and worse are reported. */
const ERRORS = 16;
/** First line of a report; the command is in the second. */
const BEGINNING = 'Command line:';

/**
 * ffmpeg's own report, with errors only. In the log a message of one thread can appear inside a line that
 * another thread prints in pieces, without its level: 1 in 25 runs on a damaged ProRes file lost its error
 * message that way (ffmpeg 5.1.9). The report contains only errors.
 */
export interface ErrorReport {
  /** For the environment variable FFREPORT of ffmpeg. */
  readonly setting: string;
  /** Whether ffmpeg writes the report, so that errors are not taken from the log. Certain after `finish`. */
  readonly isKept: boolean;
  /** Call it when ffmpeg has ended: afterwards all lines have been passed on. */
  finish(): Promise<void>;
}

/**
 * @param onError gets every line with its level, as ffmpeg writes it
 *
 * Throws GoodgateError `measure-failed` when the pipe cannot be made.
 */
export async function openErrorReport(onError: (line: string) => void): Promise<ErrorReport> {
  const folder = await makeNamedPipes(1);
  const [pipe] = folder.pipes;
  if (!pipe) throw new Error('no pipe for the report');
  let seen = 0;
  let isKept = false;
  const lines = splitLines((line) => {
    seen++;
    if (seen === 1) isKept = line === BEGINNING;
    else if (seen > 2) onError(isErrorLine(line) ? line : `[error] ${line}`);
  });
  // Chunks may end within a character.
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
 * A percent sign starts a placeholder of ffmpeg; colon, quote and backslash are special in the list of
 * settings.
 */
function escaped(path: string): string {
  return path.replaceAll('%', '%%').replace(/[\\':]/g, '\\$&');
}
