import type { ManifestClip } from '../../../jobs/manifest/manifest.js';
import { parseRational } from '../../../signal/rational.js';
import { supportsDropFrame } from '../../../signal/timecode.js';
import { timecodeOfReference } from '../wave/wave-facts.js';

/**
 * Gives sound recorded apart, whose file tells when it begins but no rate of its timecode, the timecode at
 * the rate that all pictures of the scan share; a note says so. Where rates differ, or drop frame is used by
 * some only, it stays without. Pure.
 */
export function countAtCommonRate(clips: readonly ManifestClip[]): ManifestClip[] {
  const common = commonRate(clips);
  if (common === null) return [...clips];
  return clips.map((clip) => {
    const { facts } = clip;
    const { timeReference, startTimecode } = facts?.container ?? {};
    if (facts === undefined || timeReference === undefined || startTimecode != null) return clip;
    const own = timeReference.frameRate ?? common.text;
    if (own !== common.text) return clip;
    const counted = timecodeOfReference(timeReference, common.rate, common.dropFrame);
    if (counted === null) return clip;
    const note = `its start timecode is counted at ${common.text}, the rate of the pictures beside it`;
    return {
      ...clip,
      facts: {
        ...facts,
        container: { ...facts.container, startTimecode: counted },
        notes: [...facts.notes, note],
      },
    };
  });
}

function commonRate(clips: readonly ManifestClip[]) {
  const pictures = clips.flatMap(({ facts }) =>
    facts?.video?.frameRate == null
      ? []
      : [{ rate: facts.video.frameRate, start: facts.container.startTimecode }],
  );
  const [text, ...others] = new Set(pictures.map(({ rate }) => rate));
  const rate = text === undefined || others.length > 0 ? null : parseRational(text);
  if (text === undefined || rate === null) return null;
  if (!supportsDropFrame(rate)) return { text, rate, dropFrame: false };
  const drop = new Set(pictures.flatMap(({ start }) => (start === null ? [] : [/[;.,]\d+$/.test(start)])));
  return drop.size === 1 ? { text, rate, dropFrame: drop.has(true) } : null;
}
