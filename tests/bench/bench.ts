import { lutAccuracyLines } from './lut-accuracy.js';

/** Figures, never tests: the accuracy of the tables a rendering is baked to, beside single cubes of other sizes. */
for (const line of lutAccuracyLines()) process.stdout.write(`${line}\n`);
