import type { requiredColour } from '../../jobs/requirements/required-colour.js';
import { colour, colourLayers, rangeFlag } from './check-colour.js';
import { reservedCodes, reservedCodesWithin, signalRange, signalRangeWithin } from './check-levels.js';
import {
  lightLevel,
  masteringDisplay,
  outsideP3,
  outsideP3Within,
  peakLuminance,
  peakLuminanceWithin,
} from './check-luminance.js';
import type { JudgedRequirements } from './ruling.js';

/** Colour, levels and light: how each requirement is checked, and why anybody asks for it. */
export const judgedColour = {
  colour: {
    check: colour,
    why: 'Players and graders show the picture by these tags; wrong ones shift every colour.',
  },
  'colour-layers': {
    check: colourLayers,
    why: 'Programs differ in which layer they believe, so the picture will differ too.',
  },
  'signal-range': {
    check: signalRange,
    within: signalRangeWithin,
    why: 'Levels outside the tolerance are clipped somewhere down the line, or the master is refused.',
  },
  'reserved-codes': {
    check: reservedCodes,
    within: reservedCodesWithin,
    why: 'A serial interface takes these codes for timing signals, and the picture breaks up.',
  },
  'range-flag': {
    check: rangeFlag,
    why: 'A flag that contradicts the picture washes it out or crushes its blacks.',
  },
  'peak-luminance': {
    check: peakLuminance,
    within: peakLuminanceWithin,
    why: 'Light above the limit is clipped or remapped by displays nobody graded on.',
  },
  'light-level': {
    check: lightLevel,
    why: 'Displays set their tone mapping by these figures; untrue ones dim or clip the picture.',
  },
  'mastering-display': {
    check: masteringDisplay,
    why: 'Displays map the picture from the display it was graded on to themselves.',
  },
  'outside-p3': {
    check: outsideP3,
    within: outsideP3Within,
    why: 'Colours outside P3 were not seen in the grade and are clipped on most displays.',
  },
} satisfies JudgedRequirements<keyof typeof requiredColour>;
