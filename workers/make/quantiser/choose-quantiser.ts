import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { codecOfEncoder } from '../../../jobs/codecs/picture-codecs.js';
import type { Capabilities } from '../../../jobs/plan/capabilities.js';
import type { PlannedClip } from '../../../jobs/plan/plan.js';
import type { ClipContext } from '../../clip-context.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import type { Tools } from '../../ffmpeg/tools.js';
import type { MakeOutput } from '../make-command.js';
import { quantiserForSize, type TriedSizes } from './quantiser-for-size.js';
import { readSizes, sampleCommand } from './sample-command.js';

/** A dozen frames take seconds; a minute of silence is a hang. */
const STALL_MS = 60_000;

/** The part of a site that sampling needs. */
export interface QuantiserSite {
  readonly capabilities: Pick<Capabilities, 'fontFile'>;
  readonly tools: Tools;
}

/**
 * The quantiser at which an output of this clip keeps the published rate of its profile, found on frames of
 * the clip; null where the codec keeps its own rate, where alpha takes a part of the size that no quantiser
 * steers, and where the frames cannot be sampled: what ails the file comes out when it is made.
 *
 * `scratch` is a folder for this clip alone. Same clip, same recipe, same ffmpeg: same answer.
 */
export async function chooseQuantiser(
  clip: PlannedClip,
  { output: { recipe }, baked }: Omit<MakeOutput, 'quantiser'>,
  scratch: string,
  { capabilities, tools }: QuantiserSite,
  { signal, log }: Pick<ClipContext, 'signal' | 'log'>,
): Promise<number | null> {
  const codec = codecOfEncoder(recipe.video.encoder);
  const { video } = clip.facts;
  if (codec.quantiser === null || recipe.video.alpha || video === null) return null;
  const tries = codec.quantiser.tried.map((quantiser) => ({
    quantiser,
    sizesPath: join(scratch, `sizes-${quantiser}`),
  }));
  const { fontFile } = capabilities;
  const command = sampleCommand({ path: clip.path, video, recipe, baked, fontFile, tries });
  if (command === null) return null;
  const { exitCode } = await runFfmpeg(command, { tools, signal, stallTimeoutMs: STALL_MS });
  const tried: TriedSizes[] = [];
  for (const { quantiser, sizesPath } of tries) {
    const bytes = exitCode === 0 ? readSizes(await readFile(sizesPath, 'utf8')) : [];
    if (bytes.length > 0) tried.push({ quantiser, bytes });
  }
  if (tried.length < tries.length) {
    log.warn({ clip: clip.name, exitCode }, 'no frames could be sampled: the encoder keeps its own rate');
    return null;
  }
  const { width, height } = recipe.raster;
  const frameBytes = (codec.bitsPerPixel(recipe) * width * height) / 8;
  const quantiser = quantiserForSize(tried, frameBytes, codec.quantiser);
  log.info({ clip: clip.name, quantiser, frameBytes, samples: tried[0]?.bytes.length }, 'quantiser chosen');
  return quantiser;
}
