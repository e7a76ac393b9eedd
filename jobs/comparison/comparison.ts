import { z } from 'zod';
import { field } from '../documents/field.js';
import { frameRange } from '../measurement/frame-range.js';
import {
  frameOrder,
  pictureComparison,
  planeError,
  soundComparison,
} from '../measurement/measured-comparison.js';
import { finding, verdictWord } from '../verdict/verdict.js';

const count = z.number().int().nonnegative();
const comparedFile = z.object({
  path: field('Path of the file.', z.string()),
  bytes: field('Size in bytes.', count),
  picture: field('Whether it has a picture.', z.boolean()),
  frames: field('Frames decoded; null where they were not counted.', count.nullable()),
  startTimecode: field('Timecode of the first frame; null where none is declared.', z.string().nullable()),
});

const worst = field(
  'The frame where it is worst.',
  z.object({
    frame: field('Its number, from 0.', count),
    timecode: field('Its timecode in the original; null where that has none.', z.string().nullable()),
    value: field('The figure there.', z.number()),
  }),
);

export const wholePlane = z.object({
  plane: planeError.shape.plane,
  psnr: field(
    "PSNR over all frames, dB, by ffmpeg's `psnr` filter; null where every sample is the same.",
    z.number().nullable(),
  ),
  worstPsnr: field('Null where every sample is the same.', worst.nullable()),
  ssim: field("Mean SSIM of all frames, at most 1, by ffmpeg's `ssim` filter.", z.number()),
  worstSsim: worst,
});
export type WholePlane = z.infer<typeof wholePlane>;

/** How much of an original its copy keeps, as `compare` tells it. */
export const comparison = z
  .object({
    schema: field('That this is a comparison, in the first edition.', z.literal('goodgate/comparison@1')),
    original: comparedFile,
    copy: comparedFile,
    picture: field(
      'Precision and mistakes, from frames spread over both; null where they cannot be compared.',
      pictureComparison.nullable(),
    ),
    order: field(
      "Every frame against the original's; null where their order cannot be told.",
      frameOrder.nullable(),
    ),
    whole: field(
      'PSNR and SSIM of all frames that both files have; null where they cannot be compared.',
      z
        .object({
          frames: field('Frames compared.', count),
          planes: field('Plane by plane.', z.array(wholePlane)),
          unlike: field(
            'Frames far less like the original than others by these figures: another picture, or grain that coding lost.',
            z.array(frameRange),
          ),
        })
        .nullable(),
    ),
    sound: field('The sound, stream by stream, as far as both have it.', z.array(soundComparison)),
    verdict: field(
      'All findings in one word, as `check --original` gives it by the same requirements.',
      verdictWord,
    ),
    findings: field(
      'How the copy stands to what is required of every copy: the frames, timecode and sound of the original, no mistake, ' +
        'and a picture that can be told to be its own.',
      z.array(finding),
    ),
    unmeasured: field(
      'What could not be compared, and why.',
      z.array(
        z.object({
          what: field('What.', z.string()),
          why: field('Why it could not be compared.', z.string()),
        }),
      ),
    ),
  })
  .describe('A copy compared with its original. How much coding may cost a target decides.');
export type Comparison = z.infer<typeof comparison>;
