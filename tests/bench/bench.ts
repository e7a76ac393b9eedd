import { costTableLines } from './cost-table.js';
import { decodeRatioLines } from './decode-ratio.js';
import { kernelSpeedLines } from './kernel-speed.js';
import { lutAccuracyLines } from './lut-accuracy.js';
import { partsGainLines } from './parts-gain.js';
import { peakMemoryLines } from './peak-memory.js';

// Figures, never tests. The measuring engine as it was built: sources are compiled while they run.
const engine: typeof import('../../workers/measure/measure-file.js') = await import(
  new URL('../../dist/workers/measure/measure-file.js', import.meta.url).href
);

const print = (line: string): boolean => process.stdout.write(`${line}\n`);
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
