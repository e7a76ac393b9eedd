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

const print = (line: string): boolean => process.stdout.write(`${line}\n`);

// `npm run bench -- night [HD UHD SECONDS]`: a night's work alone, which takes many minutes.
const [part, hd = '6', uhd = '2', seconds = '3'] = process.argv.slice(2);
if (part === 'night') {
  for await (const line of nightLines({ hd: Number(hd), uhd: Number(uhd), seconds: Number(seconds) }))
    print(line);
  process.exit();
}
// `npm run bench -- nights [NIGHTS CLIPS]`: what is planned of nights of mixed clips, and what they come to.
if (part === 'nights') {
  const [, , , nights = '10', clips = '6'] = process.argv;
  for await (const line of nightsLines(Number(nights), Number(clips))) print(line);
  process.exit();
}
// `npm run bench -- one-decode [SECONDS]`: three outputs of a UHD clip from one decode.
if (part === 'one-decode') {
  for await (const line of oneDecodeLines(Number(process.argv[3] ?? 2))) print(line);
  process.exit();
}
// `npm run bench -- encoders [NAME]`: ways to call each encoder, or one, such as H.264.
if (part === 'encoders') {
  for await (const line of encoderLines(process.argv[3])) print(line);
  process.exit();
}
// `npm run bench -- proof [CLIPS SECONDS TURNS]`: what it costs to hold copies against their originals.
if (part === 'proof') {
  const [clips = 2, length = 4, turns = 3] = process.argv.slice(3).map(Number);
  for await (const line of proofLines({ clips, seconds: length, turns })) print(line);
  process.exit();
}
// `npm run bench -- plan [CLIPS]`: what planning so many clips costs.
if (part === 'plan') {
  for (const line of planScaleLines(Number(process.argv[3] ?? 20_000))) print(line);
  process.exit();
}

// `npm run bench -- report [FILES]`: how fast a report opens in Chromium.
if (part === 'report') {
  for await (const line of reportOpenLines(Number(process.argv[3] ?? 600))) print(line);
  process.exit();
}
// `npm run bench -- queue [CLIPS]`: what so many queued clips cost.
if (part === 'queue') {
  for await (const line of queueScaleLines(Number(process.argv[3] ?? 100_000))) print(line);
  process.exit();
}

for await (const line of hashSpeedLines(hashing.hashFileIn)) print(line);
print('');
for (const line of lutAccuracyLines()) print(line);
print('');
for (const line of kernelSpeedLines()) print(line);
print('');
for await (const line of decodeRatioLines((path) => engine.measureFile(path))) print(line);
print('');
for await (const line of partsGainLines((path, options) => engine.measureFile(path, options))) print(line);
print('');
for (const line of costTableLines()) print(line);
print('');
for (const line of peakMemoryLines()) print(line);
