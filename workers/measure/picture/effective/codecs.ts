/** Codecs that give back the very samples they were given: only in these do the low bits tell where a picture comes from. */
export const LOSSLESS_CODECS: ReadonlySet<string> = new Set([
  'ffv1',
  'ffvhuff',
  'huffyuv',
  'rawvideo',
  'v210',
  'v308',
  'v408',
  'v410',
  'r210',
  'r10k',
  'utvideo',
  'magicyuv',
  'png',
  'tiff',
  'dpx',
  'qtrle',
]);

/** Codecs of intermediates, which code every frame by itself and so lightly that detail near the top of the band survives. */
const INTERMEDIATE_CODECS: ReadonlySet<string> = new Set(['prores', 'dnxhd', 'cfhd', 'jpeg2000']);

/** Whether a picture so coded can prove that its samples carry detail of their own. Names are ffmpeg's. */
export function keepsDetail(codec: string): boolean {
  return LOSSLESS_CODECS.has(codec) || INTERMEDIATE_CODECS.has(codec);
}
