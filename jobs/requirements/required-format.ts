import { z } from 'zod';
import { field } from '../documents/field.js';
import { chromaName, rationalText, scanName } from '../manifest/colour.js';
import { cadenceName } from '../measurement/measured-fields.js';
import { count, oneOrMore, placedRequirement, positiveInt, proof, requirement } from './requirement-form.js';

const bitDepth = z.number().int().min(8).max(16);

/** Requirements on the format of the picture, as declared and as measured. */
export const requiredFormat = {
  decode: requirement('The file decodes to its end without a decoder error.', {
    maxErrors: field('Most decoder errors.', count.default(0)),
    proof: field(
      'Whether completeness must be proven. A file that does not declare its length (a transport stream, a raw stream, a ' +
        'live recording) is then `unmeasured`, unless the target sets its length (`frame-count`, `duration`) or the original is given.',
      z.boolean().default(true),
    ),
  }),
  container: requirement('The container is one of these.', {
    is: field(
      'Accepted containers. MOV and MP4 share their structure: the extension of the file decides.',
      oneOrMore(z.enum(['mov', 'mp4', 'mkv', 'mxf', 'wav', 'dpx', 'exr', 'tiff'])),
    ),
  }),
  'video-codec': requirement('The picture is coded by one of these codecs.', {
    is: field(
      "Accepted codecs, by ffmpeg's names: `h264`, `hevc`, `prores`, `ffv1`, `cineform`.",
      oneOrMore(z.string()),
    ),
    profiles: field(
      'Accepted profiles, as the bitstream names them: `High 4:2:2`. A profile that is not declared ' +
        'fails (EBU QC 0035W). Default: any.',
      z.array(z.string()).optional(),
    ),
  }),
  raster: requirement('The raster has this size throughout, upright and without a rotation flag.', {
    width: field('Width in pixels.', positiveInt),
    height: field('Height in lines.', positiveInt),
  }),
  'sample-aspect': requirement('The file declares this sample aspect ratio, and it does not change.', {
    is: field('Width to height of one pixel, as a rational; `1/1` is square.', rationalText.default('1/1')),
  }),
  'frame-rate': requirement('The frame rate is exactly one of these.', {
    is: field(
      'Accepted rates, frames a second, as rationals: `25/1`, `30000/1001`.',
      oneOrMore(rationalText),
    ),
  }),
  'constant-rate': requirement('All frames have the same duration.', {}),
  scan: requirement('The file declares one of these scan types.', {
    is: field(
      'Accepted scan types: progressive, or interlaced with the top or the bottom field first.',
      oneOrMore(scanName),
    ),
  }),
  'field-order': placedRequirement('The motion shows this scan, whatever the file declares.', {
    is: field('Accepted scan types. Default: the one the file declares.', oneOrMore(scanName).optional()),
    segmented: field(
      'Whether progressive pictures may be carried as the two fields of interlaced frames (PsF).',
      z.boolean().default(true),
    ),
    maxCombedFrames: field('Most combed frames in progressive material.', count.default(0)),
    proof,
  }),
  cadence: placedRequirement('Pulldown and repeated frames follow one of these cadences only.', {
    is: field('Accepted cadences; `none` is no pulldown.', oneOrMore(cadenceName).default(['none'])),
    maxBreaks: field('Most breaks of a cadence.', count.default(0)),
    proof,
  }),
  'frame-count': requirement(
    'The numbers of decoded frames, of packets and of frames in the container are equal, without those an ' +
      'edit list hides (EBU QC 0081X).',
    {
      is: field('Expected number of frames. Default: any.', positiveInt.optional()),
    },
  ),
  'bit-depth': requirement('The picture has this bit depth, declared and in use.', {
    declared: field(
      'Accepted declared depth or depths, in bits: 8 to 16. ProRes declares none: what it is decoded with ' +
        'must hold one of them.',
      z.union([bitDepth, oneOrMore(bitDepth)]),
    ),
    effective: field(
      'Least depth the samples must really use, in bits. `unmeasured` where that is not known and ' +
        '`proof` is true. Default: not required.',
      bitDepth.optional(),
    ),
    proof,
  }),
  chroma: requirement('The file declares one of these chroma subsamplings.', {
    declared: field('Accepted chroma subsamplings: `4:2:2`, in quotes.', oneOrMore(chromaName)),
  }),
  'effective-chroma': requirement(
    'The picture really uses at least this chroma, whatever the file declares: it was not scaled up from less.',
    { least: field('Least chroma in use.', z.enum(['4:2:0', '4:2:2', '4:4:4'])), proof },
  ),
  'effective-raster': requirement('The picture was not scaled up from a smaller raster.', {
    least: field(
      'Least share of the raster, in width and in height, that the picture had before any scaling up.',
      z.number().gt(0).max(1).default(0.95),
    ),
    proof,
  }),
};
