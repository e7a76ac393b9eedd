import type { ChildProcess } from 'node:child_process';
import { dirname } from 'node:path';
import { execa } from 'execa';
import fluentFfmpeg from 'fluent-ffmpeg';
import { GoodgateError } from '../../jobs/errors.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { guardedEnvironment } from '../children/guard.js';
import { type StagedInput, stageInput } from '../sequence/stage-input.js';
import type { FfmpegCommand, FfmpegInput, FfmpegOutput, FfmpegResult, FfmpegRunOptions } from './command.js';
import { ErrorLog, isErrorLine } from './error-log.js';
import { openErrorReport } from './error-report.js';
import { fileUrl, INPUT_GUARD } from './input-guard.js';
import { Lifeline } from './lifeline.js';
import { quoteCommand } from './quote-command.js';
import { readProgress } from './read-progress.js';
import { splitLines } from './split-lines.js';
import type { Tools } from './tools.js';

/**
 * The only place that starts ffmpeg, through fluent-ffmpeg. That library is archived, so its peculiarities
 * are handled here and nowhere else (version 2.1.3, from its source, checked by tests):
 *
 * - Options passed as one array, or a single option, are split at spaces: pass them as separate arguments,
 *   and never one alone.
 * - Before the first run in a process it queries formats and encoders of ffmpeg (measured: 0.12 s), and
 *   parses the answers with patterns that do not match newer versions. The planner has queried them already:
 *   switched off below.
 * - A `progress` listener makes it run ffprobe on the first input, without our whitelist, and it parses the
 *   status line meant for people. We read `-progress` from standard output instead.
 * - When spawning fails it reads the log of a process that does not exist, which throws outside of every
 *   promise.
 * - All commands share one variable for the path of ffmpeg.
 */
interface FluentInternals {
  ffmpegProc?: ChildProcess;
  _spawnFfmpeg(args: string[], options: object, onSpawn: () => void, onEnd: EndCallback): void;
}
interface LineRing {
  get(): string;
}
type EndCallback = (error: Error | null, out?: LineRing, log?: LineRing) => void;

function hasInternals<T extends object>(command: T): command is T & FluentInternals {
  return ['_spawnFfmpeg', '_checkCapabilities', '_getFfmpegPath', 'availableEncoders'].every(
    (name) => typeof Reflect.get(command, name) === 'function',
  );
}

/** Most errors of the log that are kept until it is known whether there is a report. */
const MOST_ERRORS = 10_000;
const LONGEST_ERROR = 2_000;

/** On a signal ffmpeg closes its outputs, logs this line and exits with 255. */
const ASKED_TO_END = /^\[info\] Exiting normally, received signal (?<signal>\d+)\./;

const NO_LINES: LineRing = { get: () => '' };

/**
 * `repeat`: a repeated message is logged each time, so that errors can be counted. `-y`: outputs have
 * temporary names. `-nostats`: no status line in the log.
 */
const GLOBAL_OPTIONS = [
  ...['-hide_banner', '-nostdin', '-y', '-loglevel', 'repeat+level+info'],
  ...['-nostats', '-progress', 'pipe:1', '-stats_period', '0.5'],
];

/**
 * Runs one ffmpeg process and resolves however it ends: the caller judges the result. The child has its own
 * process group and never outlives this process (children/guard.ts).
 *
 * Inputs are read with `INPUT_GUARD`, and paths are passed as `file:` URLs, in which colons, percent signs
 * and leading dashes are not special. Throws GoodgateError `missing-tool` when ffmpeg cannot be started and
 * `disk-full` when the disk or quota was full.
 */
export async function runFfmpeg(
  command: FfmpegCommand,
  options: FfmpegRunOptions = {},
): Promise<FfmpegResult> {
  const inputs: StagedInput[] = [];
  try {
    for (const input of command.inputs) inputs.push(await stageOf(input));
    return await runStaged(command, inputs, options);
  } finally {
    for (const input of inputs) input.remove();
  }
}

/** The filter graph of an input with `-f lavfi` is no path. */
function stageOf({ path, options, rate }: FfmpegInput): StagedInput | Promise<StagedInput> {
  if (formatOf(options) === 'lavfi') return { url: path, options: INPUT_GUARD, remove: () => undefined };
  return stageInput(path, rate);
}

async function runStaged(
  command: FfmpegCommand,
  inputs: readonly StagedInput[],
  options: FfmpegRunOptions,
): Promise<FfmpegResult> {
  const started = performance.now();
  const log = new ErrorLog();
  const lifeline = new Lifeline(options);
  const ffmpegPath = options.tools?.ffmpeg ?? 'ffmpeg';
  const run: Run = { ffmpegPath, lifeline, commandLine: '', child: null, report: '' };
  const fluent = buildFluent(command, inputs, run);

  let asked: string | null = null;
  const add = (line: string): void => {
    asked ??= ASKED_TO_END.exec(line)?.groups?.['signal'] ?? null;
    log.add(line);
    options.onLine?.(line);
  };
  const report = await openErrorReport(add);
  run.report = report.setting;
  const errors: string[] = [];
  const failure = await new Promise<Error | null>((resolve) => {
    fluent.on('start', () => {
      const child = fluent.ffmpegProc;
      if (child?.pid === undefined) return;
      run.child = child;
      listen(child, lifeline, options, (line) => {
        if (!isErrorLine(line)) add(line);
        else if (!report.isKept && errors.length < MOST_ERRORS) errors.push(line.slice(0, LONGEST_ERROR));
      });
      lifeline.watch(child);
    });
    fluent.on('end', () => resolve(null));
    fluent.on('error', resolve);
    fluent.run();
  }).finally(async () => {
    lifeline.release();
    await report.finish();
  });
  // Without a report the errors are only in the log.
  if (!report.isKept) for (const line of errors) add(line);

  if (run.child === null && lifeline.killedBy === null) throw cannotStart(run.ffmpegPath, failure);
  if (log.sawDiskFull && lifeline.killedBy === null) throw diskFull(command);
  return {
    exitCode: run.child?.exitCode ?? null,
    killedBy: lifeline.killedBy,
    endedBy: run.child?.signalCode ?? (asked === null ? null : `signal ${asked}`),
    errors: log.errors,
    errorCount: log.count,
    seconds: (performance.now() - started) / 1000,
    commandLine: run.commandLine,
  };
}

/**
 * Queries ffmpeg about itself (`-version`, `-encoders`, `-h encoder=...`) and returns its standard output.
 * Throws GoodgateError `missing-tool` when it cannot be started or does not answer within 30 s.
 */
export async function queryFfmpeg(question: readonly string[], tools?: Tools): Promise<string> {
  const ffmpegPath = tools?.ffmpeg ?? 'ffmpeg';
  try {
    const asked = await execa(ffmpegPath, ['-hide_banner', '-nostdin', ...question], {
      stdin: 'ignore',
      timeout: 30_000,
      env: guardedEnvironment(),
    });
    return asked.stdout;
  } catch (error) {
    throw cannotStart(ffmpegPath, error instanceof Error ? error : null);
  }
}

interface Run {
  readonly ffmpegPath: string;
  readonly lifeline: Lifeline;
  commandLine: string;
  child: ChildProcess | null;
  /** Value of FFREPORT for the error report. */
  report: string;
}

function buildFluent(command: FfmpegCommand, inputs: readonly StagedInput[], run: Run) {
  // With stdoutLines 1 fluent-ffmpeg buffers no lines; with 0 it would keep them all.
  const fluent = fluentFfmpeg({ stdoutLines: 1 });
  if (!hasInternals(fluent))
    throw new Error('this fluent-ffmpeg is not the version run-ffmpeg.ts was written for');

  for (const [index, { url, options }] of inputs.entries()) {
    fluent.input(url);
    const own = command.inputs[index]?.options ?? [];
    fluent.inputOptions(...(index === 0 ? GLOBAL_OPTIONS : []), ...options, ...own);
  }
  for (const output of command.outputs) {
    fluent.output(outputUrl(output));
    // -y is set already; here it prevents that an output has a single option, which would be split.
    fluent.outputOptions('-y', ...output.options);
  }

  const spawn = fluent._spawnFfmpeg;
  Object.assign(fluent, {
    _checkCapabilities: (callback: (error: null) => void) => callback(null),
    availableEncoders: (callback: (error: null, encoders: object) => void) => callback(null, {}),
    _getFfmpegPath: (callback: (error: null, path: string) => void) => callback(null, run.ffmpegPath),
    _spawnFfmpeg: (args: string[], spawnOptions: object, onSpawn: () => void, onEnd: EndCallback) => {
      run.commandLine = quoteCommand(run.ffmpegPath, args);
      const end: EndCallback = (error, out = NO_LINES, lines = NO_LINES) => onEnd(error, out, lines);
      if (run.lifeline.killedBy !== null) return end(new Error('aborted before the start'));
      try {
        // Its own process group: Ctrl-C reaches only this process, and a signal to the group reaches all of
        // ffmpeg.
        spawn.call(
          fluent,
          args,
          {
            ...spawnOptions,
            ...{ stdio: ['ignore', 'pipe', 'pipe'], detached: true },
            env: { ...process.env, ...guardedEnvironment(), FFREPORT: run.report },
          },
          onSpawn,
          end,
        );
      } catch (error) {
        end(error instanceof Error ? error : new Error(String(error)));
      }
    },
  });
  return fluent;
}

function outputUrl(output: FfmpegOutput): string {
  if (formatOf(output.options) === 'null') return '-';
  const frames = sequenceName(output.path);
  if (frames === null) return fileUrl(output.path);
  // The muxer of pictures takes `%` for the beginning of a number, and two for one.
  const escaped = (part: string): string => part.replaceAll('%', '%%');
  return `${escaped(fileUrl(dirname(output.path)))}/${escaped(frames.prefix)}%04d${escaped(frames.suffix)}`;
}

function formatOf(options: readonly string[]): string | undefined {
  const at = options.lastIndexOf('-f');
  return at < 0 ? undefined : options[at + 1];
}

function listen(
  child: ChildProcess,
  lifeline: Lifeline,
  options: FfmpegRunOptions,
  onLine: (line: string) => void,
): void {
  const progress = readProgress((figures) => {
    lifeline.sign();
    options.onProgress?.(figures);
  });
  const lines = splitLines((line) => {
    lifeline.sign();
    onLine(line);
  });
  child.stdout?.on('data', (chunk: Buffer) => progress(chunk.toString('latin1')));
  // fluent-ffmpeg has set the encoding: chunks are text and end between characters.
  child.stderr?.on('data', (chunk: string) => lines.write(chunk)).on('close', () => lines.end());
}

function cannotStart(ffmpegPath: string, cause: Error | null): GoodgateError {
  return new GoodgateError('missing-tool', {
    what: `ffmpeg could not be started (${cause?.message ?? 'no reason given'})`,
    where: ffmpegPath,
    next: 'install ffmpeg 5.1 or newer, or set its path; `goodgate doctor` shows what this machine has',
    cause,
  });
}

function diskFull(command: FfmpegCommand): GoodgateError {
  return new GoodgateError('disk-full', {
    what: 'ffmpeg could not write: no space left on the disk, or the quota is used up',
    where: command.outputs.map((output) => output.path).join(', '),
    next: 'free space or choose another output folder, then run the batch again: finished outputs are kept',
  });
}
