import { spawn } from 'node:child_process';
import { closeSync, openSync, readSync } from 'node:fs';
import type { FrameReading, PictureKernel } from '../../workers/measure/picture/kernel/picture-kernel.js';
import type { PicturePlan } from '../../workers/measure/picture/plan/picture-plan.js';
import { naiveFacts } from '../workers/measure/picture/kernel/naive-picture.js';
import { fill, type Pictures, PQ, SDR } from './kernel-speed.js';
import { withNamedPipe } from './named-pipe.js';

// As built: what tsx makes of the sources runs at another speed.
const built = (path: string): string => new URL(`../../dist/workers/measure/${path}`, import.meta.url).href;
const { kernelModule }: typeof import('../../workers/measure/picture/kernel/kernel-module.js') = await import(
  built('picture/kernel/kernel-module.js')
);
const { WasmKernel }: typeof import('../../workers/measure/picture/kernel/wasm-kernel.js') = await import(
  built('picture/kernel/wasm-kernel.js')
);
const { PictureRecorder }: typeof import('../../workers/measure/picture/recording/picture-recorder.js') =
  await import(built('picture/recording/picture-recorder.js'));
const { picturePlan }: typeof import('../../workers/measure/picture/plan/picture-plan.js') = await import(
  built('picture/plan/picture-plan.js')
);
const { frameStudies, planeStudies }: typeof import('../../workers/measure/picture/recording/studies.js') =
  await import(built('picture/recording/studies.js'));
const { SoundMeter }: typeof import('../../workers/measure/sound/sound-meter.js') = await import(
  built('sound/sound-meter.js')
);
const { SoundStudy }: typeof import('../../workers/measure/sound/sound-study.js') = await import(
  built('sound/sound-study.js')
);
const { KFilter }: typeof import('../../workers/measure/sound/k-weighting.js') = await import(
  built('sound/k-weighting.js')
);
const { TRUE_PEAK_HISTORY, TruePeak }: typeof import('../../workers/measure/sound/true-peak.js') =
  await import(built('sound/true-peak.js'));

const STREAMS: readonly Pictures[] = [
  { title: 'UHD 10-bit 4:2:2 SDR', pixelFormat: 'yuv422p10le', width: 3840, height: 2160, colour: SDR },
  { title: 'UHD 10-bit 4:2:2 PQ', pixelFormat: 'yuv422p10le', width: 3840, height: 2160, colour: PQ },
  { title: 'HD 8-bit 4:2:0 SDR', pixelFormat: 'yuv420p', width: 1920, height: 1080, colour: SDR },
];
const RATE = { num: 25, den: 1 };
/** Multiples of the 12 frames of which the spectrum study looks at one. The first teach the compiler. */
const TAUGHT = 48;
const FRAMES = 120;

/**
 * Times on the processor, not on the wall, and the middle one of all: other programs may share the machine.
 */
class Costs {
  readonly #microseconds = new Map<string, number[]>();
  counts = true;

  time<T>(name: string, work: () => T): T {
    const before = process.cpuUsage();
    const result = work();
    const { user, system } = process.cpuUsage(before);
    const times = this.#microseconds.get(name) ?? [];
    this.#microseconds.set(name, times);
    if (this.counts) times.push(user + system);
    return result;
  }

  /** Milliseconds, the median. */
  of(name: string): number {
    const times = (this.#microseconds.get(name) ?? []).toSorted((a, b) => a - b);
    return (times[times.length >> 1] ?? Number.NaN) / 1000;
  }
}

function planOf({ pixelFormat, width, height, colour }: Pictures): PicturePlan {
  const plan = picturePlan(
    naiveFacts({ width, height, colour } as Parameters<typeof naiveFacts>[0], pixelFormat),
    colour,
  );
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

function filledKernel(plan: PicturePlan): PictureKernel {
  const kernel = new WasmKernel(plan, kernelModule());
  kernel.slots.forEach((slot, index) => {
    fill(slot, plan, 17 + index);
  });
  return kernel;
}

/** What each study costs a frame: it sees every frame after the kernel, as in a measurement. */
function* studyCosts(plan: PicturePlan, kernel: PictureKernel): Generator<Row> {
  const costs = new Costs();
  const ofFrames = frameStudies(plan, RATE);
  const ofPlanes = planeStudies(plan);
  for (let frame = 0; frame < TAUGHT + FRAMES; frame++) {
    costs.counts = frame >= TAUGHT;
    const { features } = kernel.measure(frame);
    for (const { name, study } of ofFrames) costs.time(name, () => study.observe(features));
    for (const { name, study } of ofPlanes) {
      if (frame % study.every !== 0) continue;
      costs.time(name, () => study.observe({ frame, plan, planes: kernel.planes }));
    }
  }
  for (const { name } of ofFrames) yield [`study: ${name}`, costs.of(name)];
  for (const { name, study } of ofPlanes) {
    yield [`study: ${name}, a frame in ${study.every}`, costs.of(name) / study.every];
  }
}

/** What the kernel costs a frame, and all that is done with one beside the studies of planes. */
function wholeCosts(plan: PicturePlan, kernel: PictureKernel): { kernel: number; whole: number } {
  const costs = new Costs();
  const timed: PictureKernel = {
    slots: kernel.slots,
    measure: (frame): FrameReading => costs.time('kernel', () => kernel.measure(frame)),
    get planes() {
      return kernel.planes;
    },
  };
  const recorder = new PictureRecorder(plan, timed, RATE);
  const looksAt = planeStudies(plan).map(({ study }) => study.every);
  for (let frame = 0; frame < TAUGHT + FRAMES; frame++) {
    costs.counts = frame >= TAUGHT && looksAt.every((every) => frame % every !== 0);
    costs.time('whole', () => recorder.measure(frame));
  }
  return { kernel: costs.of('kernel'), whole: costs.of('whole') };
}

/** Reads frames of zeros out of a named pipe into the kernel's slots, as the reading thread does. */
function readingCost(kernel: PictureKernel): number {
  const costs = new Costs();
  withNamedPipe((pipe) => {
    const writer = spawn('dd', ['if=/dev/zero', `of=${pipe}`, 'bs=1M'], { stdio: 'ignore' });
    try {
      const fd = openSync(pipe, 'r');
      for (let frame = 0; frame < FRAMES; frame++) {
        const slot = kernel.slots[frame % kernel.slots.length];
        if (!slot) throw new Error('a kernel without slots');
        costs.time('reading', () => {
          for (let at = 0; at < slot.length; ) at += readSync(fd, slot, at, slot.length - at, null);
        });
      }
      closeSync(fd);
    } finally {
      writer.kill();
    }
  });
  return costs.of('reading');
}

type Row = readonly [name: string, milliseconds: number];

function* streamRows(stream: Pictures): Generator<Row> {
  const plan = planOf(stream);
  const kernel = filledKernel(plan);
  const studies = [...studyCosts(plan, kernel)];
  const { kernel: ofKernel, whole } = wholeCosts(plan, filledKernel(plan));
  const looking = studies.reduce((sum, [name, ms]) => (name.includes(' in ') ? sum : sum + ms), 0);
  yield ['reading the pipe', readingCost(kernel)];
  yield ['kernel', ofKernel];
  yield* studies;
  yield ['sums, rows of figures', Math.max(whole - ofKernel - looking, 0)];
}

const RATE_HZ = 48_000;
const HOP = RATE_HZ / 100;
const SOUND_SECONDS = 30;

/** Tones under noise that swell and fade, so that new peaks come now and then. */
function soundOf(channel: number): Float64Array {
  let state = 17 + channel;
  return Float64Array.from({ length: RATE_HZ * SOUND_SECONDS }, (_, i) => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    const level = 0.3 + 0.2 * Math.sin((2 * Math.PI * i) / (7 * RATE_HZ));
    return level * Math.sin((2 * Math.PI * 440 * i) / RATE_HZ) + (0.1 * state) / 2 ** 31;
  });
}

/** A second of stereo, a hundred hops. */
function* soundRows(): Generator<Row> {
  const channels = [soundOf(0), soundOf(1)];
  const format = { sampleRate: RATE_HZ, channels: 2, layout: 'stereo', sampleDepth: 24 };
  const meter = new SoundMeter(format);
  const filters = channels.map(() => new KFilter(RATE_HZ));
  const peaks = channels.map(() => new TruePeak(RATE_HZ));
  const study = new SoundStudy(format);
  const costs = new Costs();
  for (let second = 1; second < SOUND_SECONDS; second++) {
    const from = second * RATE_HZ;
    // A hop with the samples before it that interpolation needs.
    const hops = Array.from({ length: 100 }, (_, hop) =>
      channels.map((samples) => {
        const at = from + hop * HOP;
        const cut = samples.slice(at - TRUE_PEAK_HISTORY, at + HOP);
        return { samples: cut, from: TRUE_PEAK_HISTORY, end: cut.length, peak: 0.5 };
      }),
    );
    const interleaved = Float64Array.from(
      { length: 2 * RATE_HZ },
      (_, i) => channels[i & 1]?.[from + (i >> 1)] ?? 0,
    );
    costs.counts = second > 5;
    costs.time('all', () => meter.push(interleaved));
    costs.time('loudness', () => {
      for (const hop of hops)
        hop.forEach((of, c) => {
          filters[c]?.energy(of.samples, of.from, of.end);
        });
    });
    costs.time('peak', () => {
      for (const hop of hops)
        hop.forEach((of, c) => {
          peaks[c]?.push(of.samples, of.end);
        });
    });
    costs.time('studies', () => {
      for (const [index, hop] of hops.entries()) study.push(hop, from + index * HOP, true);
    });
  }
  const named: Row[] = [
    ['loudness: K-weighting', costs.of('loudness')],
    ['true peak', costs.of('peak')],
    ['studies of sound', costs.of('studies')],
  ];
  yield* named;
  yield ['hops, windows', Math.max(costs.of('all') - named.reduce((sum, [, ms]) => sum + ms, 0), 0)];
}

function* table(title: string, rows: readonly Row[]): Generator<string> {
  const all = rows.reduce((sum, [, ms]) => sum + ms, 0);
  yield `  ${title}`;
  for (const [name, ms] of [...rows, ['in all', all] as const]) {
    const share = `${((100 * ms) / all).toFixed(1)} %`;
    yield `    ${name.padEnd(32)}${ms.toFixed(3).padStart(9)} ms${share.padStart(10)}`;
  }
}

/**
 * What each measurement costs: milliseconds of a processor for a frame of made-up pictures in memory, and for
 * a second of stereo sound. A study that looks at one frame in twelve is shared out over all of them. The
 * kernel is one line: its parts are one pass.
 */
export function* costTableLines(): Generator<string> {
  yield `what a frame costs, and a second of stereo at 48 kHz (ms of one processor, median)`;
  for (const stream of STREAMS) yield* table(stream.title, [...streamRows(stream)]);
  yield* table('sound, a second', [...soundRows()]);
}
