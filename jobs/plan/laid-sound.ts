import { z } from 'zod';
import { absolutePath } from '../documents/path-below.js';
import { audioFacts } from '../manifest/facts.js';

const whole = z.number().int();

/**
 * Sound recorded apart that takes the place of a clip's own: which file, and which stretch of it. Samples
 * count at `sampleRate`, which is that of the file.
 */
export const laidSound = z.object({
  path: absolutePath,
  /** As the manifest calls it: the name shown to people. */
  name: z.string().min(1).max(4_096),
  /** State of the file when it was planned: another one makes another output. */
  bytes: whole.nonnegative(),
  modified: z.string(),
  /** Its streams; streams of the recipe are theirs. */
  audio: z.array(audioFacts).min(1).max(1_000),
  sampleRate: whole.positive(),
  /** Sample of the file at which the clip begins; below zero: so much silence comes first. */
  from: whole,
  /** Length of the clip. */
  samples: whole.positive(),
  /** Samples of the clip during which the file has sound, half-open, from the start of the clip. */
  covers: z.object({ from: whole.nonnegative(), to: whole.positive() }),
});
export type LaidSound = z.infer<typeof laidSound>;
