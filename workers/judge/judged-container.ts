import type { requiredContainer } from '../../jobs/requirements/required-container.js';
import { bitRate, gop } from './check-container-coding.js';
import {
  aspectLayers,
  chromaSiting,
  codecLevel,
  hdrLayers,
  rasterLayers,
  rateLayers,
  scanLayers,
} from './check-container-layers.js';
import {
  cleanAperture,
  containerStructure,
  editList,
  fastStart,
  fileType,
} from './check-container-structure.js';
import { displayAspect } from './check-format.js';
import { duration } from './check-length.js';
import { pictureSoundLength, timecode, timestamps } from './check-timing.js';
import type { JudgedRequirements } from './ruling.js';

/** Container, timing and coding: how each requirement is checked, and why anybody asks for it. */
export const judgedContainer = {
  'picture-sound-length': {
    check: pictureSoundLength,
    why: 'Sound that ends apart from the picture is cut off, or was out of step before.',
  },
  timecode: { check: timecode, why: 'Edit, sound and archive find every frame by its timecode.' },
  'file-type': { check: fileType, why: 'Systems choose how to read a file by its name or its brand.' },
  'fast-start': {
    check: fastStart,
    why: 'A player must fetch the whole file before it can show its first frame.',
  },
  'container-structure': {
    check: containerStructure,
    why: 'Edit and ingest systems refuse files in pieces, or with bytes they cannot account for.',
  },
  'codec-level': {
    check: codecLevel,
    why: 'A decoder is built for certain profiles and levels, and stops at the others.',
  },
  'chroma-siting': {
    check: chromaSiting,
    why: 'Chroma placed elsewhere than it says shifts colour against the picture by half a pixel.',
  },
  'clean-aperture': {
    check: cleanAperture,
    why: 'Programs that obey the aperture crop the picture, and the others show its edges.',
  },
  'display-aspect': { check: displayAspect, why: 'Another shape is shown with bars, or squeezed.' },
  'rate-layers': {
    check: rateLayers,
    why: 'Programs that believe the bitstream show the picture at another speed than its sound.',
  },
  'raster-layers': {
    check: rasterLayers,
    why: 'Programs that believe the container scale or crop the picture to a size it has not.',
  },
  'aspect-layers': {
    check: aspectLayers,
    why: 'Programs differ in which layer they believe, so the shape of the picture will differ too.',
  },
  'scan-layers': {
    check: scanLayers,
    why: 'Programs differ in which layer they believe: motion combs in one and is right in the other.',
  },
  'hdr-layers': {
    check: hdrLayers,
    why: 'Programs differ in which layer they believe, so displays will map the picture differently.',
  },
  duration: { check: duration, why: 'Schedules and edits are made by the length a file declares.' },
  timestamps: {
    check: timestamps,
    why: 'A gap or repeat in time shows as a jump, and moves everything after it against the sound.',
  },
  'edit-list': {
    check: editList,
    why: 'Not every program obeys edit lists: what they shift or cut is out of step in the others.',
  },
  gop: { check: gop, why: 'Cutting and seeking happen at key frames, and open groups break there.' },
  'bit-rate': {
    check: bitRate,
    why: 'Too little shows in the picture; too much stalls storage and playout.',
  },
} satisfies JudgedRequirements<keyof typeof requiredContainer>;
