import { PassThrough } from 'node:stream';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { lineForPeople } from '../../cli/log-lines.js';
import { speakAs } from '../../cli/print.js';
import { batchProgress } from '../../cli/progress/batch-progress.js';
import { fractionProgress } from '../../cli/progress/fraction-progress.js';
import type { Plan } from '../../jobs/plan/plan.js';

/** What is written to a stream that says of itself that it is a terminal of 80 columns, or a pipe. */
function output(isTTY: boolean): { stream: NodeJS.WriteStream; text(): string; lines(): string[] } {
  const stream = Object.assign(new PassThrough(), { isTTY, columns: 80, rows: 24 });
  let written = '';
  stream.on('data', (chunk) => (written += String(chunk)));
  const text = () => written;
  return { stream: stream as unknown as NodeJS.WriteStream, text, lines: () => plainLines(written) };
}

/** Lines as a person sees them, without what moves the cursor. */
function plainLines(text: string): string[] {
  const ESCAPE = String.fromCharCode(27);
  const plain = text
    .split(ESCAPE)
    .map((part, index) => (index === 0 ? part : part.replace(/^\[[\d;?]*[A-Za-z]/, '\n')));
  return plain
    .join('')
    .split(/[\r\n]+/)
    .map((line) => line.trimEnd())
    .filter((line) => line !== '');
}

const LONG = 'A001/CLIPS/2026-11-30/A001C001_261130_R2EC.mov';
const plan = {
  jobs: [
    { id: 'a', clip: { name: LONG }, estimate: { seconds: 10 } },
    { id: 'b', clip: { name: 'B.mov' }, estimate: { seconds: 10 } },
  ],
} as unknown as Plan;

beforeEach(() => {
  vi.useFakeTimers({
    toFake: ['performance', 'Date', 'setTimeout', 'clearTimeout'],
    now: new Date(2026, 0, 1, 20),
  });
});
afterEach(() => {
  speakAs('usual');
  vi.useRealTimers();
});

const reached = (queueId: string, fraction: number) =>
  ({ kind: 'progress', queueId, progress: { fraction, stage: 'decode', detail: 'proxy-h264' } }) as const;
const done = (queueId: string) => ({ kind: 'done', queueId, reason: '' }) as const;

describe('progress of a batch', () => {
  it('on a terminal of 80 columns shows the end of names and when it will be done', async () => {
    const { stream, lines } = output(true);
    const progress = batchProgress(plan, (id) => id, { stream });
    vi.advanceTimersByTime(3_600_000);
    progress.change(reached('a', 0.5));
    vi.advanceTimersByTime(1_000);
    progress.stop();
    await new Promise(setImmediate);
    // A quarter took an hour: three more from 21:00 on.
    expect(lines().join('\n')).toMatch(/batch 0 of 2 clips, done at 00:00, about 3 h 0 min left/);
    expect(lines().join('\n')).toContain('A001C001_261130_R2EC.mov');
    for (const line of lines()) expect(Array.from(line).length, line).toBeLessThanOrEqual(80);
  });

  it.each([true, false])('names what is done after the last clip (terminal: %s)', async (isTTY) => {
    const { stream, lines } = output(isTTY);
    const progress = batchProgress(plan, (id) => id, { stream });
    progress.change(done('a'));
    progress.change(done('b'));
    vi.advanceTimersByTime(1_000);
    progress.stop();
    await new Promise(setImmediate);
    expect(lines().join('\n')).toContain('2 of 2 clips done; writing stills and report');
  });

  it('says nothing more from the moment it is interrupted, and nothing at all where it is to be quiet', async () => {
    const stop = new AbortController();
    const stopped = output(false);
    const progress = batchProgress(plan, (id) => id, { stream: stopped.stream, signal: stop.signal });
    progress.change(done('a'));
    stop.abort();
    progress.change({ kind: 'failed', queueId: 'b', reason: 'interrupted' });
    speakAs('quiet');
    const quiet = output(false);
    batchProgress(plan, (id) => id, { stream: quiet.stream }).change(done('a'));
    await new Promise(setImmediate);
    expect(stopped.lines()).toEqual([`${LONG}: done`]);
    expect(quiet.text()).toBe('');
  });
});

describe('progress of one file', () => {
  it('is a line now and then in a pipe, and one line on a terminal', async () => {
    const pipe = output(false);
    const terminal = output(true);
    for (const { stream } of [pipe, terminal]) {
      const progress = fractionProgress('measuring master.mov', stream);
      for (let second = 0; second < 60; second += 1) {
        progress.update(second / 60);
        vi.advanceTimersByTime(1_000);
      }
      progress.name('writing stills and report');
      progress.stop();
    }
    await new Promise(setImmediate);
    // Every ten seconds of a minute, never 100 before the end.
    expect(pipe.lines()).toEqual([16, 33, 50, 66, 83].map((percent) => `measuring master.mov ${percent} %`));
    expect(pipe.text()).not.toContain(String.fromCharCode(27));
    expect(terminal.text()).not.toContain('\n');
    expect(terminal.lines()).toContain('writing stills and report');
  });
});

it.each([
  [
    {
      level: 30,
      time: new Date(2026, 0, 1, 20, 4, 5).toISOString(),
      pid: 7,
      clip: 'A.mov',
      seconds: 12.5,
      msg: 'clip done',
    },
    '20:04:05 clip done: clip A.mov, seconds 12.5',
  ],
  [
    {
      level: 40,
      time: new Date(2026, 0, 1, 20, 4, 5).toISOString(),
      pid: 7,
      msg: 'the queue does not answer',
    },
    '20:04:05 WARNING the queue does not answer',
  ],
  [
    {
      level: 50,
      time: new Date(2026, 0, 1, 20, 4, 5).toISOString(),
      err: { stack: 'x' },
      roots: ['/a', '/b'],
      msg: 'no\u001b[2J',
    },
    '20:04:05 ERROR no\\u001b[2J: roots /a /b',
  ],
])('a line of the log for people: %j', (entry, line) => {
  expect(lineForPeople(`${JSON.stringify(entry)}\n`)).toBe(line);
});
