import type { requiredPicture } from '../../jobs/requirements/required-picture.js';
import { activePicture } from './check-active-picture.js';
import { flashes } from './check-flashes.js';
import {
  blackFrames,
  blankEdges,
  constantColour,
  duplicateFrames,
  freezeFrames,
  shortShots,
} from './check-temporal.js';
import type { JudgedRequirements } from './ruling.js';

/** The picture over time and in its raster: how each requirement is checked, and why anybody asks for it. */
export const judgedPicture = {
  'black-frames': {
    ...blackFrames,
    why: 'Black inside a programme looks like a fault on air, and often is one.',
  },
  'freeze-frames': {
    ...freezeFrames,
    why: 'A picture that stands still unasked looks like a broken transmission, and automation may switch away.',
  },
  'duplicate-frames': {
    ...duplicateFrames,
    why: 'A repeated or lost frame stutters, most visibly in pans.',
  },
  'short-shots': {
    ...shortShots,
    why: 'Frames left over at an edit flash up as another picture.',
  },
  'constant-colour': {
    ...constantColour,
    why: 'A frame of one colour is most often media that was missing or not decoded when the master was made.',
  },
  'active-picture': {
    check: activePicture,
    why: 'Bars of another size than agreed show the wrong framing, or are cut by whoever conforms the picture.',
  },
  'blank-edges': {
    ...blankEdges,
    why: 'Black lines at an edge show on displays that do not overscan, and move when shots change.',
  },
  flashes: {
    check: flashes,
    why: 'Flashes like these can bring on seizures in people with photosensitive epilepsy.',
  },
} satisfies JudgedRequirements<keyof typeof requiredPicture>;
