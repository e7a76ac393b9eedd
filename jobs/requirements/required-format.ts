import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, rationalText, scanName } from '../manifest/colour.js';
import { cadenceName } from '../measurement/measured-fields.js';
import { count, oneOrMore, placedRequirement, positiveInt, proof, requirement } from './requirement-form.js';

const bitDepth = z.number().int().min(8).max(16);

/** What form the picture has, as the file states it and as the picture shows. */
export const requiredFormat = {
  decode: requirement('The file decodes whole: no early end, no complaint of the decoder.', {
    maxErrors: field('Decoder errors that are let pass: none, in any sane target.', count.default(0)),
  }),
  container: requirement('The container is one of these.', {
    is: field(
      'Containers that are taken. MOV and MP4 share their structure: the name of the file tells them apart.',
      oneOrMore(z.enum(['mov', 'mp4', 'mkv', 'mxf', 'wav'])),
    ),
  }),
  'video-codec': requirement('The picture is coded by one of these codecs.', {
    is: field(
      "Codecs that are taken, by ffmpeg's names: `h264`, `hevc`, `prores`, `ffv1`, `cineform`.",
      oneOrMore(z.string()),
    ),
    profiles: field(
      'Profiles that are taken, as the bitstream names them: `High 4:2:2`. One that is not stated ' +
        'misses (EBU QC 0035W).',
      z.array(z.string()).optional(),
    ),
  }),
  raster: requirement('The raster has this size throughout, upright and without a rotation flag.', {
    width: field('Width in pixels.', positiveInt),
    height: field('Height in lines.', positiveInt),
  }),
  'sample-aspect': requirement('The file states this sample aspect ratio, and it does not change.', {
    is: field(
      'Width to height of one pixel, as a rational; square, which is `1/1`, where left out.',
      rationalText.default('1/1'),
    ),
  }),
  'frame-rate': requirement('The frame rate is exactly one of these.', {
    is: field(
      'Rates that are taken, frames a second, as rationals: `25/1`, `30000/1001`.',
      oneOrMore(rationalText),
    ),
  }),
  'constant-rate': requirement('Every frame lasts as long as the next.', {}),
  scan: requirement('The file states one of these scan types.', {
    is: field(
      'Scan types that are taken: progressive, or interlaced with the top or the bottom field first.',
      oneOrMore(scanName),
    ),
  }),
  'field-order': placedRequirement('The moving picture is of this scan, whatever the file states.', {
    is: field(
      'Scan types that are taken; where left out, the one the file states.',
      oneOrMore(scanName).optional(),
    ),
    segmented: field(
      'Whether progressive pictures carried as the two fields of interlaced frames (PsF) are let pass: `true` ' +
        'where left out.',
      z.boolean().default(true),
    ),
    maxCombedFrames: field('Combed frames that are let pass in progressive material.', count.default(0)),
    proof,
  }),
  cadence: placedRequirement('Pictures of another rate were put into this one only in these ways.', {
    is: field(
      'Cadences that are taken; no pulldown, which is `none`, where left out.',
      oneOrMore(cadenceName).default(['none']),
    ),
    maxBreaks: field(
      'Places that are let pass at which a cadence starts again out of step.',
      count.default(0),
    ),
    proof,
  }),
  'frame-count': requirement(
    'Frames decoded, packets of the picture and what the container counts are the same, less what an ' +
      'edit list hides: exact (EBU QC 0081X).',
    {},
  ),
  'bit-depth': requirement('The picture has this bit depth, declared and in use.', {
    declared: field(
      'The depth, or the depths, the file may declare, in bits: 8 to 16.',
      z.union([bitDepth, oneOrMore(bitDepth)]),
    ),
    effective: field(
      'Least depth the samples must really use, in bits; not asked for where left out. `unmeasured` ' +
        'where it cannot be known and proof is asked for.',
      bitDepth.optional(),
    ),
    proof,
  }),
  chroma: requirement('The file declares one of these chroma subsamplings.', {
    declared: field('Chroma subsamplings that are taken: `4:2:2`, in quotes.', oneOrMore(chromaName)),
  }),
  'effective-chroma': requirement(
    'The picture really uses chroma of so much, whatever the file declares: none scaled up from less.',
    { least: field('Least chroma in use.', z.enum(['4:2:0', '4:2:2', '4:4:4'])), proof },
  ),
  'effective-raster': requirement('The picture was not scaled up from a smaller raster.', {
    least: field(
      'Least share of the raster, each way, that the picture must have had before it was scaled up: ' +
        '0.95 where left out.',
      z.number().gt(0).max(1).default(0.95),
    ),
    proof,
  }),
};
