import type { PlacedName, RequirementName } from '../../jobs/requirement.js';
import { activePicture } from './check-active-picture.js';
import { codedLoudness } from './check-coded-loudness.js';
import { colour, colourLayers, rangeFlag } from './check-colour.js';
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
import { decode } from './check-decode.js';
import { effectiveChroma, effectiveRaster } from './check-effective.js';
import { cadence, fieldOrder } from './check-fields.js';
import { flashes } from './check-flashes.js';
import {
  bitDepth,
  chroma,
  container,
  displayAspect,
  raster,
  sampleAspect,
  scan,
  videoCodec,
} from './check-format.js';
import { duration, frameCount } from './check-length.js';
import { reservedCodes, reservedCodesWithin, signalRange, signalRangeWithin } from './check-levels.js';
import {
  lightLevel,
  masteringDisplay,
  outsideP3,
  outsideP3Within,
  peakLuminance,
  peakLuminanceWithin,
} from './check-luminance.js';
import { asOriginal } from './check-original.js';
import { audio, loudness, maxMomentary, maxShortTerm, range, truePeak } from './check-sound.js';
import { dcOffset, identicalChannels, lineUpTone, monoFoldDown } from './check-sound-channels.js';
import { channelPhase, clipping, digitalSilence, silence } from './check-sound-runs.js';
import {
  blackFrames,
  blankEdges,
  constantColour,
  duplicateFrames,
  freezeFrames,
  shortShots,
} from './check-temporal.js';
import { constantRate, frameRate, pictureSoundLength, timecode, timestamps } from './check-timing.js';
import type { JudgedRequirement, PlacedRequirement } from './ruling.js';

/**
 * Every requirement a target can make: the compiler refuses a name without its check, and one that can be limited to
 * parts of a programme without the check of those.
 */
export const REQUIREMENTS: { readonly [N in RequirementName]: JudgedRequirement<N> } = {
  decode: {
    check: decode,
    why: 'A file that cannot be decoded whole is not a delivery, whatever its headers say.',
  },
  container: { check: container, why: 'Ingest takes certain wrappers and refuses the others.' },
  'video-codec': {
    check: videoCodec,
    why: 'A codec or profile the receiver cannot decode comes back from ingest.',
  },
  raster: { check: raster, why: 'A picture of another size is scaled on the way, and softens.' },
  'sample-aspect': {
    check: sampleAspect,
    why: 'A wrong sample aspect shows the picture squeezed or stretched.',
  },
  'frame-rate': {
    check: frameRate,
    why: 'A wrong rate drifts from sound and timecode, or is converted and judders.',
  },
  'constant-rate': {
    check: constantRate,
    why: 'Edit systems count frames; uneven ones move cuts and drift from sound.',
  },
  scan: { check: scan, why: 'A wrong field order makes motion jump back and forth.' },
  'field-order': {
    ...fieldOrder,
    why: 'Fields shown in the wrong order jump back and forth; combing in progressive frames cannot be taken out later.',
  },
  cadence: {
    ...cadence,
    why: 'Pulldown left in, or broken by the edit, judders and spoils every later conversion.',
  },
  'frame-count': {
    check: frameCount,
    why: 'Where header, packets and picture count differently, frames were lost or added on the way.',
  },
  'bit-depth': {
    check: bitDepth,
    why: 'Bits that are only declared do not keep skies from banding in the grade.',
  },
  chroma: {
    check: chroma,
    why: 'Colour detail that was thrown away does not come back for keying and grading.',
  },
  'effective-chroma': {
    check: effectiveChroma,
    why: 'Chroma made up from fewer samples keys and grades no better than those samples did.',
  },
  'effective-raster': {
    check: effectiveRaster,
    why: 'A picture scaled up fills the raster and shows no more than it did before.',
  },
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
  audio: { check: audio, why: 'Sound of another form is converted on the way, or refused.' },
  loudness: {
    check: loudness,
    why: 'A programme off the target is turned up or down on air; the local rules of the broadcaster decide.',
  },
  'coded-loudness': {
    check: codedLoudness,
    why: 'Receivers turn the sound up or down by the level it states; the local rules of the broadcaster decide.',
  },
  'true-peak': {
    check: truePeak,
    why: 'Peaks between the samples distort in converters and in lossy coding.',
  },
  'loudness-range': {
    check: range,
    why: 'What is too quiet at home gets lost, and what is too loud wakes the house; the local rules of the broadcaster decide.',
  },
  'max-momentary': {
    check: maxMomentary,
    why: 'Short programmes can meet the target as a whole and still shout; the local rules of the broadcaster decide.',
  },
  'max-short-term': {
    check: maxShortTerm,
    why: 'Short programmes can meet the target as a whole and still shout; the local rules of the broadcaster decide.',
  },
  silence: {
    ...silence,
    why: 'Silence nobody meant is a stem that was not laid, or a fault on the way.',
  },
  'digital-silence': {
    ...digitalSilence,
    why: 'Recorded silence has noise; zeros are a gap in the mix or a dropout.',
  },
  clipping: {
    ...clipping,
    why: 'Flat tops crackle, and no later level takes that away.',
  },
  'channel-phase': {
    ...channelPhase,
    why: 'Channels against each other lose their middle, and dialogue with it, wherever they are added.',
  },
  'mono-fold-down': {
    check: monoFoldDown,
    why: 'Part of the audience hears both channels from one loudspeaker.',
  },
  'identical-channels': {
    check: identicalChannels,
    why: 'Mono laid on two channels is not the stereo that was asked for, or one channel is missing.',
  },
  'dc-offset': {
    check: dcOffset,
    why: 'An offset takes headroom and clicks at every cut.',
  },
  'line-up-tone': {
    check: lineUpTone,
    why: 'Whoever receives the programme sets the level by this tone.',
  },
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
  'as-original': {
    check: asOriginal,
    why: 'A copy that is not frame for frame its original cannot be exchanged for it.',
  },
} satisfies {
  [N in RequirementName]: N extends PlacedName ? PlacedRequirement<N> : JudgedRequirement<N>;
};
