import { z } from 'zod';
import { field } from '../documents/field.js';
import { clipPath } from '../documents/path-below.js';
import { LAID_AT_MOST } from '../plan/laid-sound.js';
import {
  rangeName,
  rationalText,
  scanName,
  writtenMatrix,
  writtenPrimaries,
  writtenTransfer,
} from './colour.js';
import { parseColour } from './colour-words.js';
import { clipFacts } from './facts.js';

export const colourOverride = z.strictObject({
  transfer: field(
    "Transfer function: a camera's curve (`S-Log3`), an H.273 name (`bt709`) or a trade name (`Rec.709`, `PQ`).",
    writtenTransfer.optional(),
  ),
  primaries: field(
    "Primaries: a camera's gamut (`S-Gamut3.Cine`), an H.273 name (`bt709`) or a trade name (`P3-D65`).",
    writtenPrimaries.optional(),
  ),
  matrix: field(
    "Y'CbCr matrix, by its H.273 name or trade name (`Rec.709`); `gbr` for RGB.",
    writtenMatrix.optional(),
  ),
  range: field('Quantisation range: narrow or full (ITU-R BT.2100).', rangeName.optional()),
});
export type ColourOverride = z.infer<typeof colourOverride>;

/** Sound tracks by number, or all of them. */
const soundChoice = z.union([
  z.literal('mix'),
  z
    .array(z.number().int().min(1).max(1_000))
    .min(1)
    .max(2)
    .refine((tracks) => new Set(tracks).size === tracks.length, { message: 'each track once' }),
]);
export type SoundChoice = z.infer<typeof soundChoice>;

/** A colour as people write it, kept as written: `S-Log3/S-Gamut3.Cine`. */
const writtenColour = z.string().superRefine((text, context) => {
  try {
    parseColour(text);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    context.addIssue({ code: 'custom', message: error.message });
  }
});

const statedLook = z.strictObject({
  file: field('Path of the `.cube`, relative to the manifest.', z.string().min(1)),
  input: field(
    'The colour it is made for, as TRANSFER/PRIMARIES: `S-Log3/S-Gamut3.Cine`. Clips and targets in another colour are ' +
      'refused. Default: the camera log of the clip; for other clips the colour of the target.',
    writtenColour.optional(),
  ),
  scale: field(
    'What 0 to 1 means in its table: `full`, code values (0 to 1023 of 10 bits); `narrow`, black to white (64 to 940). ' +
      'One word for input and output, or one for each. Default: `full` where the input is camera log, otherwise `narrow`.',
    z
      .union([
        rangeName,
        z.strictObject({
          input: field('For the input.', rangeName.optional()),
          output: field('For the output.', rangeName.optional()),
        }),
      ])
      .optional(),
  ),
});
const writtenLook = z.union([z.string().min(1), statedLook]);
/** A look as the manifest names it. */
export type WrittenLook = z.infer<typeof writtenLook>;

/** Path of a look as the manifest has it, relative to the manifest. */
export function lookFile(look: WrittenLook): string {
  return typeof look === 'string' ? look : look.file;
}

/** The word for the sound that was recorded meanwhile, whatever its name. */
export const BY_TIMECODE = 'timecode';

/**
 * Sound recorded apart: the path of its file, or `timecode`; or several files, whose tracks follow one
 * another.
 */
const soundFiles = z.union([
  z.string().min(1),
  z
    .array(z.string().min(1))
    .min(1)
    .max(LAID_AT_MOST)
    .refine((files) => new Set(files).size === files.length, { message: 'each file once' })
    .refine((files) => !files.includes(BY_TIMECODE), { message: 'names of files; `timecode` stands alone' }),
]);
export type SoundFrom = z.infer<typeof soundFiles>;

const settings = {
  colour: field(
    'Corrections to the colour tags of the file. A key given here overrides the tag.',
    colourOverride.optional(),
  ),
  scan: field(
    'Scan, where the file declares none or a wrong one: progressive, or interlaced with the top or the bottom ' +
      'field first. Overrides what the file declares.',
    scanName.optional(),
  ),
  sampleAspect: field(
    'Width to height of one sample, as a rational: `2/1` for a picture that the lens squeezed by two. Overrides what the ' +
      'file declares.',
    rationalText.optional(),
  ),
  frameRate: field(
    'Frames a second, as a rational: `24/1`. Of picture sequences only, whose headers declare none or a wrong one.',
    rationalText.optional(),
  ),
  look: field(
    'A `.cube` look, by its path relative to the manifest, or with its input colour and scale; used by targets with ' +
      '`look: true`.',
    writtenLook.optional(),
  ),
  sound: field(
    'Tracks for targets with stereo sound: one track (`[3]`), two mono tracks as left and right (`[1, 2]`), or `mix` for ' +
      'all tracks on both sides. Tracks are numbered from 1. Default: the first track, or the first two where both are mono.',
    soundChoice.optional(),
  ),
  soundFrom: field(
    'Sound recorded apart that takes the place of the clip’s own in every output with sound: the path of its file as under ' +
      '`clips`, a list of such paths, whose tracks follow one another (two mono files are left and right), or `timecode` for ' +
      'the one file that was recorded meanwhile, by timecode. It is laid to the sample, by timecode; silence stands where ' +
      'the file has no sound. `timecode` in `defaults` or a rule leaves a clip without such a file its own sound.',
    soundFiles.optional(),
  ),
  exposure: field(
    'Exposure correction in stops, -10 to 10, applied in scene-linear light; only where a target renders the colour.',
    z.number().min(-10).max(10).optional(),
  ),
  targets: field(
    'What to make, or to judge: names of built-in targets, or paths of target files relative to the ' +
      'manifest.',
    z.array(z.string().min(1)).optional(),
  ),
};

export const manifestClip = z.strictObject({
  file: field("Path of the clip, below the manifest's root and relative to it.", clipPath),
  parts: field(
    'Further files of the same take, in order, when a recorder began others: they are joined after `file`.',
    z.array(clipPath).min(1).max(500).optional(),
  ),
  reel: field('Name of the reel; overrides what the file declares.', z.string().optional()),
  scene: field('Scene, as the slate says.', z.string().optional()),
  take: field('Take, as the slate says.', z.string().optional()),
  startTimecode: field(
    'Timecode of the first frame: 10:00:00:00, with `;` before the frames for drop frame. Overrides what the file ' +
      'declares.',
    z
      .string()
      .regex(
        /^\d{2}:\d{2}:\d{2}[:;.]\d{2,3}$/,
        'a timecode of hours, minutes, seconds and frames, such as 10:00:00:00, or 10:00:00;00 for drop frame',
      )
      .optional(),
  ),
  ...settings,
  look: field(
    'As in `defaults`, for this clip; `null`: no look, whatever the defaults set.',
    writtenLook.nullable().optional(),
  ),
  soundFrom: field(
    'As in `defaults`, for this clip; `null`: its own sound, whatever the defaults set.',
    soundFiles.nullable().optional(),
  ),
  skip: field(
    'True: nothing is made of the clip; false: it is made, whatever a rule sets.',
    z.boolean().optional(),
  ),
  facts: field(
    'What the file declares, as `scan` read it. Leave it: it saves reading the clip again.',
    clipFacts.optional(),
  ),
});
export type ManifestClip = z.infer<typeof manifestClip>;

const oneOrSeveral = <T extends z.ZodType>(value: T) => z.union([value, z.array(value).min(1).max(1_000)]);
/** `!` would take a pattern back, `#` begins a comment: neither matches anything by itself. */
const filePattern = z
  .string()
  .min(1)
  .max(1_024)
  .regex(/^[^!#]/, 'a pattern that does not begin with ! or #');
const positiveInt = z.number().int().positive();

const ruleMatch = z
  .strictObject({
    file: field(
      'Patterns of paths in the syntax of gitignore, upper and lower case alike: `B002/**`, `*.mp4`.',
      oneOrSeveral(filePattern).optional(),
    ),
    codec: field('Codec of the picture, as in the facts.', oneOrSeveral(z.string()).optional()),
    transfer: field('Transfer function that the file declares.', oneOrSeveral(z.string()).optional()),
    primaries: field('Primaries that the file declares.', oneOrSeveral(z.string()).optional()),
    frameRate: field(
      'Frames a second, as a rational in the facts: `25/1`.',
      oneOrSeveral(z.string()).optional(),
    ),
    bitDepth: field('Bits of a sample, as declared.', oneOrSeveral(positiveInt).optional()),
    width: field('Width in pixels.', oneOrSeveral(positiveInt).optional()),
    height: field('Height in lines.', oneOrSeveral(positiveInt).optional()),
  })
  .refine((match) => Object.keys(match).length > 0, {
    message: 'at least one key: a rule for all clips is `defaults`',
  });
export type RuleMatch = z.infer<typeof ruleMatch>;

const rule = z.strictObject({
  match: field('Which clips: all that is given must hold; of a list, one value.', ruleMatch),
  set: field(
    'What they are given, where the clip itself sets nothing.',
    z
      .strictObject({
        reel: field('Name of the reel; overrides what the file declares.', z.string().optional()),
        ...settings,
        look: field('As in `defaults`; `null`: no look.', writtenLook.nullable().optional()),
        soundFrom: field('As in `defaults`; `null`: their own sound.', soundFiles.nullable().optional()),
        skip: field('Nothing is made of them.', z.boolean().optional()),
      })
      .refine((set) => Object.keys(set).length > 0, { message: 'at least one key' }),
  ),
});
export type ManifestRule = z.infer<typeof rule>;

/** What lies on a card and is no clip to make anything of. */
const leftOut = z.strictObject({
  file: field("Path of the file, relative to the manifest's root.", z.string()),
  as: field(
    '`index or data file`: it cannot be read as media, and is none. `low-resolution copy`: the camera wrote it beside its ' +
      'clip. `sidecar`, `thumbnail`: cameras and copy programs write them beside the clips. To make something of it all the ' +
      'same, list it under `clips`.',
    z.enum(['index or data file', 'low-resolution copy', 'sidecar', 'thumbnail']),
  ),
  of: field('The clip it is a copy of.', z.string().optional()),
});
export type LeftOut = z.infer<typeof leftOut>;

export const manifest = z
  .strictObject({
    schema: field(
      'That this is a manifest, in the first edition of its schema.',
      z.literal('goodgate/manifest@1'),
    ),
    title: field('Title of the batch in reports, for example the day and the card.', z.string().min(1)),
    root: field(
      "Folder the clips' paths start from, relative to the manifest or absolute.",
      z.string().min(1),
    ),
    defaults: field('Settings for every clip that has none of its own.', z.strictObject(settings).optional()),
    rules: field(
      'Settings for clips by folder, pattern or fact, before `defaults` and after what a clip sets itself. Of several that ' +
        'match, each key is that of the last one.',
      z.array(rule).max(1_000).optional(),
    ),
    clips: field('The clips, in the order in which they are processed.', z.array(manifestClip)),
    unreadable: field(
      'Files that `scan` found but could not read.',
      z
        .array(
          z.strictObject({
            file: field("Path of the file, relative to the manifest's root.", z.string()),
            reason: field('Why it could not be read.', z.string()),
          }),
        )
        .optional(),
    ),
    leftOut: field('What `scan` found beside the clips: nothing is made of it.', z.array(leftOut).optional()),
    notes: field(
      'What else `scan` left out, with counts: hidden files, links, batch folders.',
      z.array(z.string()).optional(),
    ),
  })
  .describe('A manifest: the clips, what is known about each, and what to make of them.');
export type Manifest = z.infer<typeof manifest>;
