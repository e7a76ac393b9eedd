import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { type DestinationStream, destination, type Logger, multistream, pino } from 'pino';
import { withoutSecrets } from '../jobs/words/without-secrets.js';
import { peopleStream } from './log-lines.js';

/** Levels of `--log-level`. */
export const LOG_LEVELS = ['debug', 'info', 'warn', 'error', 'silent'] as const;
export type LogLevel = (typeof LOG_LEVELS)[number];

export interface Logging {
  readonly log: Logger;
  /** Writes out what is buffered. */
  flush(): void;
}

/**
 * pino to stderr at the level asked for, as lines for people where that is a terminal, and to a file of its
 * own at `debug`. stdout belongs to data. The file is appended to: a batch that was interrupted keeps one
 * log. No password of an address gets into either.
 */
export function startLogging(options: { level: LogLevel; file?: string | undefined }): Logging {
  const streams: { level: LogLevel; stream: DestinationStream }[] = [];
  if (options.level !== 'silent') {
    // JSON is for programs: on a terminal a person reads.
    const stream = process.stderr.isTTY ? peopleStream(process.stderr) : destination({ fd: 2, sync: true });
    streams.push({ level: options.level, stream });
  }
  if (options.file !== undefined) {
    mkdirSync(dirname(options.file), { recursive: true });
    streams.push({ level: 'debug', stream: destination({ dest: options.file, append: true, sync: true }) });
  }
  const log = pino(
    {
      ...{ level: 'debug', base: { pid: process.pid }, timestamp: pino.stdTimeFunctions.isoTime },
      serializers: { err: errorInLog },
    },
    multistream(
      streams.map(({ level, stream }) => ({
        level: level === 'silent' ? 'error' : level,
        stream: { write: (line: string) => void stream.write(withoutSecrets(line)) },
      })),
    ),
  );
  return { log, flush: () => log.flush() };
}

/** An answer of Redis to a command comes with the command, and AUTH carries the password. */
function errorInLog(error: Error): object {
  const { command: _, ...shown } = pino.stdSerializers.err(error);
  return shown;
}
