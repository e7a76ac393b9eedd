import { constants, openSync } from 'node:fs';
import { Socket } from 'node:net';
import { parentPort, workerData } from 'node:worker_threads';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import { wholeNumberDepth } from '../sound/channel-sums.js';
import type { StreamOutcome } from '../sound/sound-figures.js';
import { SoundMeter } from '../sound/sound-meter.js';

/** What the thread is started with: one pipe for each stream. */
export interface SoundWork {
  readonly streams: readonly { readonly pipe: string; readonly facts: AudioFacts }[];
}

export type SoundMessage =
  /** Every pipe is open: nothing written to one can be lost any more. */
  { readonly kind: 'open' } | SoundOutcome;

export interface SoundOutcome {
  readonly kind: 'outcome';
  /** Index into `SoundWork.streams`. */
  readonly index: number;
  readonly outcome: StreamOutcome;
}

const SAMPLE_BYTES = Float64Array.BYTES_PER_ELEMENT;

function isSoundWork(data: unknown): data is SoundWork {
  return typeof data === 'object' && data !== null && 'streams' in data && Array.isArray(data.streams);
}

/**
 * Reads one stream to its end. Event-driven, not a blocking read: ffmpeg writes the streams in any order, and
 * a thread that waited for one pipe would let another fill up and block everything.
 */
function measureStream(
  pipe: string,
  facts: AudioFacts,
  done: (outcome: SoundOutcome['outcome']) => void,
): void {
  let meter: SoundMeter | null = null;
  let failure: string | null = null;
  const attempt = (step: () => void): void => {
    if (failure !== null) return;
    try {
      step();
    } catch (error) {
      failure = error instanceof Error ? error.message : String(error);
    }
  };
  attempt(() => {
    const { sampleRate, channels, layout } = facts;
    const sampleDepth = wholeNumberDepth(facts.codec, facts.bitDepth);
    meter = new SoundMeter({ sampleRate, channels, layout, sampleDepth });
  });
  // Chunks may end within a sample; the rest is kept for the next chunk.
  let rest: Buffer = Buffer.alloc(0);
  const fd = openSync(pipe, constants.O_RDONLY | constants.O_NONBLOCK);
  const socket = new Socket({ fd, readable: true, writable: false });
  socket.on('data', (chunk: Buffer) => {
    attempt(() => {
      const bytes = rest.length === 0 ? chunk : Buffer.concat([rest, chunk]);
      const whole = bytes.length - (bytes.length % SAMPLE_BYTES);
      const samples = new Float64Array(whole / SAMPLE_BYTES);
      new Uint8Array(samples.buffer).set(bytes.subarray(0, whole));
      rest = Buffer.from(bytes.subarray(whole));
      meter?.push(samples);
    });
  });
  const finish = (): void => {
    attempt(() => {
      const figures = meter?.finish();
      if (!figures) throw new Error('no meter');
      done({ kind: 'done', figures });
    });
    if (failure !== null) done({ kind: 'failed', why: failure });
  };
  socket.once('error', (error) => {
    failure ??= error.message;
  });
  socket.once('close', finish);
}

if (isSoundWork(workerData)) {
  workerData.streams.forEach(({ pipe, facts }, index) => {
    measureStream(pipe, facts, (outcome) =>
      parentPort?.postMessage({ kind: 'outcome', index, outcome } satisfies SoundMessage),
    );
  });
  parentPort?.postMessage({ kind: 'open' } satisfies SoundMessage);
}
