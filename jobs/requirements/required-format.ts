import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, rationalText, scanName } from '../manifest/colour.js';
import { cadenceName } from '../measurement/measured-fields.js';
import { count, oneOrMore, placedRequirement, positiveInt, proof, requirement } from './requirement-form.js';

const bitDepth = z.number().int().min(8).max(16);

/** What form the picture has, as the file states it and as the picture shows. */
export const requiredFormat = {
  decode: requirement('The file decodes to its end without an error of the decoder.', {
    maxErrors: field('Most decoder errors.', count.default(0)),
    proof: field(
      'What does not say how much it holds (a transport stream, a raw stream, a live recording) is `unmeasured` where ' +
        'neither the target states its length (`frame-count`, `duration`) nor an original is given.',
      z.boolean().default(true),
    ),
  }),
  container: requirement('The container is one of these.', {
    is: field(
      'Accepted containers. MOV and MP4 share their structure: the name of the file tells them apart.',
      oneOrMore(z.enum(['mov', 'mp4', 'mkv', 'mxf', 'wav'])),
    ),
  }),
  'video-codec': requirement('The picture is coded by one of these codecs.', {
    is: field(
      "Accepted codecs, by ffmpeg's names: `h264`, `hevc`, `prores`, `ffv1`, `cineform`.",
      oneOrMore(z.string()),
    ),
    profiles: field(
      'Accepted profiles, as the bitstream names them: `High 4:2:2`. A profile that is not stated ' +
        'fails (EBU QC 0035W). Default: any.',
      z.array(z.string()).optional(),
    ),
  }),
  raster: requirement('The raster has this size throughout, upright and without a rotation flag.', {
    width: field('Width in pixels.', positiveInt),
    height: field('Height in lines.', positiveInt),
  }),
  'sample-aspect': requirement('The file states this sample aspect ratio, and it does not change.', {
    is: field('Width to height of one pixel, as a rational; `1/1` is square.', rationalText.default('1/1')),
  }),
  'frame-rate': requirement('The frame rate is exactly one of these.', {
    is: field(
      'Accepted rates, frames a second, as rationals: `25/1`, `30000/1001`.',
      oneOrMore(rationalText),
    ),
  }),
  'constant-rate': requirement('Every frame lasts as long as the next.', {}),
  scan: requirement('The file states one of these scan types.', {
    is: field(
      'Accepted scan types: progressive, or interlaced with the top or the bottom field first.',
      oneOrMore(scanName),
    ),
  }),
  'field-order': placedRequirement('The moving picture is of this scan, whatever the file states.', {
    is: field('Accepted scan types. Default: the one the file states.', oneOrMore(scanName).optional()),
    segmented: field(
      'Whether progressive pictures may be carried as the two fields of interlaced frames (PsF).',
      z.boolean().default(true),
    ),
    maxCombedFrames: field('Most combed frames in progressive material.', count.default(0)),
    proof,
  }),
  cadence: placedRequirement('Pictures of another rate were put into this one only in these ways.', {
    is: field('Accepted cadences; `none` is no pulldown.', oneOrMore(cadenceName).default(['none'])),
    maxBreaks: field('Most places at which a cadence starts again out of step.', count.default(0)),
    proof,
  }),
  'frame-count': requirement(
    'Frames decoded, packets of the picture and what the container counts are the same, less what an ' +
      'edit list hides: exact (EBU QC 0081X).',
    {
      is: field('Frames the picture must have; any number where left out.', positiveInt.optional()),
    },
  ),
  'bit-depth': requirement('The picture has this bit depth, declared and in use.', {
    declared: field(
      'The depth, or the depths, the file may declare, in bits: 8 to 16.',
      z.union([bitDepth, oneOrMore(bitDepth)]),
    ),
    effective: field(
      'Least depth the samples must really use, in bits. `unmeasured` where it cannot be known and ' +
        'proof is asked for. Default: not asked for.',
      bitDepth.optional(),
    ),
    proof,
  }),
  chroma: requirement('The file declares one of these chroma subsamplings.', {
    declared: field('Accepted chroma subsamplings: `4:2:2`, in quotes.', oneOrMore(chromaName)),
  }),
  'effective-chroma': requirement(
    'The picture really uses chroma of so much, whatever the file declares: none scaled up from less.',
    { least: field('Least chroma in use.', z.enum(['4:2:0', '4:2:2', '4:4:4'])), proof },
  ),
  'effective-raster': requirement('The picture was not scaled up from a smaller raster.', {
    least: field(
      'Least share of the raster, each way, that the picture must have had before it was scaled up.',
      z.number().gt(0).max(1).default(0.95),
    ),
    proof,
  }),
};
