import { costTableLines } from './cost-table.js';
import { decodeRatioLines } from './decode-ratio.js';
import { encoderLines } from './encoders.js';
import { hashSpeedLines } from './hash-speed.js';
import { kernelSpeedLines } from './kernel-speed.js';
import { lutAccuracyLines } from './lut-accuracy.js';
import { nightLines } from './night.js';
import { nightsLines } from './nights.js';
import { oneDecodeLines } from './one-decode.js';
import { partsGainLines } from './parts-gain.js';
import { peakMemoryLines } from './peak-memory.js';
import { planScaleLines } from './plan-scale.js';
import { proofLines } from './proof.js';
import { queueScaleLines } from './queue-scale.js';
import { reportOpenLines } from './report-open.js';

// Figures, never tests. The measuring engine as it was built: sources are compiled while they run.
const engine: typeof import('../../workers/measure/measure-file.js') = await import(
  new URL('../../dist/workers/measure/measure-file.js', import.meta.url).href
);

const hashing: typeof import('../../workers/hash-list/hash-files.js') = await import(
  new URL('../../dist/workers/hash-list/hash-files.js', import.meta.url).href
);

type Lines = Iterable<string> | AsyncIterable<string>;

/** Each part of the bench: what it takes and shows, and its lines. */
const PARTS: Readonly<Record<string, readonly [string, (...figures: readonly number[]) => Lines]>> = {
  kernels: ['speed and cost of measuring: the default', measuring],
  night: [
    '[HD UHD SECONDS]: the night of a shell loop and of `run`, which takes many minutes',
    (hd = 6, uhd = 2, seconds = 3) => nightLines({ hd, uhd, seconds }),
  ],
  nights: [
    '[NIGHTS CLIPS]: what is planned of nights of mixed clips, and what they come to',
    (nights = 10, clips = 6) => nightsLines(nights, clips),
  ],
  'one-decode': [
    '[SECONDS]: three outputs of a UHD clip from one decode',
    (length = 2) => oneDecodeLines(length),
  ],
  proof: [
    '[CLIPS SECONDS TURNS]: what it costs to hold copies against their originals',
    (clips = 2, seconds = 4, turns = 3) => proofLines({ clips, seconds, turns }),
  ],
  plan: ['[CLIPS]: what planning so many clips costs', (clips = 20_000) => planScaleLines(clips)],
  report: ['[FILES]: how fast a report opens in Chromium', (files = 600) => reportOpenLines(files)],
  queue: ['[CLIPS]: what so many queued clips cost', (clips = 100_000) => queueScaleLines(clips)],
};

async function* measuring(): AsyncGenerator<string> {
  yield* hashSpeedLines(hashing.hashFileIn);
  const parts: readonly (() => Lines)[] = [
    lutAccuracyLines,
    kernelSpeedLines,
    () => decodeRatioLines((path) => engine.measureFile(path)),
    () => partsGainLines((path, options) => engine.measureFile(path, options)),
    costTableLines,
    peakMemoryLines,
  ];
  for (const lines of parts) {
    yield '';
    yield* lines();
  }
}

const [part = 'kernels', ...words] = process.argv.slice(2);
// `npm run bench -- encoders [NAME]`: ways to call each encoder, or one, such as H.264.
const chosen = part === 'encoders' ? () => encoderLines(words[0]) : PARTS[part]?.[1];
if (chosen === undefined) {
  process.stderr.write('npm run bench -- PART [FIGURES]\n');
  for (const [name, [about]] of Object.entries(PARTS))
    process.stderr.write(`  ${name.padEnd(11)} ${about}\n`);
  process.stderr.write('  encoders    [NAME]: ways to call each encoder, or one, such as H.264\n');
  process.exit(2);
}
for await (const line of chosen(...words.map(Number))) process.stdout.write(`${line}\n`);
process.exit();
