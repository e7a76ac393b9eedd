import type { Colour } from '../jobs/manifest/colour.js';
import type { PlannedJob } from '../jobs/plan/plan.js';
import { firstOf } from '../jobs/words/numbers.js';
import type { PrimariesName } from '../signal/gamut/gamuts.js';
import { isCameraLog, TRANSFER_NAMES, transferFunction } from '../signal/transfer/transfer-functions.js';

/** Gamuts that only cameras record in. */
const CAMERA_GAMUTS: ReadonlySet<PrimariesName> = new Set(
  TRANSFER_NAMES.filter(isCameraLog).flatMap((name) => transferFunction(name).primaries ?? []),
);
/** Of these cameras record log too. */
const OF_DISPLAYS: readonly PrimariesName[] = ['bt709', 'bt2020'];

/**
 * Notes for colour that a manifest states and that may be meant for other clips: a curve other than the file
 * declares, and a curve of displays with the gamut of a camera. One note for all clips of a kind.
 */
export function doubtfulColours(jobs: readonly PlannedJob[]): string[] {
  return [
    ...grouped(jobs, otherCurve, 'where the file is right, give these clips a colour of their own'),
    ...grouped(jobs, mixedPair, 'state the primaries that belong to the transfer too (colour:)'),
  ];
}

function grouped(
  jobs: readonly PlannedJob[],
  doubt: (clip: PlannedJob['clip']) => string | null,
  next: string,
): string[] {
  const found = new Map<string, string[]>();
  for (const { clip } of jobs) {
    const words = doubt(clip);
    if (words !== null) found.set(words, [...(found.get(words) ?? []), clip.name]);
  }
  return [...found].map(([words, clips]) => `${words}: ${firstOf(clips, 3)}; ${next}`);
}

function otherCurve({ facts, colour }: PlannedJob['clip']): string | null {
  const declared = facts.video?.colour.transfer ?? null;
  if (colour === null || declared === null) return null;
  const used = curveOf(colour);
  if (declared === used || !TRANSFER_NAMES.some((name) => name === declared)) return null;
  return `the file declares the transfer ${declared}, the manifest says ${used}, which is used`;
}

function mixedPair({ colour }: PlannedJob['clip']): string | null {
  if (colour === null || OF_DISPLAYS.includes(colour.primaries)) return null;
  const used = curveOf(colour);
  if (isCameraLog(used) || used === 'linear' || !CAMERA_GAMUTS.has(colour.primaries)) return null;
  return `the transfer ${used} with the gamut ${colour.primaries} of a camera is no usual pair`;
}

/** The curve that was recorded: codes of floats are steps of another. */
function curveOf({ transfer }: Pick<Colour, 'transfer'>): Colour['transfer'] {
  return transfer === 'linear-pq' ? 'linear' : transfer;
}
