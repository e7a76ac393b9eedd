import type { RequirementName } from '../../../jobs/requirement.js';

/** What each requirement is called in running text. */
const TITLES: Partial<Record<RequirementName, string>> = {
  decode: 'Decodes without errors',
  container: 'Container',
  'video-codec': 'Video codec',
  raster: 'Raster',
  'sample-aspect': 'Sample aspect ratio',
  'frame-rate': 'Frame rate',
  'constant-rate': 'Constant frame rate',
  scan: 'Scan and field order',
  'frame-count': 'Frame count',
  'bit-depth': 'Bit depth',
  chroma: 'Chroma subsampling',
  colour: 'Colour tags',
  'colour-layers': 'Colour tags agree, container and bitstream',
  'signal-range': 'Signal range (EBU R 103)',
  'reserved-codes': 'Codes reserved by SDI',
  'range-flag': 'Range flag agrees with the picture',
  'peak-luminance': 'Peak luminance',
  'light-level': 'MaxCLL and MaxFALL are true',
  'mastering-display': 'Mastering display',
  'outside-p3': 'Colours outside P3-D65',
  audio: 'Sound format',
  loudness: 'Programme loudness',
  'true-peak': 'True peak',
  'picture-sound-length': 'Picture and sound are of one length',
  timecode: 'Timecode',
  'as-original': 'As the original',
};

/** The title of a requirement; one this version does not know is shown by its key. */
export function requirementTitle(key: string): string {
  return Object.entries(TITLES).find(([known]) => known === key)?.[1] ?? key;
}
